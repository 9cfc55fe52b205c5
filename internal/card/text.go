package card

import (
	"fmt"
	"io"
	"strings"

	"traplight/internal/prose"
)

// Foot is the sentence under every card.
const Foot = "The estimate comes from logged data and stated assumptions. It can be wrong. Have the car inspected by the event's technical staff, follow their rules, and let the driver refuse any pass."

// Title is the heading.
func (c *Card) Title() string {
	t := "Pass card · " + c.Car
	if c.For != "" {
		t += " · " + c.For
	}
	return t
}

// WriteText writes the card as plain text.
func (c *Card) WriteText(out io.Writer) error {
	var b strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	list := func(title, mark string, items []string) {
		if len(items) == 0 {
			return
		}
		line("\n%s", title)
		for _, s := range items {
			line("  %s %s", mark, s)
		}
	}
	line("%s", c.Title())
	if c.Made != "" {
		line("%s", c.Made)
	}
	line("\n%s", c.Answer)
	list("Exceeded already", "!", c.Already)
	line("\n%-5s %-18s %-18s %-9s %s", "gear", "boost, "+c.Unit, "absolute, "+c.Unit, "shift", "held back by")
	for _, r := range c.Rows {
		g, a := r.Gauge, r.Absolute
		if c.Both {
			g, a = g+" ("+r.GaugeKPa+" kPa)", a+" ("+r.AbsoluteKPa+" kPa)"
		}
		line("%-5s %-18s %-18s %-9s %s", r.Gear, g, a, r.Shift, r.Binds)
	}
	line("%s", c.Barometer)
	if c.Enter != "" {
		line("%s", c.Enter)
	}
	for _, s := range c.Settings {
		line("%s", s)
	}
	list("Not run before", "!", c.New)
	list("Parts", "!", c.Due)
	list("Not done yet", "!", c.Missing)
	line("\nForecast")
	for _, f := range c.Facts {
		line("  %-20s %-24s %s", f.Name, f.Value, f.Note)
	}
	if len(c.Limits) > 0 {
		line("\nWhat binds            limit                          class  chance        1 %% more boost brings")
		for _, l := range c.Limits {
			line("  %-18s  %-30s %-6s %-13s %s", l.Where, l.What, l.Class, l.Chance, l.More)
		}
	}
	if len(c.Protection) > 0 {
		title, lines := c.protections("Protection: the engine computer cuts at once when")
		line("\n%s", title)
		for _, l := range lines {
			line("  %s", l)
		}
	}
	list("Checks", "[ ]", c.Checks)
	list("Mind", "-", c.Cautions)
	list("Notes", "-", c.Notes)
	line("\n%s", Foot)
	_, err := io.WriteString(out, prose.Fold(b.String(), 100))
	return err
}
