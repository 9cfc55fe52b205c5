package table

import (
	"errors"
	"fmt"
)

// The reasons for which a file cannot be read. An *Error wraps one of them.
var (
	ErrEmpty   = errors.New("the file is empty")
	ErrBinary  = errors.New("the file is not text and not of a known log format")
	ErrNoTable = errors.New("no table of numbers found")
	ErrNoRows  = errors.New("a header but no rows of samples")
	ErrNoClock = errors.New("no column can serve as the clock")
	ErrDamaged = errors.New("the file is damaged")
	ErrOther   = errors.New("files of this kind are not read")
	ErrForeign = errors.New("the file uses a feature that is not supported")
)

// Error says what is wrong with a file, and where.
type Error struct {
	File   string
	Line   int    // from 1; 0 when no line is to blame
	Reason string // what was found; "" when Err says it all
	Hint   string // what would help; "" when nothing is known to
	Err    error  // one of the reasons of this package, or the system's
}

func (e *Error) Error() string {
	s := e.File
	if s != "" && e.Line > 0 {
		s += fmt.Sprintf(":%d", e.Line)
	} else if e.Line > 0 {
		s = fmt.Sprintf("line %d", e.Line)
	}
	if s != "" {
		s += ": "
	}
	s += e.Err.Error()
	if e.Reason != "" {
		s += ": " + e.Reason
	}
	if e.Hint != "" {
		s += "; " + e.Hint
	}
	return s
}

// Unwrap gives the reason.
func (e *Error) Unwrap() error { return e.Err }
