package app

import (
	"fmt"
	"io"
	"strings"

	"traplight/internal/caution"
	"traplight/internal/health"
	"traplight/internal/prose"
	"traplight/internal/quantity"
	"traplight/internal/report"
)

// WriteText prints the answer for reading.
func (a *HealthAnswer) WriteText(w io.Writer) error {
	b := &strings.Builder{}
	notes := a.Notes
	for len(notes) > 0 && strings.Contains(notes[0], report.OtherCar) {
		fmt.Fprintln(b, "Mind: "+notes[0])
		notes = notes[1:]
	}
	for _, p := range a.Passes {
		a.judged(b, p)
	}
	a.protection(b)
	a.knock(b)
	a.trends(b)
	for _, n := range notes {
		fmt.Fprintln(b, "Note: "+n+".")
	}
	fmt.Fprintln(b, "The estimate comes from the logged data and stated assumptions. It can be wrong. Have the car inspected by the event's technical staff, follow their rules, and let the driver refuse any pass.")
	_, err := io.WriteString(w, b.String())
	return err
}

func (a *HealthAnswer) judged(b *strings.Builder, p health.Judged) {
	r := p.Result
	head := "not judged: nothing to judge by"
	if r.Verdict != health.None {
		head = string(r.Verdict)
	}
	fmt.Fprintf(b, "%s, %s\n", a.Car, p.Name)
	fmt.Fprintln(b, "Fit to go again? "+prose.Upper(head)+". Basis: "+r.Basis+".")
	if r.Verdict == health.Clear {
		fmt.Fprintln(b, "Nothing was found in what was judged.")
	} else {
		fmt.Fprintln(b, caution.Doubt)
	}
	if r.Verdict == health.StandDown || r.Verdict == health.None {
		fmt.Fprintln(b, "No pass card until what was inspected and found is written down (inspected = \"…\" in the pass's note).")
	}
	for i, f := range r.Findings {
		fmt.Fprintf(b, "%d. %s, %s. %s\n", i+1, prose.Upper(string(f.Kind)), f.Severity, f.Evidence)
		fmt.Fprintln(b, "   Look at first: "+strings.Join(f.LookAt, "; ")+".")
		tail := fmt.Sprintf("   On a healthy car such a finding comes in %s, all looks counted.", report.Rarity(f.Chance))
		if len(f.Others) > 0 {
			var k []string
			for _, o := range f.Others {
				k = append(k, string(o))
			}
			tail += " It could also be: " + strings.Join(k, ", ") + "."
		}
		fmt.Fprintln(b, tail)
	}
	if len(r.NotJudged) > 0 {
		fmt.Fprintln(b, "Not judged: "+strings.Join(report.Unjudged(r.NotJudged), "; ")+".")
	}
	fmt.Fprintln(b, "By hand, whatever the log says: "+strings.Join(r.Checks, "; ")+".")
	a.start(b, r.Start)
	a.load(b, p)
	if len(r.Knock) > 0 {
		var counts []string
		for _, k := range r.Knock {
			counts = append(counts, fmt.Sprintf("%d at %s (%.1f by chance)", k.Events, k.Sensor, k.Expected))
		}
		fmt.Fprintln(b, "Knocks over the rare level: "+strings.Join(counts, ", ")+".")
	}
	b.WriteByte('\n')
}

// start tells what was not as usual when the car was launched, or that all was.
func (a *HealthAnswer) start(b *strings.Builder, start []health.AtStart) {
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
		fmt.Fprintln(b, "Not started as usual: "+strings.Join(odd, "; ")+".")
	case compared > 0:
		fmt.Fprintf(b, "Started as usual: %d temperatures and pressures at the launch.\n", compared)
	}
}

// load tells the specific load beside what the earlier passes bore.
func (a *HealthAnswer) load(b *strings.Builder, p health.Judged) {
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
	fmt.Fprintf(b, "Load: %s at the crank, %s a cylinder, %s a litre, mean effective pressure %s, %s at %s.\n",
		a.World.Estimate(quantity.DimPower, quantity.Estimate{Value: l.CrankPower, SD: l.CrankSD}), power(l.PerCylinder), power(l.PerVolume*1e-3), pressure(l.MeanEffective), piston, a.World.Rotation(l.EngineSpeed))
	if h := p.Before; h != nil {
		over := "one pass"
		if h.Passes > 1 {
			over = fmt.Sprintf("%d passes", h.Passes)
		}
		fmt.Fprintf(b, "Before, over %s: %s a cylinder in the middle, %s at most; mean effective pressure %s, %s at most.\n", over, power(h.Middle.PerCylinder), power(h.Highest.PerCylinder), pressure(h.Middle.MeanEffective), pressure(h.Highest.MeanEffective))
	}
}
