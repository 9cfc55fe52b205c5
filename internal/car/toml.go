package car

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"sort"
	"strconv"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"
)

// maxFile is the largest sheet or notes file that is read, bytes. A season's
// notes are some tens of kilobytes.
const maxFile = 4 << 20

// maxDepth bounds the nesting of inline arrays and tables; nothing that is read
// is deeper than three.
const maxDepth = 50

// maxTable is the longest table, lines.
const maxTable = 5000

// document is a parsed file with the line of each key.
type document struct {
	name string
	root map[string]any
	// lines holds the line of each key, by its path joined with NUL; the
	// elements of a table array carry their number as a path element.
	lines  map[string]int
	starts []int // byte offset of each line
	notes  []string
}

func loadFile(path string) (name string, data []byte, err error) {
	name = filepath.Base(path)
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return name, nil, reason(path, err)
	case info.IsDir():
		return name, nil, &Error{File: path, Text: "it is a folder, not a sheet or notes", Kind: ErrSyntax}
	}
	if info.Size() > maxFile {
		return name, nil, &Error{File: name, Text: fmt.Sprintf("the file is larger than %d MB, so it can hardly be a sheet or notes", maxFile>>20), Kind: ErrSyntax}
	}
	if data, err = os.ReadFile(path); err != nil {
		err = reason(path, err)
	}
	return name, data, err
}

// reason names the file and why it could not be read, without the system's call.
func reason(path string, err error) error {
	var at *fs.PathError
	if errors.As(err, &at) {
		return fmt.Errorf("%s: %w", path, at.Err)
	}
	return err
}

// parseTOML reads data; name serves in messages only.
func parseTOML(name string, data []byte) (*document, error) {
	d := &document{name: name, lines: map[string]int{}}
	if len(data) > maxFile {
		return nil, &Error{File: name, Text: fmt.Sprintf("the text is larger than %d MB", maxFile>>20), Kind: ErrSyntax}
	}
	data = d.toUTF8(data)
	if line, text := hostile(data); text != "" {
		return nil, &Error{File: name, Line: line, Text: text, Kind: ErrSyntax}
	}
	if err := toml.Unmarshal(data, &d.root); err != nil {
		e := &Error{File: name, Text: codePoint.ReplaceAllString(strings.TrimPrefix(err.Error(), "toml: "), ""), Kind: ErrSyntax}
		var at *toml.DecodeError
		if errors.As(err, &at) {
			e.Line, _ = at.Position()
			e.Text += hint(data, e.Line, e.Text)
		}
		return nil, e
	}
	d.findLines(data)
	return d, nil
}

// codePoint is how the decoder names a character besides showing it.
var codePoint = regexp.MustCompile(`U\+[0-9A-F]{4,6} `)

var decimalComma = regexp.MustCompile(`=\s*\[?[^"#]*\d,\d`)

// hint adds advice for the mistakes that people make most.
func hint(data []byte, line int, complaint string) string {
	rows := bytes.Split(data, []byte("\n"))
	if line < 1 || line > len(rows) {
		return ""
	}
	row := rows[line-1]
	switch {
	case decimalComma.Match(row) && !bytes.Contains(row, []byte("[")):
		return "; decimals are written with a point, as in 0.72"
	case !bytes.Contains(row, []byte("=")) && !bytes.Contains(row, []byte("[")):
		return "; each line is either key = value, a [table] or a # comment"
	case strings.Contains(complaint, "start of value") && !bytes.ContainsAny(row, `"'`):
		return "; text is written between quotes"
	}
	return ""
}

// toUTF8 accepts what plain text editors save: UTF-8 with or without a mark,
// UTF-16 with a mark, and, failing that, single-byte western text.
func (d *document) toUTF8(data []byte) []byte {
	switch {
	case bytes.HasPrefix(data, []byte{0xEF, 0xBB, 0xBF}):
		data = data[3:]
	case bytes.HasPrefix(data, []byte{0xFF, 0xFE}):
		data = fromUTF16(data[2:], binary.LittleEndian)
	case bytes.HasPrefix(data, []byte{0xFE, 0xFF}):
		data = fromUTF16(data[2:], binary.BigEndian)
	}
	if utf8.Valid(data) {
		return data
	}
	d.notes = append(d.notes, d.name+" is not saved as UTF-8; it was read as western single-byte text.")
	out := make([]byte, 0, len(data)+len(data)/8)
	for _, b := range data {
		out = utf8.AppendRune(out, rune(b))
	}
	return out
}

func fromUTF16(data []byte, order binary.ByteOrder) []byte {
	units := make([]uint16, len(data)/2)
	for i := range units {
		units[i] = order.Uint16(data[2*i:])
	}
	return []byte(string(utf16.Decode(units)))
}

