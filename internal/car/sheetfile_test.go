package car

import (
	"errors"
	"strings"
	"testing"
)

// The commented sheet parses without a word, and so it does with any one line
// opened.
func TestCommented(t *testing.T) {
	check := func(what string, text []byte, notes bool) {
		t.Helper()
		var told []string
		var strict, err error
		if notes {
			var n *Notes
			if n, err = ParseNotes("notes.toml", text); err == nil {
				told, strict = n.Notes, n.StrictErr()
			}
		} else {
			var s *Sheet
			if s, err = ParseSheet("sheet.toml", text); err == nil {
				told, strict = s.Notes, s.StrictErr()
			}
		}
		if err != nil || strict != nil || len(told) > 0 && !strings.Contains(told[0], "needs") {
			t.Errorf("%s: %v, %v, %q", what, err, strict, told)
		}
	}
	for _, r := range []struct {
		text  []byte
		notes bool
	}{{Commented(false), false}, {Commented(true), false}, {CommentedNotes(false), true}, {CommentedNotes(true), true}} {
		check("as it stands", r.text, r.notes)
		lines := strings.Split(string(r.text), "\n")
		opened, heading := 0, 0
		for i, l := range lines {
			if strings.HasPrefix(l, "# [[") {
				heading = i
			}
			if !strings.HasPrefix(l, "# ") || !strings.Contains(l, " = ") || !strings.Contains(l[2:], "#") && !strings.Contains(l, "EGT") {
				continue
			}
			open := append([]string(nil), lines...)
			open[i] = l[2:]
			if r.notes {
				open[heading] = strings.TrimPrefix(open[heading], "# ")
				open[i] += "\n" // an [[event]] or [[pass]] of its own
			}
			text := strings.Join(open, "\n")
			switch {
			case strings.Contains(l, "final_drive_by_gear"):
				text = strings.Replace(text, "[driveline]", "[driveline]\ngears = [6, 5, 4, 3, 2, 1]", 1)
			case strings.Contains(l, "injector_flow_each"):
				text = strings.Replace(text, "[engine]", "[engine]\ncylinders = 6", 1)
			}
			if r.notes && strings.Contains(open[heading], "pass") && !strings.Contains(l, "file =") && !strings.Contains(l, " id =") {
				text = strings.Replace(text, "\n[[pass]]", "\n[[pass]]\nfile = \"x.csv\"", 1)
			}
			if r.notes && strings.Contains(open[heading], "planned") && !strings.Contains(l, "# id =") {
				text = strings.Replace(text, "\n[[planned]]", "\n[[planned]]\nid = \"x\"", 1)
			}
			check(l, []byte(text), r.notes)
			opened++
		}
		if opened < 30 {
			t.Errorf("only %d lines could be opened", opened)
		}
	}
}

// Editors save in several encodings; all are read.
func TestEncodings(t *testing.T) {
	text := "name = \"Möwe\"\r\n[body]\r\nmass_kg = 1243 # Größe\r\n"
	latin := []byte(strings.NewReplacer("ö", "\xf6", "ß", "\xdf").Replace(text))
	var utf16le, utf16be []byte
	utf16le, utf16be = append(utf16le, 0xFF, 0xFE), append(utf16be, 0xFE, 0xFF)
	for _, r := range text { // all below U+0100
		utf16le, utf16be = append(utf16le, byte(r), 0), append(utf16be, 0, byte(r))
	}
	for what, data := range map[string][]byte{"utf-8": []byte(text), "with mark": append([]byte("\xef\xbb\xbf"), text...), "latin": latin, "utf-16 le": utf16le, "utf-16 be": utf16be} {
		s, err := ParseSheet("m.toml", data)
		if err != nil {
			t.Errorf("%s: %v", what, err)
			continue
		}
		if s.Name != "Möwe" || s.Mass.Value != 1243 || (len(s.Notes) > 0) != (what == "latin") {
			t.Errorf("%s: %q, %g, %q", what, s.Name, s.Mass.Value, s.Notes)
		}
	}
}

// What would cost time or stack without bound is refused, with its line.
func TestHostileFiles(t *testing.T) {
	for what, text := range map[string]string{
		"nesting":   "a = " + strings.Repeat("[", 100000) + strings.Repeat("]", 100000),
		"one table": "[body]\n" + strings.Repeat("# nothing\n", 6000),
		"size":      strings.Repeat("[a]\n", 2<<20),
	} {
		var e *Error
		if _, err := ParseSheet("h.toml", []byte(text)); !errors.As(err, &e) || !errors.Is(err, ErrSyntax) {
			t.Errorf("%s: %v", what, err)
		}
	}
	// A season of many passes is none of these.
	if _, err := ParseNotes("n.toml", []byte(strings.Repeat("[[pass]]\nid = \"x\"\n# a line\n", 5000))); err != nil {
		t.Error(err)
	}
}
