package app

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"traplight/internal/health"
	"traplight/internal/quantity"
)

// WriteJSON prints the answer, all SI, times on each log's own clock.
func (a *HealthAnswer) WriteJSON(w io.Writer) error {
	type load struct {
		CrankPower    float64 `json:"crank_power_w"`
		PerCylinder   float64 `json:"power_per_cylinder_w"`
		PerVolume     float64 `json:"power_per_displacement_wpm3"`
		MeanEffective float64 `json:"mean_effective_pressure_pa"`
	}
	type one struct {
		Pass   string        `json:"pass"`
		Launch float64       `json:"launch_s"`
		Health health.Result `json:"health"`
		Load   *load         `json:"load"`
	}
	type threshold struct {
		What   string  `json:"what"`
		Below  bool    `json:"trips_below"`
		Value  float64 `json:"value_si"`
		Name   string  `json:"quantity"`
		Delay  float64 `json:"delay_s"`
		When   string  `json:"when"`
		Chance float64 `json:"false_trip_chance"`
		Passes int     `json:"passes"`
	}
	out := struct {
		Car        string         `json:"car"`
		Notes      []string       `json:"notes"`
		Passes     []one          `json:"passes"`
		Protection []threshold    `json:"protection"`
		Trends     []health.Trend `json:"trends"`
	}{Car: a.Car, Notes: append([]string{}, a.Notes...), Passes: []one{}, Protection: []threshold{}, Trends: append([]health.Trend{}, a.Trends...)}
	for _, p := range a.Passes {
		o := one{Pass: p.Name, Launch: p.Launch, Health: p.Result}
		if l := p.Load; l != nil {
			o.Load = &load{l.CrankPower, l.PerCylinder, l.PerVolume, l.MeanEffective}
		}
		out.Passes = append(out.Passes, o)
	}
	for _, t := range a.Protection {
		out.Protection = append(out.Protection, threshold{t.What, t.Below, t.Value, string(t.Measure), t.Delay, t.When, t.Chance, t.Passes})
	}
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	return e.Encode(out)
}

// WriteText prints the answer for reading; width is the terminal's columns, 0
// unknown.
func (a *HealthAnswer) WriteText(w io.Writer, width int) error {
	if width < 40 || width > 110 {
		width = 96
	}
	b := &strings.Builder{}
	for _, p := range a.Passes {
		a.judged(b, p, width)
	}
	a.protection(b, width)
	a.knock(b, width)
	a.trends(b, width)
	for _, n := range a.Notes {
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
	for i, f := range r.Findings {
		wrap(b, fmt.Sprintf("%d. %s, %s. %s", i+1, strings.ToUpper(string(f.Kind)[:1])+string(f.Kind)[1:], f.Severity, f.Evidence), "   ", width)
		wrap(b, "   Look at first: "+strings.Join(f.LookAt, "; ")+".", "   ", width)
		tail := fmt.Sprintf("   Such a finding on a healthy car: %s of passes.", chance(f.Chance))
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
	if l := p.Load; l != nil {
		wrap(b, fmt.Sprintf("Load: %s at the crank, %s a cylinder, mean effective pressure %s.", a.World.Power(l.CrankPower), a.World.Power(l.PerCylinder), a.World.Pressure(l.MeanEffective)), "  ", width)
	}
	b.WriteByte('\n')
}

func chance(p float64) string {
	switch {
	case p < 1e-4:
		return "fewer than 1 in 10 000"
	case p < 0.01:
		return fmt.Sprintf("about 1 in %.0f", 1/p)
	}
	return fmt.Sprintf("about %.0f %%", 100*p)
}

func (a *HealthAnswer) protection(b *strings.Builder, width int) {
	if len(a.Protection) == 0 {
		return
	}
	b.WriteString("Limits to arm in the engine computer, from this car's clear passes\n")
	for _, t := range a.Protection {
		side := "above"
		if t.Below {
			side = "below"
		}
		wrap(b, fmt.Sprintf("  %s %s %s for %.2f s (%s); false trip in 1 of %.0f passes like these %d", t.What, side, a.World.Value(t.Measure, t.Value), t.Delay, t.When, 1/t.Chance, t.Passes), "    ", width)
	}
	wrap(b, "Fuel pressure here is over the manifold. These limits protect against change, not against what the passes already did; never set one looser than the part's maker allows.", "  ", width)
	b.WriteByte('\n')
}

func (a *HealthAnswer) knock(b *strings.Builder, width int) {
	for _, k := range a.Knock {
		wrap(b, fmt.Sprintf("Knock background of %s from %d passes: a reading over %.2f times its level at that engine speed comes once in ten thousand on a clear pass.", k.Sensor, k.Passes, k.Rare), "  ", width)
	}
	for _, p := range a.Provoked {
		if p.Found {
			wrap(b, fmt.Sprintf("%s: this engine knocks from %.2f times the background of %s on.", p.Run, p.Ratio, p.Sensor), "  ", width)
		} else {
			wrap(b, fmt.Sprintf("%s does not stand out from the background of %s: it fixes no level.", p.Run, p.Sensor), "  ", width)
		}
	}
	if len(a.Modes) > 0 {
		m := a.Modes[0]
		wrap(b, fmt.Sprintf("Filter of the knock sensor: the first resonance of the bore lies near %.1f kHz (%.1f to %.1f), by %s.", m.Frequency/1e3, m.Low/1e3, m.High/1e3, a.Bore), "  ", width)
	}
	if len(a.Knock)+len(a.Modes) > 0 {
		b.WriteByte('\n')
	}
}

func (a *HealthAnswer) trends(b *strings.Builder, width int) {
	first := true
	for _, t := range a.Trends {
		if t.Course == "steady" {
			continue
		}
		if first {
			b.WriteString("What changes from pass to pass\n")
			first = false
		}
		what := fmt.Sprintf("  %s drifts, %s from the first pass to the last", t.What, a.amount(t))
		if t.Course == "step" {
			what = fmt.Sprintf("  %s made a step of %s at %s", t.What, a.amount(t), t.At)
		}
		wrap(b, what+".", "    ", width)
	}
	if !first {
		b.WriteByte('\n')
	}
}

func (a *HealthAnswer) amount(t health.Trend) string {
	switch t.Unit {
	case "Pa":
		return a.World.Pressure(t.Size)
	case "K":
		u := a.World.Unit(quantity.DimTemperature)
		return fmt.Sprintf("%.1f %s", t.Size/u.Factor, u.Symbol)
	case "log ratio":
		return fmt.Sprintf("%.1f %%", 100*t.Size)
	}
	return fmt.Sprintf("%.3g %s", t.Size, t.Unit)
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
