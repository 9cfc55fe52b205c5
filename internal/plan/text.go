package plan

import (
	"fmt"
	"io"
	"strings"

	"traplight/internal/car"
	"traplight/internal/forecast"
	"traplight/internal/prose"
	"traplight/internal/quantity"
)

// kpa to Pa for printing.
const kpa = 1e3

// WriteText prints the plan: settings as a table to be entered, what they bring,
// what binds, cautions.
func (p *Plan) WriteText(out io.Writer, w quantity.World) error {
	var b strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	a := p.Answer()
	if f := a.Forecast; f != nil {
		line("%s: %s at the trap.", forecast.Title(p.sheet.Name, f.Next), f.Trap.Text(w))
		line("  %s.", prose.Upper(f.Odds(w)))
	} else {
		line("%s.", forecast.Title("", ""))
	}
	if a.Again > 0 {
		what := "The same settings again"
		if id := a.Forecast.Next; id != "" {
			what = "As " + id + " states it"
		}
		line("  %s: %s.", what, w.Rounded(quantity.DimSpeed, a.Again, a.Forecast.Trap.SD))
	}
	if a.Today != nil {
		line("  The chance of the target in the passes left today: %s.", Percent(*a.Today))
	}
	if !p.Card {
		line("  A plan to look at, no card: %s.", p.NoCard)
	}
	if len(p.Already) > 0 {
		line("\n  Exceeded already:")
		for _, what := range p.Already {
			line("  ! %s", prose.Upper(what))
		}
	}
	line("\n  Gear   boost over the barometer   absolute        shift out at")
	for g := range p.Settings.Boost {
		shift := "-"
		if g < len(p.Settings.Shift) {
			shift = fmt.Sprintf("%.0f rpm", p.Settings.Shift[g])
		}
		line("  %-6d %-26s %-15s %s", g+1, both(w, p.Settings.Boost[g]*kpa), w.Pressure(p.Settings.Absolute[g]*kpa), shift)
	}
	line("  Absolute figures hold for a barometer of %s: an engine computer that holds absolute pressure does not hold boost when the weather changes.", w.Barometer(p.Settings.Barometer*kpa))
	line("  %s", p.Settings.NitrousText(w))
	if r := p.Ramps; r != nil {
		line("  %s", RampText(r.Gears, r.Gain, w))
	}
	if p.Launch != nil {
		line("  %s", p.Launch.Text(w))
	} else if l := p.Settings.LaunchRPM; l != nil {
		line("  Launch at %.0f rpm, as it stands.", *l)
	}
	if fresh := p.NotRun(w); len(fresh) > 0 {
		line("\n  Not run before:")
		for _, n := range fresh {
			line("  ! %s", n)
		}
	}
	if f := a.Forecast; f != nil {
		line("\n  %s from rollout; top speed %s, one pass in twenty over %s.", f.Time.Text(w), f.TopText(w), f.TopFar(w))
		line("  To a stop after the line: %s.", f.Stop(w, p.DecelFrom))
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
		line("  %-11s %-20s %-5s %s; %s would bring %s", where, l.Limit, l.Class, l.ChanceWords(), l.Step(), w.Estimate(quantity.DimSpeed, quantity.Estimate{Value: l.Shadow, SD: l.ShadowSD}))
	}
	if !any {
		line("  nothing that was judged")
	}
	if t := stepMeant(p.Limits); t != "" {
		line("  (1 %% more boost: %s)", t)
	}
	if len(p.Lessons) > 0 && p.Lessons[0].Bits > 0.2 {
		l := p.Lessons[0]
		line("\n  Would teach most: %s (%s expected).", l.Text(w), w.Estimate(quantity.DimSpeed, quantity.Estimate{Value: l.Gain, SD: l.SD}))
	}
	for i := range p.Measuring {
		if i == 0 {
			line("\n  What measuring would bring")
		}
		line("  - %s", p.Measuring[i].Text(w))
	}
	if len(p.Notes) > 0 {
		line("\n  Notes")
		for _, n := range p.Notes {
			line("  - %s", car.Retell(w, n))
		}
	}
	line("\n  Before the car rolls")
	for _, c := range a.Cautions(p.sheet, p.verdict, p.found, p.bold) {
		line("  - %s", c)
	}
	_, err := io.WriteString(out, b.String())
	return err
}

// Percent prints a chance, 0–1.
func Percent(c float64) string { return forecast.Percent(c) }

// both prints a boost in the viewer's unit and in kPa.
func both(w quantity.World, pa float64) string {
	own := w.Pressure(pa)
	if strings.HasSuffix(own, "kPa") {
		return own
	}
	return fmt.Sprintf("%s (%.0f kPa)", own, pa/kpa)
}
