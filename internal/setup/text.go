package setup

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"traplight/internal/quantity"
)

// Pass is a pass with its settings.
type Pass struct {
	Name     string
	Settings []Setting
}

// WriteText prints the settings of passes for people: of one pass as noted and as logged, of
// several what was set otherwise than for the first.
func WriteText(out io.Writer, w quantity.World, passes []Pass) error {
	var b strings.Builder
	for i, p := range passes {
		if i == 0 {
			fmt.Fprintf(&b, "%s\n", p.Name)
			if len(p.Settings) == 0 {
				b.WriteString("  Nothing is noted and the log shows no setting.\n")
			} else {
				list(&b, w, p)
			}
			continue
		}
		changes := Differ(passes[0].Settings, p.Settings)
		fmt.Fprintf(&b, "\n%s against %s\n", p.Name, passes[0].Name)
		if len(changes) == 0 {
			b.WriteString("  Nothing was set otherwise, as far as notes and logs tell.\n")
		}
		rows := [][]string{}
		for _, c := range changes {
			how := "noted"
			if c.Logged {
				how = "by the log"
			}
			rows = append(rows, []string{c.title(), c.text(w, c.From) + " → " + c.text(w, c.To), how})
		}
		table(&b, rows)
	}
	_, err := io.WriteString(out, b.String())
	return err
}

func list(b *strings.Builder, w quantity.World, p Pass) {
	rows := [][]string{{"", "noted", "logged"}}
	var doubts []string
	for _, s := range p.Settings {
		noted, logged := "", ""
		if s.Noted != nil {
			noted = s.text(w, *s.Noted)
		}
		if s.Logged != nil {
			logged = s.text(w, *s.Logged)
		}
		if s.Doubt() {
			doubts = append(doubts, s.title())
			logged += " ?"
		}
		rows = append(rows, []string{s.title(), noted, logged})
	}
	table(b, rows)
	if len(doubts) > 0 {
		fmt.Fprintf(b, "  ? Notes and log disagree: %s. Another pass's notes, or set otherwise than noted?\n", strings.Join(doubts, ", "))
	}
}

// title names a setting.
func (s Setting) title() string {
	if s.Gear > 0 {
		return s.Name + ", " + ordinal(s.Gear)
	}
	return s.Name
}

func ordinal(gear int) string {
	names := []string{"first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth"}
	if gear <= len(names) {
		return names[gear-1]
	}
	return fmt.Sprintf("gear %d", gear)
}

// text is a value of the setting in the reader's units.
func (s Setting) text(w quantity.World, v float64) string {
	switch {
	case s.Name == Nitrous && v > 0:
		return "on"
	case s.Name == Nitrous:
		return "off"
	}
	return w.Text(s.Dim, v)
}

func table(b *strings.Builder, rows [][]string) {
	var width []int
	for _, r := range rows {
		for i, c := range r {
			if i == len(width) {
				width = append(width, 0)
			}
			width[i] = max(width[i], utf8.RuneCountInString(c))
		}
	}
	for _, r := range rows {
		line := " "
		for i, c := range r {
			line += " " + c + strings.Repeat(" ", width[i]-utf8.RuneCountInString(c)+1)
		}
		b.WriteString(strings.TrimRight(line, " ") + "\n")
	}
}
