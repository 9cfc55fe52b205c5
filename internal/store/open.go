package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/gofrs/flock"

	"traplight/internal/atomicfile"
)

// driver is the name under which the database engine is registered. Tests put
// one in its place that lets any one statement fail.
var driver = "sqlite"

const (
	// defaultLockWait is how long a writer waits for another: an add of one
	// log takes a second or two.
	defaultLockWait = 30 * time.Second
	// busyMilliseconds is how long one statement waits inside the database.
	busyMilliseconds = 5000
	// readers is the number of reading connections.
	readers = 4
	// applicationID marks the database file as ours ("trap" in ASCII).
	applicationID = 0x74726170
)

// Options say how to open a store. The zero value opens an existing one in the
// default folder.
type Options struct {
	// Dir is the data folder; "" means DefaultDir.
	Dir string
	// Create makes the folder and an empty store when there is none.
	Create bool
	// Program is recorded beside results and forecasts, such as "traplight 1.2".
	Program string
	// LockWait is how long to wait for another writer; 0 means 30 s.
	LockWait time.Duration
	// Now is the clock; nil means time.Now.
	Now func() time.Time
}

// Store is an open store. It may be used by many goroutines. Close it.
type Store struct {
	dir     string
	program string
	wait    time.Duration
	now     func() time.Time

	turn  chan struct{} // one writer in this process
	lock  *flock.Flock  // one writer on this machine
	write *sql.DB       // one connection
	read  *sql.DB
}

// Open opens the store, brings an older format up to date, and finishes or
// undoes what a killed writer left.
func Open(ctx context.Context, o Options) (*Store, error) {
	dir := o.Dir
	if dir == "" {
		var err error
		if dir, err = DefaultDir(); err != nil {
			return nil, err
		}
	}
	dir, err := filepath.Abs(dir)
	if err != nil {
		return nil, err
	}
	s := &Store{dir: dir, program: o.Program, wait: o.LockWait, now: o.Now, turn: make(chan struct{}, 1)}
	if s.wait == 0 {
		s.wait = defaultLockWait
	}
	if s.now == nil {
		s.now = time.Now
	}
	switch _, err := os.Stat(s.path(dbName)); {
	case err == nil:
	case !errors.Is(err, fs.ErrNotExist):
		return nil, wrap("open the store in "+dir, err)
	case !o.Create:
		return nil, noStore(dir)
	default:
		for _, d := range []string{"", originalsDir} {
			if err := atomicfile.OS.MkdirAll(s.path(d), 0o700); err != nil {
				return nil, wrap("make the store in "+dir, plainErr(err))
			}
		}
	}
	s.lock = flock.New(s.path(lockName), flock.SetPermissions(0o600))
	if s.write, err = sql.Open(driver, dataSource(s.path(dbName), false)); err != nil {
		return nil, err
	}
	s.write.SetMaxOpenConns(1)
	if s.read, err = sql.Open(driver, dataSource(s.path(dbName), true)); err != nil {
		return nil, err
	}
	s.read.SetMaxOpenConns(readers)
	if err := s.prepare(ctx); err != nil {
		s.Close()
		return nil, wrap("open the store in "+dir, err)
	}
	return s, nil
}

// noStore says what may be done when there is none.
func noStore(dir string) error {
	hint := "`traplight add LOG` makes one; --data or " + Environment + " names another folder"
	if aside, _ := filepath.Glob(dir + ".before-restore-*"); len(aside) > 0 {
		hint = "a restore was stopped half way: the store from before it is whole in " + aside[len(aside)-1] + "; rename that folder back, or restore again"
	}
	return &Hinted{fmt.Errorf("%s: %w", dir, ErrNoStore), hint}
}

// Dir is the data folder.
func (s *Store) Dir() string { return s.dir }

// Close ends all work with the store.
func (s *Store) Close() error {
	var errs []error
	for _, db := range []*sql.DB{s.read, s.write} {
		if db != nil {
			errs = append(errs, db.Close())
		}
	}
	if s.lock != nil {
		errs = append(errs, s.lock.Close())
	}
	return errors.Join(errs...)
}

// dataSource is the one place that knows the engine's settings.
//
// synchronous=FULL makes a commit survive a loss of power (NORMAL in this
// journal mode would lose the last ones); at a few milliseconds for each log
// it costs nothing that anybody notices.
func dataSource(file string, readOnly bool) string {
	q := url.Values{"_pragma": {
		fmt.Sprintf("busy_timeout(%d)", busyMilliseconds), // first: the others may have to wait
		"journal_mode(WAL)",
		"synchronous(FULL)",
		"foreign_keys(ON)",
		"trusted_schema(OFF)",
		"cell_size_check(ON)",
	}}
	if readOnly {
		q["_pragma"] = append(q["_pragma"], "query_only(ON)")
	}
	path := filepath.ToSlash(file)
	if !strings.HasPrefix(path, "/") {
		path = "/" + path // a drive letter
	}
	return (&url.URL{Scheme: "file", Path: path, RawQuery: q.Encode()}).String()
}

// plainErr leaves the system call's name and the paths out of a message.
func plainErr(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	var l *os.LinkError
	if errors.As(err, &l) {
		return l.Err
	}
	return err
}

const stampForm = "2006-01-02T15:04:05.000Z"

func (s *Store) stamp() string { return s.now().UTC().Format(stampForm) }

// Program is what is recorded beside results and forecasts.
func (s *Store) Program() string { return s.program }
