// Package prose breaks texts for people into lines of a screen's or a page's width. The rooms
// that write sentences do not count columns; who shows them does, once.
package prose

import (
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Width is how many columns sentences take on a terminal of so many; 0 is one of unknown width.
func Width(columns int) int {
	if columns <= 0 {
		return 100
	}
	return min(max(columns, 40), 120)
}

// mark is what an item of a list begins with.
var mark = regexp.MustCompile(`^(?:[-!?] |\[.\] |\d+\. )`)

// Fold breaks the lines of a text that are too long for a terminal of so many columns at blanks,
// where words allow; shorter ones stay as they are. What follows stands under the first word of
// the line's item, under the sentence, two in from a line at the margin and four from a row of a
// table. With 0 columns, no terminal, sentences are broken at 100 and rows are left alone.
func Fold(text string, columns int) string {
	var b strings.Builder
	for line := range strings.Lines(text) {
		bare := strings.TrimSuffix(line, "\n")
		said := strings.TrimLeft(bare, " ")
		row := mark.FindString(said) == "" && strings.Contains(said, "  ")
		width := Width(columns)
		if row {
			width = columns
		}
		if utf8.RuneCountInString(bare) <= width || width == 0 {
			b.WriteString(line)
			continue
		}
		lead := bare[:len(bare)-len(said)]
		hang := ""
		if m := mark.FindString(said); m != "" {
			hang = strings.Repeat(" ", utf8.RuneCountInString(m))
		} else if row {
			hang = "    "
		} else if lead == "" {
			hang = "  "
		}
		broken(&b, said, lead, hang, width)
	}
	return b.String()
}

// Upper is a sentence with its first letter large.
func Upper(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if n == 0 {
		return ""
	}
	return string(unicode.ToUpper(r)) + s[n:]
}

// Wrap is a sentence broken as Fold does, all lines indented and those after the first further
// by hang; it ends in a line feed.
func Wrap(text, indent, hang string, width int) string {
	var b strings.Builder
	broken(&b, strings.Join(strings.Fields(text), " "), indent, hang, width)
	return b.String()
}

func broken(b *strings.Builder, text, indent, hang string, width int) {
	lead, line := indent, ""
	for {
		word, rest, more := strings.Cut(text, " ")
		switch {
		case strings.TrimSpace(line) == "":
			line += word
		case utf8.RuneCountInString(lead)+utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > width:
			b.WriteString(lead + strings.TrimRight(line, " ") + "\n")
			lead, line = indent+hang, word
		default:
			line += " " + word
		}
		if !more {
			b.WriteString(lead + line + "\n")
			return
		}
		text = rest
	}
}
