package forecast

import (
	"fmt"
	"io"
	"math"
	"strings"

	"traplight/internal/ledger"
	"traplight/internal/quantity"
)

// WriteText prints the forecast in plain sentences, in the units of a world.
func (r *Result) WriteText(out io.Writer, w quantity.World) error {
	var b strings.Builder
	p := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	name := "Next pass"
	if r.Next.ID != "" {
		name += " " + r.Next.ID
	}
	p("%s: %s at the trap, nine times in ten between %s and %s.", name,
		w.Estimate(quantity.DimSpeed, quantity.Estimate{Value: r.Trap.Mean, SD: r.Trap.SD}), w.Speed(r.Trap.P05), w.Speed(r.Trap.P95))
	p("  %.2f s from rollout (± %.2f); top speed %s.", r.Time.Mean, r.Time.SD, w.Speed(r.Top.P50))
	if r.Aim > 0 {
		p("  Chance of %s: %.0f %%.", w.Speed(r.Aim), 100*r.Chance)
	}
	if r.Next.ShutDown > 0 {
		p("  To a stop: %s, in one of twenty %s; the strip leaves %s after the line.", w.Length(r.Stopping.P50), w.Length(r.Stopping.P95), w.Length(r.Next.ShutDown))
		if r.Stopping.P95 > r.Next.ShutDown {
			p("  THE CAR MAY NOT BE STOPPED WITHIN THE STRIP.")
		}
	} else {
		p("  To a stop: %s, in one of twenty %s after the line; the strip's shut_down_m is not known.", w.Length(r.Stopping.P50), w.Length(r.Stopping.P95))
	}
	p("  (Stopping with %.2f g, one second after the line.)", r.Decel/gravity)
	if r.Standard > 0 {
		p("  On another day: %s in still standard air at sea level (%.3f kg/m³).", w.Speed(r.Standard), ledger.Reference.Density)
	}
	r.otherDay(p, w)
	if len(r.Binding) > 0 {
		p("  What holds the car back: %s.", strings.Join(r.Binding, ", "))
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
			p("  - %s", n)
		}
	}
	p("\nMind")
	p("  - A missed shift, an early lift or a fault is not in these figures.")
	p("  - Gusts and cross wind are reasons to wait; the driver may refuse any pass.")
	p("  - The event's technical inspection and its rules come first.")
	_, err := io.WriteString(out, b.String())
	return err
}

// WriteText prints the score of a forecast in plain sentences, in the units of a world.
func (s *Scored) WriteText(out io.Writer, w quantity.World) error {
	var b strings.Builder
	line := func(what string, x Score) {
		side, held := "over", "within the interval"
		if x.Error < 0 {
			side = "under"
		}
		if !x.Inside {
			held = "outside the interval"
		}
		fmt.Fprintf(&b, "  %-34s %s %s, %s; score (CRPS) %s\n", what, w.Speed(math.Abs(x.Error)), side, held, w.Speed(x.CRPS))
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
		line := fmt.Sprintf("    %s ran %s: there %s", q.Pass, w.Speed(q.Trap), w.Estimate(quantity.DimSpeed, quantity.Estimate{Value: q.Speed, SD: q.SD}))
		if q.J607 != nil {
			line += fmt.Sprintf("; by the correction of SAE J607 (power × %.3f) %s", q.J607.Factor, w.Speed(q.J607.Speed))
		}
		p("%s.", line)
	}
	if len(r.Past) > 0 {
		p("    (The model's word leaves the day's wind out too, and knows that boost is held; a correction of power knows neither.)")
	}
}
