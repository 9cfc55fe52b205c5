package car

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2"
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
