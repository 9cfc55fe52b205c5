package forecast

import (
	"fmt"
	"io"
	"math"
	"regexp"
	"strings"

	"traplight/internal/car"
	"traplight/internal/ledger"
	"traplight/internal/prose"
	"traplight/internal/quantity"
)

// inGear finds the gear of what binds, which the JSON tells by its number alone.
var inGear = regexp.MustCompile(`\bin (\d)`)

// Title names a pass to come by its car and the id of its entry, either of which may be "".
func Title(car, id string) string {
	title := "Next pass"
	if car != "" {
		title += " of " + car
	}
	if id != "" {
		title += ", " + id
	}
	return title
}

// WriteText prints the forecast in plain sentences, in the units of a world.
func (r *Result) WriteText(out io.Writer, w quantity.World) error {
	var b strings.Builder
	p := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	a := r.Answer()
	p("%s: %s at the trap.", Title(r.Car, r.Next.ID), a.Trap.Text(w))
	p("  %s.", prose.Upper(a.Odds(w)))
	if g := r.Gain; g != nil {
		side, by := "over", g.Mean
		if by < 0 {
			side, by = "under", -by
		}
		p("  %s %s the pass before.", w.Estimate(quantity.DimSpeed, quantity.Estimate{Value: by, SD: g.SD}), side)
	}
	p("  %s from rollout; top speed %s, one pass in twenty over %s.", a.Time.Text(w), a.TopText(w), a.TopFar(w))
	p("  To a stop after the line: %s.", a.Stop(w, ""))
	if a.ShutDown > 0 && a.Stopping.P95 > a.ShutDown {
		p("  THE CAR MAY NOT BE STOPPED WITHIN THE STRIP.")
	}
	if r.Standard > 0 {
		p("  On another day: %s in still standard air at sea level (%.3f kg/m³).", w.Rounded(quantity.DimSpeed, r.Standard, r.Trap.SD), ledger.Reference.Density)
	}
	r.otherDay(p, w)
	if len(r.Binding) > 0 {
		p("  What holds the car back: %s.", inGear.ReplaceAllString(strings.Join(r.Binding, ", "), "in gear $1"))
	}
	if len(r.Ledger) > 0 {
		p("\nWhere the speed would go")
		for _, l := range r.Ledger {
			if l.Group == "ours" {
				p("  %-18s %s", l.Cause, w.Estimate(quantity.DimSpeed, quantity.Estimate{Value: l.Speed, SD: l.SD}))
			}
		}
		p("  given:")
		for _, l := range r.Ledger {
			if l.Group == "given" {
				p("  %-18s %s", l.Cause, w.Estimate(quantity.DimSpeed, quantity.Estimate{Value: l.Speed, SD: l.SD}))
			}
		}
	}
	if len(r.Notes) > 0 {
		p("\nWhat was assumed")
		for _, n := range r.Notes {
			p("  - %s", car.Retell(w, n))
		}
	}
	p("\nMind")
	p("  - A missed shift, an early lift or a fault is not in these figures.")
	for _, c := range r.Mind {
		p("  - %s.", prose.Upper(c))
	}
	_, err := io.WriteString(out, b.String())
	return err
}

// WriteText prints the score of a forecast in plain sentences, in the units of a world.
func (s *Scored) WriteText(out io.Writer, w quantity.World) error {
	const clock = 0.05 // m/s, what a trap speed is told to
	var b strings.Builder
	line := func(what string, x Score) {
		side, held := "over", "within the interval"
		if x.Error < 0 {
			side = "under"
		}
		if !x.Inside {
			held = "outside the interval"
		}
		fmt.Fprintf(&b, "  %-34s %s %s, %s; score (CRPS) %s\n", what, w.Rounded(quantity.DimSpeed, math.Abs(x.Error), clock), side, held, w.Rounded(quantity.DimSpeed, x.CRPS, clock))
	}
	fmt.Fprintf(&b, "%s came at %s.\n", s.Next, w.Speed(s.Trap))
	line("as expected before the pass:", s.Expected)
	if s.AsRun != nil {
		line("with settings and weather as run:", *s.AsRun)
	}
	_, err := io.WriteString(out, b.String())
	return err
}

// otherDay prints the passes of the record in standard air, with a standard correction
// of power beside the model's word.
func (r *Result) otherDay(p func(string, ...any), w quantity.World) {
	for _, q := range r.Past {
		line := fmt.Sprintf("    %s ran %s: in that air %s", q.Pass, w.Speed(q.Trap), w.Estimate(quantity.DimSpeed, quantity.Estimate{Value: q.Speed, SD: q.SD}))
		if q.J607 != nil {
			line += fmt.Sprintf("; by the correction of SAE J607 (power × %.3f) %s", q.J607.Factor, w.Rounded(quantity.DimSpeed, q.J607.Speed, q.SD))
		}
		p("%s.", line)
	}
	if len(r.Past) > 0 {
		p("    (The model takes the day's wind out as well and knows that boost is held; a correction of power does neither.)")
	}
}
