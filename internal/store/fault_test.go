//go:build unix

package store_test

import (
	"context"
	"database/sql"
	sqldriver "database/sql/driver"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"

	"modernc.org/sqlite"

	"traplight/internal/atomicfile"
	"traplight/internal/atomicfile/faulttest"
	"traplight/internal/store"
	"traplight/internal/store/storetest"
)

// addFolder adds every log of a folder; it gives the lines that the program
// would, and the first error.
func addFolder(t *testing.T, dir, folder string) (lines []string, first error) {
	t.Helper()
	s, err := store.Open(t.Context(), store.Options{Dir: dir})
	if err != nil {
		return nil, err
	}
	defer s.Close()
	files, _ := filepath.Glob(filepath.Join(folder, "*.csv"))
	s.AddAll(t.Context(), files, storetest.Toy, func(p store.Progress) {
		if p.Err == nil {
			lines = append(lines, "in "+p.Addition.SHA256)
		} else if first == nil {
			first = p.Err
		}
	})
	return lines, first
}

// full makes every call and statement fail in both ways; without it, every
// other one in each. With the full number of kills:
//
//	go test ./internal/store -full -kills 200 -v
var full = flag.Bool("full", false, "let every call and statement fail")

func stride() int {
	if *full {
		return 1
	}
	return 2
}

// TestEachCallFails lets each call that writes a file fail once, as on a full
// disk and as without permission.
func TestEachCallFails(t *testing.T) {
	folder, sums := makeLogs(t, 2)
	for i, fault := range []error{syscall.ENOSPC, syscall.EACCES} {
		hit := 0
		for n := 1 + i*(stride()-1); ; n += stride() {
			dir := newDir(t)
			call := ""
			atomicfile.OS, _ = faulttest.Wrap(atomicfile.Plain(), func(i int, c string) error {
				if i != n {
					return nil
				}
				call = c
				return &os.PathError{Op: c, Path: "x", Err: fault}
			})
			lines, err := addFolder(t, dir, folder)
			atomicfile.OS = atomicfile.Plain()
			in := checkBetween(t, dir, lines, sums)
			if call == "" {
				if err != nil || in != len(sums) {
					t.Errorf("without a fault: %d of %d logs, %v", in, len(sums), err)
				}
				break
			}
			hit++
			var h *store.Hinted
			if !errors.Is(err, fault) || !errors.As(err, &h) || !strings.HasPrefix(err.Error(), "add 0") {
				t.Errorf("%s (call %d): error %q, want the file, %v, and a hint", call, n, err, fault)
			}
			again(t, dir, folder, sums, fmt.Sprintf("%s (call %d)", call, n))
		}
		if hit < 10/stride() {
			t.Errorf("only %d calls could fail", hit)
		}
		t.Logf("%v at each of %d calls", fault, hit)
	}
}

// again adds the folder without any fault.
func again(t *testing.T, dir, folder string, sums map[string]bool, what string) {
	t.Helper()
	lines, err := addFolder(t, dir, folder)
	if in := checkBetween(t, dir, lines, sums); err != nil || in != len(sums) {
		t.Errorf("%s, then again: %d of %d logs, %v", what, in, len(sums), err)
	}
	if t.Failed() {
		t.FailNow()
	}
}

// TestEachStatementFails lets each statement to the database fail once: not
// carried out, and carried out but reported as failed.
func TestEachStatementFails(t *testing.T) {
	folder, sums := makeLogs(t, 2)
	for i, done := range []bool{false, true} {
		hit := 0
		for n := int64(1 + i*(stride()-1)); ; n += int64(stride()) {
			dir := newDir(t)
			back := store.SetDriver("faulty")
			faulty.arm(n, done)
			lines, err := addFolder(t, dir, folder)
			text := faulty.disarm()
			back()
			in := checkBetween(t, dir, lines, sums)
			if text == "" {
				if err != nil || in != len(sums) {
					t.Errorf("without a fault: %d of %d logs, %v", in, len(sums), err)
				}
				break
			}
			hit++
			// An error may go unseen where the work of an earlier failure is
			// cleared up; it must not where logs are missing.
			if err == nil && in != len(sums) {
				t.Errorf("%q (statement %d): no error, and %d of %d logs", text, n, in, len(sums))
			}
			again(t, dir, folder, sums, fmt.Sprintf("%q (statement %d)", text, n))
		}
		if hit < 25/stride() {
			t.Errorf("only %d statements could fail", hit)
		}
		t.Logf("each of %d statements failed, done: %v", hit, done)
	}
}

