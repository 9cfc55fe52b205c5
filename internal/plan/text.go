package plan

import (
	"fmt"
	"io"
	"strings"

	"traplight/internal/quantity"
)

// kpa to Pa for printing.
const kpa = 1e3

// WriteText prints the plan: settings as a table to be entered, what they bring,
// what binds, cautions. With card set and allowed it is the pass card; else a plan
// to look at.
func (p *Plan) WriteText(out io.Writer, w quantity.World) error {
	var b strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	title := "Plan for the next pass (not a card)"
	if p.Card {
		title = "Pass card"
	}
	if f := p.Forecast; f != nil && f.Next.ID != "" {
		title += " " + f.Next.ID
	}
	line("%s", title)
	if p.NoCard != "" {
		line("  No card: %s.", p.NoCard)
	}
	for _, a := range p.Already {
		line("  %s.", a)
	}
	line("\n  Gear   boost over the barometer   absolute        shift out at")
	for g := range p.Settings.Boost {
		shift := "-"
		if g < len(p.Settings.Shift) {
			shift = fmt.Sprintf("%.0f rpm", p.Settings.Shift[g])
		}
		line("  %-6d %-26s %-15s %s", g+1, both(w, p.Settings.Boost[g]*kpa), w.Pressure(p.Settings.Absolute[g]*kpa), shift)
	}
	line("  Absolute figures hold for a barometer of %.1f kPa: an engine computer that holds absolute", p.Settings.Barometer)
	line("  pressure does not hold boost when the weather changes.")
	if p.Settings.Nitrous {
		line("  Nitrous: on after shifts, while boost is more than %s below its target.", w.Pressure(p.Settings.Below*kpa))
	} else {
		line("  Nitrous: off.")
	}
	if l := p.Settings.LaunchRPM; l != nil {
		line("  Launch at %.0f rpm, as before.", *l)
	}
	if len(p.New) > 0 {
		line("\n  Not run before:")
		for _, n := range p.New {
			line("  ! %s", n)
		}
	}
	if f := p.Forecast; f != nil {
		line("\n  Expected %s at the trap, nine times in ten between %s and %s.",
			w.Estimate(quantity.DimSpeed, quantity.Estimate{Value: f.Trap.Mean, SD: f.Trap.SD}), w.Speed(f.Trap.P05), w.Speed(f.Trap.P95))
		if p.As != nil {
			line("  The same settings again: %s.", w.Speed(p.As.Trap.Mean))
		}
		if f.Aim > 0 {
			line("  Chance of %s: %.0f %%.", w.Speed(f.Aim), 100*f.Chance)
			if p.Today > 0 {
				line("  In the passes left today: %.0f %%.", 100*p.Today)
			}
		}
		stop := "the strip's shut-down length is not known"
		if f.Next.ShutDown > 0 {
			stop = "the strip leaves " + w.Length(f.Next.ShutDown)
		}
		line("  To a stop after the line: %s, in one of twenty %s, at %.2f g; %s.", w.Length(f.Stopping.P50), w.Length(f.Stopping.P95), f.Decel/9.80665, stop)
	}
	line("\n  What binds")
	any := false
	for _, l := range p.Limits {
		if !l.Binds {
			continue
		}
		any = true
		where := "whole pass"
		if l.Gear > 0 {
			where = fmt.Sprintf("gear %d", l.Gear)
		}
		line("  %-11s %-20s %-5s chance %s; 1 %% more would bring %s", where, l.Limit, l.Class, percent(l.Chance), w.Speed(l.Shadow))
	}
	if !any {
		line("  nothing that was judged")
	}
	if len(p.Lessons) > 0 && p.Lessons[0].Bits > 0.2 {
		l := p.Lessons[0]
		line("\n  Would teach most: %s (%s ± %s expected).", l.Change, signed(w, l.Gain), w.Speed(l.SD))
	}
	if len(p.Notes) > 0 {
		line("\n  Notes")
		for _, n := range p.Notes {
			line("  - %s", n)
		}
	}
	line("\n  Before the car rolls")
	for _, c := range cautions(p) {
		line("  - %s", c)
	}
	_, err := io.WriteString(out, b.String())
	return err
}

func percent(c float64) string {
	switch {
	case c < 0.0005:
		return "under 0.1 %"
	case c < 0.02:
		return fmt.Sprintf("%.1f %%", 100*c)
	}
	return fmt.Sprintf("%.0f %%", 100*c)
}

func signed(w quantity.World, v float64) string {
	if v < 0 {
		return "-" + w.Speed(-v)
	}
	return "+" + w.Speed(v)
}

// both prints a boost in the viewer's unit and in kPa.
func both(w quantity.World, pa float64) string {
	own := w.Pressure(pa)
	if strings.HasSuffix(own, "kPa") {
		return own
	}
	return fmt.Sprintf("%s (%.0f kPa)", own, pa/kpa)
}

// cautions are what must be said where one acts; figures from references/safety.md.
func cautions(p *Plan) []string {
	c := []string{
		"wheel nuts, valve caps, hoses, tyres and oil: the log does not see them",
		"cross wind and gusts before a faster step: one that is new is not tried in them",
	}
	if f := p.Forecast; f != nil {
		if f.Top.P95 > 300/3.6 {
			c = append(c, "plain speed symbol Y ends at 300 km/h (186 mph): beyond it only the tyre maker's written statement counts")
		}
		if f.Next.ShutDown > 0 && f.Stopping.P95 > 0.85*f.Next.ShutDown {
			c = append(c, "the run-out is nearly used up: brakes, parachute where the rules ask for one, and a clear track")
		}
	}
	if p.Settings.Nitrous {
		c = append(c, "nitrous is armed only after fuel flow has been proven; the bottle is under pressure: valve open slowly, body clear of the outlet")
	}
	return append(c, "the event's technical inspection, its rules and licensed practice come first; the driver may refuse any pass")
}