// hostile finds what no sheet or notes file has and what would cost the parser time
// or stack without bound: deep nesting (it recurses), endless tables (it searches the
// keys of a table one by one).
func hostile(data []byte) (line int, text string) {
	depth, line, table := 0, 1, 1
	for i, b := range data {
		switch b {
		case '\n':
			line++
			if line-table > maxTable {
				return line, fmt.Sprintf("a table of more than %d lines is none of a sheet or of notes", maxTable)
			}
		case '[', '{':
			if i == 0 || data[i-1] == '\n' {
				table = line
			}
			if depth++; depth > maxDepth {
				return line, "brackets are nested too deep"
			}
		case ']', '}':
			depth = max(0, depth-1)
		}
	}
	return 0, ""
}

// findLines walks the text a second time for the place of each key, which the
// decoder does not tell.
func (d *document) findLines(data []byte) {
	var p unstable.Parser
	p.Reset(data)
	d.starts = []int{0}
	for i, b := range data {
		if b == '\n' {
			d.starts = append(d.starts, i+1)
		}
	}
	count := map[string]int{}
	var here []string
	for p.NextExpression() {
		e := p.Expression()
		switch e.Kind {
		case unstable.Table:
			here, _ = d.resolve(e.Key(), nil, count)
			d.mark(here, d.lineOf(e.Key()))
		case unstable.ArrayTable:
			path, _ := d.resolve(e.Key(), nil, count)
			// resolve has added the number of the last element, if any.
			name := join(trimIndex(path, e.Key()))
			here = append(trimIndex(path, e.Key()), strconv.Itoa(count[name]))
			count[name]++
			d.mark(here, d.lineOf(e.Key()))
		case unstable.KeyValue:
			path, line := d.resolve(e.Key(), here, nil)
			d.mark(path, line)
			d.inner(e.Value(), path, line)
		}
	}
}

// inner marks the keys of inline tables, alone or in arrays.
func (d *document) inner(n *unstable.Node, path []string, line int) {
	switch n.Kind {
	case unstable.InlineTable:
		for it := n.Children(); it.Next(); {
			kv := it.Node()
			sub, at := d.resolve(kv.Key(), path, nil)
			if at == 0 {
				at = line
			}
			d.mark(sub, at)
			d.inner(kv.Value(), sub, at)
		}
	case unstable.Array:
		i := 0
		for it := n.Children(); it.Next(); i++ {
			d.inner(it.Node(), append(path[:len(path):len(path)], strconv.Itoa(i)), line)
		}
	}
}

// resolve appends a dotted key to base. With count, names that are table
// arrays are followed by the number of their last element.
func (d *document) resolve(it unstable.Iterator, base []string, count map[string]int) (path []string, line int) {
	path = base[:len(base):len(base)]
	for it.Next() {
		n := it.Node()
		if line == 0 && n.Raw.Length > 0 {
			line = d.lineAt(n.Raw)
		}
		path = append(path, string(n.Data))
		if c := count[join(path)]; c > 0 {
			path = append(path, strconv.Itoa(c-1))
		}
	}
	return path, line
}

// trimIndex takes the element number off the end of a resolved array name.
func trimIndex(path []string, key unstable.Iterator) []string {
	last := ""
	for key.Next() {
		last = string(key.Node().Data)
	}
	if n := len(path); n > 1 && path[n-1] != last {
		path = path[:n-1]
	}
	return path[:len(path):len(path)]
}

func (d *document) lineOf(it unstable.Iterator) int {
	if it.Next() && it.Node().Raw.Length > 0 {
		return d.lineAt(it.Node().Raw)
	}
	return 0
}

// lineAt is the line, from 1, in which a range begins.
func (d *document) lineAt(r unstable.Range) int {
	return sort.SearchInts(d.starts, int(r.Offset)+1)
}

func (d *document) mark(path []string, line int) {
	if _, seen := d.lines[join(path)]; !seen {
		d.lines[join(path)] = line
	}
}

func (d *document) line(path ...string) int { return d.lines[join(path)] }

func join(path []string) string { return strings.Join(path, "\x00") }

// number gives a TOML integer or float as a finite float64.
func number(v any) (x float64, ok bool) {
	switch n := v.(type) {
	case int64:
		return float64(n), true
	case float64:
		return n, !math.IsNaN(n) && !math.IsInf(n, 0)
	}
	return 0, false
}

// text gives a TOML string, date or time as text.
func text(v any) (s string, ok bool) {
	switch t := v.(type) {
	case string:
		return t, true
	case int64:
		return strconv.FormatInt(t, 10), true
	case float64: // revision = 1.2
		return strconv.FormatFloat(t, 'g', -1, 64), true
	case fmt.Stringer: // local and zoned dates and times
		return t.String(), true
	}
	return "", false
}

// kindName names a TOML value's type for a message.
func kindName(v any) string {
	switch v.(type) {
	case string:
		return "text"
	case bool:
		return "true or false"
	case int64, float64:
		return "a number"
	case []any:
		return "a list"
	case map[string]any:
		return "a table"
	}
	return "a date or time"
}
