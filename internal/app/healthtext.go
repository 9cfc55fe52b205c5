package app

import (
	"fmt"
	"io"
	"strings"

	"traplight/internal/caution"
	"traplight/internal/health"
	"traplight/internal/quantity"
	"traplight/internal/report"
)

// WriteText prints the answer for reading; width is the terminal's columns, 0
// unknown.
func (a *HealthAnswer) WriteText(w io.Writer, width int) error {
	if width < 40 || width > 110 {
		width = 96
	}
	b := &strings.Builder{}
	notes := a.Notes
	for len(notes) > 0 && strings.Contains(notes[0], report.OtherCar) {
		wrap(b, "Mind: "+notes[0], "  ", width)
		notes = notes[1:]
	}
	for _, p := range a.Passes {
		a.judged(b, p, width)
	}
	a.protection(b, width)
	a.knock(b, width)
	a.trends(b, width)
	for _, n := range notes {
		wrap(b, "Note: "+n+".", "", width)
	}
	wrap(b, "The estimate comes from the logged data and stated assumptions. It can be wrong. Have the car inspected by the event's technical staff, follow their rules, and let the driver refuse any pass.", "", width)
	_, err := io.WriteString(w, b.String())
	return err
}

func (a *HealthAnswer) judged(b *strings.Builder, p health.Judged, width int) {
	r := p.Result
	head := "not judged: nothing to judge by"
	if r.Verdict != health.None {
		head = string(r.Verdict)
	}
	fmt.Fprintf(b, "%s, %s\n", a.Car, p.Name)
	wrap(b, "Fit to go again? "+strings.ToUpper(head[:1])+head[1:]+". Basis: "+r.Basis+".", "", width)
	if r.Verdict == health.StandDown || r.Verdict == health.None {
		wrap(b, "No pass card until what was inspected and found is written down (inspected = \"…\" in the pass's note).", "  ", width)
	}
	if r.Verdict != health.Clear {
		wrap(b, "  "+caution.Doubt, "  ", width)
	}
	if r.Verdict == health.Clear {
		wrap(b, "Nothing was found in what was judged.", "", width)
	}
	for i, f := range r.Findings {
		wrap(b, fmt.Sprintf("%d. %s, %s. %s", i+1, strings.ToUpper(string(f.Kind)[:1])+string(f.Kind)[1:], f.Severity, f.Evidence), "   ", width)
		wrap(b, "   Look at first: "+strings.Join(f.LookAt, "; ")+".", "   ", width)
		tail := fmt.Sprintf("   On a healthy car such a finding comes in %s, all looks counted.", report.Rarity(f.Chance))
		if len(f.Others) > 0 {
			var k []string
			for _, o := range f.Others {
				k = append(k, string(o))
			}
			tail += " It could also be: " + strings.Join(k, ", ") + "."
		}
		wrap(b, tail, "   ", width)
	}
	if len(r.NotJudged) > 0 {
		wrap(b, "Not judged: "+strings.Join(r.NotJudged, "; ")+".", "  ", width)
	}
	wrap(b, "By hand, whatever the log says: "+strings.Join(r.Checks, "; ")+".", "  ", width)
	a.start(b, r.Start, width)
	a.load(b, p, width)
	if len(r.Knock) > 0 {
		var counts []string
		for _, k := range r.Knock {
			counts = append(counts, fmt.Sprintf("%d at %s (%.1f by chance)", k.Events, k.Sensor, k.Expected))
		}
		wrap(b, "Knocks over the rare level: "+strings.Join(counts, ", ")+".", "  ", width)
	}
	b.WriteByte('\n')
}

// start tells what was not as usual when the car was launched, or that all was.
func (a *HealthAnswer) start(b *strings.Builder, start []health.AtStart, width int) {
	var odd []string
	compared := 0
	for _, s := range start {
		if s.Usual == nil {
			continue
		}
		compared++
		if s.Unusual {
			odd = append(odd, fmt.Sprintf("%s %s, usually %s", strings.ReplaceAll(string(s.Quantity), "_", " "), a.World.Value(s.Quantity, s.Value), a.World.Value(s.Quantity, *s.Usual)))
		}
	}
	switch {
	case len(odd) > 0:
		wrap(b, "Not started as usual: "+strings.Join(odd, "; ")+".", "  ", width)
	case compared > 0:
		wrap(b, fmt.Sprintf("Started as usual: %d temperatures and pressures at the launch.", compared), "  ", width)
	}
}

// load tells the specific load beside what the earlier passes bore.
func (a *HealthAnswer) load(b *strings.Builder, p health.Judged, width int) {
	l := p.Load
	if l == nil {
		return
	}
	// what is worked out from the power is as sure as the power
	sure := l.CrankSD / l.CrankPower
	power := func(w float64) string { return a.World.Rounded(quantity.DimPower, w, sure*w) }
	pressure := func(pa float64) string { return a.World.Rounded(quantity.DimPressure, pa, sure*pa) }
	piston := fmt.Sprintf("mean piston speed %.1f m/s", l.PistonSpeed)
	if a.World.Name == "imperial" {
		piston = fmt.Sprintf("mean piston speed %.0f ft/min", l.PistonSpeed/0.3048*60)
	}
	if l.StrokeGuessed {
		piston += " (stroke taken equal to the bore)"
	}
	wrap(b, fmt.Sprintf("Load: %s at the crank, %s a cylinder, %s a litre, mean effective pressure %s, %s at %s.",
		a.World.Estimate(quantity.DimPower, quantity.Estimate{Value: l.CrankPower, SD: l.CrankSD}), power(l.PerCylinder), power(l.PerVolume*1e-3), pressure(l.MeanEffective), piston, a.World.Rotation(l.EngineSpeed)), "  ", width)
	if h := p.Before; h != nil {
		over := "one pass"
		if h.Passes > 1 {
			over = fmt.Sprintf("%d passes", h.Passes)
		}
		wrap(b, fmt.Sprintf("Before, over %s: %s a cylinder in the middle, %s at most; mean effective pressure %s, %s at most.", over, power(h.Middle.PerCylinder), power(h.Highest.PerCylinder), pressure(h.Middle.MeanEffective), pressure(h.Highest.MeanEffective)), "  ", width)
	}
}

// wrap prints a paragraph with hanging lines indented.
func wrap(b *strings.Builder, text, indent string, width int) {
	lead := text[:len(text)-len(strings.TrimLeft(text, " "))]
	line := lead
	for i, word := range strings.Fields(text) {
		if i > 0 && len(line)+1+len(word) > width {
			b.WriteString(line + "\n")
			line = indent + word
			continue
		}
		if strings.TrimSpace(line) != "" {
			line += " "
		}
		line += word
	}
	b.WriteString(line + "\n")
}