var faulty = &faultyDriver{Driver: &sqlite.Driver{}}

func init() { sql.Register("faulty", faulty) }

// faultyDriver lets one statement fail. Only those that change something or
// steer a transaction count.
type faultyDriver struct {
	*sqlite.Driver
	left atomic.Int64
	done atomic.Bool
	text atomic.Value
}

func (d *faultyDriver) arm(n int64, done bool) {
	d.text.Store("")
	d.done.Store(done)
	d.left.Store(n)
}

func (d *faultyDriver) disarm() string {
	d.left.Store(0)
	return d.text.Load().(string)
}

func (d *faultyDriver) Open(name string) (sqldriver.Conn, error) {
	c, err := d.Driver.Open(name)
	return &faultyConn{c, d}, err
}

type faultyConn struct {
	sqldriver.Conn
	d *faultyDriver
}

var errInjected = errors.New("the disk is on fire")

func (c *faultyConn) ExecContext(ctx context.Context, query string, args []sqldriver.NamedValue) (sqldriver.Result, error) {
	fail := c.d.left.Load() > 0 && c.d.left.Add(-1) == 0
	if fail {
		c.d.text.Store(query)
	}
	if fail && !c.d.done.Load() {
		return nil, errInjected
	}
	r, err := c.Conn.(sqldriver.ExecerContext).ExecContext(ctx, query, args)
	if fail {
		return nil, errInjected
	}
	return r, err
}

func (c *faultyConn) QueryContext(ctx context.Context, query string, args []sqldriver.NamedValue) (sqldriver.Rows, error) {
	return c.Conn.(sqldriver.QueryerContext).QueryContext(ctx, query, args)
}

// TestPermission takes the right to write away for real.
func TestPermission(t *testing.T) {
	folder, sums := makeLogs(t, 2)
	who := "add"
	if os.Geteuid() == 0 {
		who = "nobody" // nothing is forbidden to root
	}
	for _, c := range []struct {
		name string
		lock func(dir string) error
	}{
		{"folder", func(dir string) error { return os.Chmod(dir, 0o555) }},
		{"originals", func(dir string) error { return os.Chmod(filepath.Join(dir, "originals"), 0o555) }},
		{"database", func(dir string) error { return os.Chmod(filepath.Join(dir, "traplight.db"), 0o444) }},
		{"database hidden", func(dir string) error { return os.Chmod(filepath.Join(dir, "traplight.db"), 0) }},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := newDir(t)
			for d := dir; d != os.TempDir() && d != "/"; d = filepath.Dir(d) { // let anybody in
				os.Chmod(d, 0o777)
			}
			for d := folder; d != os.TempDir() && d != "/"; d = filepath.Dir(d) {
				os.Chmod(d, 0o755)
			}
			open := func(mode os.FileMode) {
				files, _ := filepath.Glob(filepath.Join(dir, "traplight*"))
				for _, f := range append(files, filepath.Join(dir, "originals")) {
					os.Chmod(f, mode)
				}
			}
			open(0o777)
			logs, _ := filepath.Glob(filepath.Join(folder, "*"))
			for _, f := range logs {
				os.Chmod(f, 0o644)
			}
			if err := c.lock(dir); err != nil {
				t.Fatal(err)
			}
			lines, _ := run(t, who, dir, folder, 0)
			if !strings.Contains(strings.Join(lines, "\n"), "error") {
				t.Errorf("no error: %q", lines)
			}
			os.Chmod(dir, 0o777)
			open(0o777)
			if in := checkBetween(t, dir, lines, sums); in != 0 {
				t.Errorf("%d logs are in", in)
			}
			again(t, dir, folder, sums, "forbidden")
		})
	}
}
