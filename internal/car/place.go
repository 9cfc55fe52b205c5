package car

import (
	"errors"
	"fmt"
	"strings"
)

// The sorts of trouble a sheet or notes file can have. Test with errors.Is.
var (
	ErrSyntax     = errors.New("not valid TOML")
	ErrType       = errors.New("wrong type of value")
	ErrImpossible = errors.New("impossible value")
	ErrUnknownKey = errors.New("unknown key")
)

// Error is a complaint with its place: one file, one line, one key.
type Error struct {
	File string // as given to the reader
	Line int    // from 1; 0 when the complaint has no line
	Key  string // with its table, such as "[body] mass_kg"; "" for the whole file
	Text string // one clear sentence without capital and full stop
	Kind error  // one of the Err… values above
}

// Error gives "file:line: key: text".
func (e *Error) Error() string {
	var b strings.Builder
	b.WriteString(e.File)
	if e.Line > 0 {
		fmt.Fprintf(&b, ":%d", e.Line)
	}
	if e.Key != "" {
		b.WriteString(": " + e.Key)
	}
	b.WriteString(": " + e.Text)
	return b.String()
}

// Unwrap gives the sort of trouble.
func (e *Error) Unwrap() error { return e.Kind }

// sentence is the complaint as a remark about what was left out.
func (e *Error) sentence() string {
	at := e.File
	if e.Line > 0 {
		at += fmt.Sprintf(" line %d", e.Line)
	}
	if e.Key != "" {
		at += ": " + e.Key
	}
	return at + ": " + e.Text + leftOut
}

// How remarks end that are about a line as it stands in the file.
const (
	leftOut   = ". This was left out."
	isUnusual = " is unusual; check the figure and its unit."
)

// NotTaken says of a remark on a sheet or notes that it is about something that was not
// read or was left out.
func NotTaken(remark string) bool {
	return strings.Contains(remark, "is not a known key") || strings.HasSuffix(remark, "left out.")
}

// maxWrong is how many complaints of one file are listed; more are counted.
const maxWrong = 12

// joined makes one error of complaints, nil of none.
func joined(wrong []*Error) error {
	var all []error
	for i, e := range wrong {
		if i == maxWrong && len(wrong) > maxWrong+1 {
			all = append(all, fmt.Errorf("%s: and %d more", e.File, len(wrong)-i))
			break
		}
		all = append(all, e)
	}
	return errors.Join(all...)
}

// remarks are complaints as sentences.
func remarks(wrong []*Error) (out []string) {
	for i, e := range wrong {
		if i == maxWrong && len(wrong) > maxWrong+1 {
			return append(out, fmt.Sprintf("%s: %d more values cannot be and were left out.", e.File, len(wrong)-i))
		}
		out = append(out, e.sentence())
	}
	return out
}

// Unread is a key that the reader does not know.
type Unread struct {
	Line    int    // from 1
	Table   string // such as "[body]"; "" at the top of the file
	Key     string
	Nearest string // the nearest known key, with its table when that differs; "" when none is near
}

// Sentence says in one sentence what was not read and what may have been meant.
func (u Unread) Sentence(file string) string {
	return fmt.Sprintf("%s line %d: %s", file, u.Line, u.text()) + "."
}

func (u Unread) text() string {
	what := fmt.Sprintf("%q", u.Key)
	if u.Table != "" {
		what += " in " + u.Table
	}
	t := what + " is not a known key and was not read"
	if u.Nearest != "" {
		t += "; the nearest known key is " + u.Nearest
	}
	return t
}

// alike groups unread keys that are one key of one kind of table, in order.
func alike(unread []Unread) [][]Unread {
	type kind struct{ table, key string }
	at := map[kind]int{}
	var out [][]Unread
	for _, u := range unread {
		k := kind{u.Table, u.Key}
		i, seen := at[k]
		if !seen {
			i = len(out)
			at[k] = i
			out = append(out, nil)
		}
		out[i] = append(out[i], u)
	}
	return out
}

// sentences says each unread key once, with the lines in which it stands.
func sentences(file string, unread []Unread) (out []string) {
	for _, same := range alike(unread) {
		if len(same) == 1 {
			out = append(out, same[0].Sentence(file))
		} else {
			out = append(out, fmt.Sprintf("%s lines %s: %s.", file, lines(same), same[0].text()))
		}
	}
	return out
}

// lines lists the first lines of unread keys.
func lines(same []Unread) string {
	const most = 3
	var b strings.Builder
	for i, u := range same {
		switch {
		case i == most && len(same) > most+1:
			fmt.Fprintf(&b, " and %d more", len(same)-i)
			return b.String()
		case i == 0:
		case i == len(same)-1:
			b.WriteString(" and ")
		default:
			b.WriteString(", ")
		}
		fmt.Fprint(&b, u.Line)
	}
	return b.String()
}

// strictErr turns unread keys into errors, nil when there are none.
func strictErr(file string, unread []Unread) error {
	var all []error
	for _, same := range alike(unread) {
		u := same[0]
		key := u.Key
		if u.Table != "" {
			key = u.Table + " " + u.Key
		}
		text := "not a known key"
		if u.Nearest != "" {
			text += "; the nearest known key is " + u.Nearest
		}
		if len(same) > 1 {
			text += fmt.Sprintf(" (also in line %s)", lines(same[1:]))
		}
		all = append(all, &Error{File: file, Line: u.Line, Key: key, Text: text, Kind: ErrUnknownKey})
	}
	return errors.Join(all...)
}
