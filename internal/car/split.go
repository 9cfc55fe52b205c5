package car

import (
	"bytes"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

// Part is one table of a notes file with a text of its own, so that notes can be
// kept, and put together again, entry by entry.
type Part struct {
	Table string // "pass", "planned", "strip" or "event"
	ID    string // its id, or name; "" when it has none
	File  string // of a pass: its log; "" when not stated
	Index int    // of a pass, 0-based in time order
	Car   string
	When  string
	// Body is the table's keys as TOML, in a fixed order, without its heading.
	// Comments are not in it.
	Body string
}

// IsNotes says whether the text is a notes file rather than a car sheet: its tables
// are those of notes. An error is an *Error with the place.
func IsNotes(name string, data []byte) (bool, error) { return hasTable(name, data, noteTables) }

// IsParts says whether the text is a parts file: its tables are those of one. An error is an
// *Error with the place.
func IsParts(name string, data []byte) (bool, error) {
	return hasTable(name, data, []string{"part", "inspection"})
}

func hasTable(name string, data []byte, tables []string) (bool, error) {
	doc, err := parseTOML(name, data)
	if err != nil {
		return false, err
	}
	return slices.ContainsFunc(tables, func(t string) bool {
		switch doc.root[t].(type) {
		case []any, map[string]any:
			return true
		}
		return false
	}), nil
}

// SplitNotes cuts a notes file into its tables, in their order by kind. It refuses what
// ParseNotes refuses.
func SplitNotes(name string, data []byte) ([]Part, error) {
	if _, err := ParseNotes(name, data); err != nil {
		return nil, err
	}
	doc, err := parseTOML(name, data)
	if err != nil {
		return nil, err
	}
	var parts []Part
	for _, table := range []string{"strip", "event", "pass", "planned"} {
		list, ok := doc.root[table].([]any)
		if single, isTable := doc.root[table].(map[string]any); isTable {
			list, ok = []any{single}, true
		}
		if !ok {
			continue
		}
		for _, e := range list {
			values, ok := e.(map[string]any)
			if !ok {
				continue // ParseNotes has said so
			}
			body, err := body(values)
			if err != nil {
				return nil, &Error{File: name, Line: doc.line(table), Key: "[[" + table + "]]", Text: err.Error(), Kind: ErrSyntax}
			}
			p := Part{Table: table, Body: body}
			for key, dst := range map[string]*string{"id": &p.ID, "file": &p.File, "car": &p.Car, "when": &p.When} {
				*dst, _ = text(values[key])
			}
			if p.ID == "" && table != "pass" && table != "planned" {
				p.ID, _ = text(values["name"])
			}
			if n, ok := number(values["index"]); ok {
				p.Index = int(n)
			}
			parts = append(parts, p)
		}
	}
	return parts, nil
}

// body prints a table so that it stays one table: what is below it is written
// inline.
func body(values map[string]any) (string, error) {
	var b bytes.Buffer
	for _, k := range slices.Sorted(maps.Keys(values)) {
		line, err := pair(k, values[k])
		if err != nil {
			return "", fmt.Errorf("%s: %w", k, err)
		}
		b.WriteString(line)
	}
	return b.String(), nil
}

// pair prints one key with its value, on one line.
func pair(key string, value any) (string, error) {
	var b bytes.Buffer
	e := toml.NewEncoder(&b)
	e.SetTablesInline(true)
	if err := e.Encode(map[string]any{key: value}); err != nil {
		return "", err
	}
	return strings.TrimRight(b.String(), "\n") + "\n", nil
}

// errInline is a way of writing [channels] that WithKnown does not edit.
var errInline = errors.New("[channels] is written inline; write it as a table with one channel a line")

// WithKnown gives the text of a sheet with what is known besides: from when it is valid
// ("" leaves that as it is), and corrections of channels, which win over the sheet's own.
// All else stays, and as a rule each key its line.
func WithKnown(name string, data []byte, validFrom string, channels map[string]string) ([]byte, error) {
	doc, err := parseTOML(name, data)
	if err != nil {
		return nil, err
	}
	lines := strings.Split(string((&document{name: name}).toUTF8(data)), "\n")
	if lines, err = withChannels(doc, lines, channels); err != nil {
		return nil, &Error{File: name, Line: doc.line("channels"), Key: "[channels]", Text: err.Error(), Kind: ErrSyntax}
	}
	if old, _ := text(doc.root["valid_from"]); validFrom != "" && old != validFrom {
		line, err := pair("valid_from", validFrom)
		if err != nil {
			return nil, err
		}
		line = strings.TrimSuffix(line, "\n")
		first := strings.TrimSpace(lines[0])
		switch at := doc.line("valid_from"); {
		case at > 0:
			lines[at-1] = line
		case first == "" || first[0] == '#':
			lines[0] = line
		default:
			lines = slices.Insert(lines, 0, line)
		}
	}
	return []byte(strings.Join(lines, "\n")), nil
}

// withChannels edits the table of channels, the line numbers before it unchanged.
func withChannels(doc *document, lines []string, channels map[string]string) ([]string, error) {
	own, has := doc.root["channels"].(map[string]any)
	var add []string
	for _, channel := range slices.Sorted(maps.Keys(channels)) {
		was, written := own[channel]
		if was == channels[channel] {
			continue
		}
		line, err := pair(channel, channels[channel])
		if err != nil {
			return nil, err
		}
		line = strings.TrimSuffix(line, "\n")
		at := doc.line("channels", channel)
		switch {
		case !written:
			add = append(add, line)
		case at == 0 || strings.HasPrefix(strings.TrimSpace(lines[at-1]), "channels"):
			return nil, errInline
		default:
			lines[at-1] = line
		}
	}
	switch head := doc.line("channels"); {
	case len(add) == 0:
		return lines, nil
	case !has:
		return append(append(lines, "[channels]"), append(add, "")...), nil
	case head == 0 || !strings.HasPrefix(strings.TrimSpace(lines[head-1]), "["):
		return nil, errInline
	default:
		return slices.Insert(lines, head, add...), nil
	}
}
