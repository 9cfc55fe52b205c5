package store

import (
	"errors"
	"fmt"
	"io/fs"
	"syscall"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// What can be wrong with a request or the store. Test with errors.Is.
var (
	ErrNoStore   = errors.New("there is no store yet")
	ErrNotFound  = errors.New("not in the store")
	ErrAmbiguous = errors.New("the name fits more than one")
	ErrBusy      = errors.New("another traplight is writing to the store")
	ErrNewer     = errors.New("the store was written by a newer traplight")
	ErrForeign   = errors.New("the file is not a traplight store")
	ErrChanged   = errors.New("the file changed while it was being read")
	ErrExists    = errors.New("there is a store already")
	ErrDamaged   = errors.New("the store is damaged")
)

// Hinted is an error with advice for the person at the keyboard.
type Hinted struct {
	Err  error
	Hint string // a sentence, lower case, without full stop
}

// Error gives the error without the hint.
func (h *Hinted) Error() string { return h.Err.Error() }

// Unwrap gives the error itself.
func (h *Hinted) Unwrap() error { return h.Err }

// advise adds what would help against the world's usual failures.
func advise(err error) error {
	if err == nil {
		return nil
	}
	var h *Hinted
	if errors.As(err, &h) {
		return err
	}
	hint := ""
	switch code := sqliteCode(err); {
	case errors.Is(err, syscall.ENOSPC) || code == sqlite3.SQLITE_FULL:
		hint = "the disk is full: make room and do it again; nothing was half written"
	case errors.Is(err, fs.ErrPermission) || code == sqlite3.SQLITE_READONLY || code == sqlite3.SQLITE_PERM || code == sqlite3.SQLITE_CANTOPEN:
		hint = "this user may not write there: see to the folder's permissions, or name another with --data"
	case code == sqlite3.SQLITE_BUSY || code == sqlite3.SQLITE_LOCKED:
		hint = "another program holds the database: close it and do it again"
	case code == sqlite3.SQLITE_CORRUPT || code == sqlite3.SQLITE_NOTADB:
		hint = "the database is damaged: `traplight verify` tells more, `traplight restore` brings back a backup; the logs themselves are in the folder originals"
	case code == sqlite3.SQLITE_IOERR:
		hint = "the disk could not be read or written; nothing was half written"
	}
	if hint == "" {
		return err
	}
	return &Hinted{Err: err, Hint: hint}
}

// sqliteCode is the primary result code of a database error, 0 for others.
func sqliteCode(err error) int {
	var e *sqlite.Error
	if errors.As(err, &e) {
		return e.Code() & 0xff
	}
	return 0
}

func wrap(doing string, err error) error {
	if err == nil {
		return nil
	}
	return advise(fmt.Errorf("%s: %w", doing, err))
}
