package prose

import (
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"
)

// x30 is a word of 30 letters.
const x30 = "abcdefghijklmnopqrstuvwxyzabcd"

func TestFold(t *testing.T) {
	for _, c := range []struct{ what, in, want string }{
		{"short lines stay", "  a   b\n\nc", "  a   b\n\nc"},
		{"at the margin", x30 + " two three four\n", x30 + " two three\n  four\n"},
		{"indented", "  " + x30 + " one two three\n", "  " + x30 + " one two\n  three\n"},
		{"an item", "  - " + x30 + " one two\n", "  - " + x30 + " one\n    two\n"},
		{"a numbered item", "1. " + x30 + " one two\n", "1. " + x30 + " one\n   two\n"},
		{"a row", x30 + "  cd  ef gh\n", x30 + "  cd  ef\n    gh\n"},
		{"degrees count once", x30 + " °°°° °°°°\n", x30 + " °°°° °°°°\n"},
		{"a word too long", x30 + x30 + " it is\n", x30 + x30 + "\n  it is\n"},
		{"without an end", x30 + " one two three", x30 + " one two\n  three\n"},
	} {
		if got := Fold(c.in, 40); got != c.want {
			t.Errorf("%s: %q, want %q", c.what, got, c.want)
		}
	}
	long := strings.Repeat("word ", 30)
	if got := Fold(long+"end\n", 0); strings.Index(got, "\n") != 99 {
		t.Errorf("no terminal: %q", got)
	}
	if row := "a  " + long; Fold(row, 0) != row {
		t.Error("a row is broken without a terminal")
	}
}

func TestWrap(t *testing.T) {
	if got, want := Wrap("one  two\nthree four", "  ", " ", 10), "  one two\n   three\n   four\n"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if got := Wrap("", "  ", "", 10); got != "  \n" {
		t.Errorf("nothing gives %q", got)
	}
}

// No word is lost, and no line is longer than asked unless a word is.
func TestFoldKeepsWords(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(`([-! a°é]{0,25}\n?){0,40}`).Draw(t, "text")
		width := rapid.IntRange(40, 60).Draw(t, "width")
		got := Fold(text, width)
		if a, b := strings.Join(strings.Fields(got), " "), strings.Join(strings.Fields(text), " "); a != b {
			t.Fatalf("%q, want the words of %q", a, b)
		}
		for line := range strings.Lines(got) {
			line = strings.TrimRight(line, "\n")
			if utf8.RuneCountInString(line) > width && strings.Contains(strings.TrimLeft(line, " -!"), " ") {
				t.Fatalf("%q is longer than %d", line, width)
			}
		}
	})
}

func TestUpper(t *testing.T) {
	for in, want := range map[string]string{"": "", "clear": "Clear", "Third gear": "Third gear", "ölig": "Ölig", "3 psi": "3 psi"} {
		if got := Upper(in); got != want {
			t.Errorf("%q: %q, want %q", in, got, want)
		}
	}
}

func TestWidth(t *testing.T) {
	for columns, want := range map[int]int{0: 100, 20: 40, 80: 80, 300: 120} {
		if got := Width(columns); got != want {
			t.Errorf("%d columns: %d, want %d", columns, got, want)
		}
	}
}
