package compare

import (
	"fmt"
	"io"
	"math"
	"strings"

	"traplight/internal/prose"
	"traplight/internal/quantity"
)

// Differences in a section that are worth a word.
const (
	tellShift  = 0.02 // s
	tellTorque = 0.02 // share
	tellSlip   = 0.01 // 1
)

// why tells what differed in a section.
func (c *Comparison) why(s *Section, i int, w quantity.World) string {
	a, b := s.Parts[0], s.Parts[i]
	var out []string
	if a.Shifts == b.Shifts && a.Shifts > 0 {
		if d := b.ShiftTime - a.ShiftTime; math.Abs(d) > tellShift {
			out = append(out, fmt.Sprintf("shifts %.2f s %s", math.Abs(d), longer(d)))
		}
		if d := b.Recovery - a.Recovery; math.Abs(d) > tellShift {
			out = append(out, fmt.Sprintf("boost back %.2f s %s", math.Abs(d), later(d)))
		}
	}
	if a.Torque != nil && b.Torque != nil && *a.Torque > 0 {
		if r := *b.Torque / *a.Torque - 1; math.Abs(r) > tellTorque {
			out = append(out, fmt.Sprintf("mean hub torque %.0f %% %s", 100*math.Abs(r), lower(r)))
		}
	}
	if a.Slip != nil && b.Slip != nil {
		if d := *b.Slip - *a.Slip; math.Abs(d) > tellSlip {
			out = append(out, fmt.Sprintf("tyre slip %.0f %% against %.0f %%", 100**b.Slip, 100**a.Slip))
		}
	}
	if a.Boost != nil && b.Boost != nil {
		if d := *b.Boost - *a.Boost; math.Abs(d) > 5e3 {
			out = append(out, fmt.Sprintf("boost %s against %s", w.Pressure(*b.Boost), w.Pressure(*a.Boost)))
		}
	}
	return strings.Join(out, ", ")
}

func lostOrGained(lost float64) string {
	if lost < 0 {
		return "gained"
	}
	return "lost"
}

func pace(gap float64) string {
	if gap < 0 {
		return "slower"
	}
	return "faster"
}

func longer(d float64) string {
	if d < 0 {
		return "shorter"
	}
	return "longer"
}

func later(d float64) string {
	if d < 0 {
		return "sooner"
	}
	return "later"
}

func lower(d float64) string {
	if d < 0 {
		return "lower"
	}
	return "higher"
}

// WriteText prints the comparison for reading, in the units of w.
func (c *Comparison) WriteText(out io.Writer, w quantity.World) error {
	var b strings.Builder
	for _, s := range c.Sentences(w) {
		b.WriteString(s + "\n")
	}
	if len(c.Sections) > 0 {
		fmt.Fprintf(&b, "\nSection by section: time spent and speed at its end; what it was worth by %s for the speed "+
			"added in it alone, not for that with which it was entered; what differed.\n", c.Sections[len(c.Sections)-1].To)
	}
	for _, s := range c.Sections {
		fmt.Fprintf(&b, "%s to %s\n", s.From, s.To)
		for i, p := range s.Parts {
			v, _, unit := w.Parts(quantity.DimSpeed, p.Speed, 0)
			fmt.Fprintf(&b, "  %-24s %8.3f s  %8s %s", c.Lines[i].Name, p.Time, v, unit)
			if p.Lost == nil {
				b.WriteString("\n")
				continue
			}
			b.WriteString("  " + p.gap(w) + "\n")
			if text := c.differed(&s, i, w); text != "" {
				b.WriteString("      " + text + "\n")
			}
		}
	}
	_, err := io.WriteString(out, b.String())
	return err
}

// gap tells what a pass gained or lost against the first in a section, in the units of w.
func (p *Part) gap(w quantity.World) string {
	n, sd, _ := w.Parts(quantity.DimTime, math.Abs(p.Lost.Value), p.Lost.SD)
	g, gs, unit := w.Parts(quantity.DimSpeed, math.Abs(p.Gained.Value), p.Gained.SD)
	text := fmt.Sprintf("%s %s ± %s s", lostOrGained(p.Lost.Value), n, sd)
	if math.Abs(p.Lost.Value) < p.Lost.SD {
		text = fmt.Sprintf("level within %s s", sd)
	}
	if math.Abs(p.Gained.Value) < p.Gained.SD {
		return text + fmt.Sprintf(", as fast within %s %s", gs, unit)
	}
	return text + fmt.Sprintf(", %s ± %s %s %s", g, gs, unit, pace(p.Gained.Value))
}

// differed tells what a section meant for the time at the last mark, and what differed in it
// between pass i and the first, in the units of w.
func (c *Comparison) differed(s *Section, i int, w quantity.World) string {
	var said []string
	if p := s.Parts[i]; p.TimeBrought != nil {
		n, _, _ := w.Parts(quantity.DimTime, math.Abs(*p.TimeBrought), p.Lost.SD)
		worth := "Worth"
		if *p.TimeBrought > 0 {
			worth = "Cost"
		}
		said = append(said, fmt.Sprintf("%s %s s by %s.", worth, n, c.Sections[len(c.Sections)-1].To))
	}
	if why := c.why(s, i, w); why != "" {
		said = append(said, prose.Upper(why)+".")
	}
	return strings.Join(said, " ")
}
