package app

import (
	"fmt"
	"math"
	"strings"
	"unicode/utf8"

	"traplight/internal/health"
	"traplight/internal/quantity"
)

// protection is a table to type from: one limit a line.
func (a *HealthAnswer) protection(b *strings.Builder) {
	if len(a.Protection) == 0 {
		return
	}
	fewest, most := a.Protection[0].Passes, 0
	for _, t := range a.Protection {
		fewest, most = min(fewest, t.Passes), max(most, t.Passes)
	}
	passes := fmt.Sprint(most)
	if fewest < most {
		passes = fmt.Sprintf("%d to %d", fewest, most)
	}
	fmt.Fprintf(b, "Limits to arm in the engine computer, from %s clear passes of this car%s\n", passes, a.among())
	name, value := 0, 0
	trips := func(t health.Threshold) string {
		if t.Below {
			return "below " + t.Limit(a.World)
		}
		return "above " + t.Limit(a.World)
	}
	for _, t := range a.Protection {
		name, value = max(name, utf8.RuneCountInString(t.What)), max(value, utf8.RuneCountInString(trips(t)))
	}
	none := 1.0
	for _, t := range a.Protection {
		fmt.Fprintf(b, "  %-*s  %-*s  for %.2f s  %s\n", name, t.What, value, trips(t), t.Delay, t.Condition(a.World))
		none *= 1 - t.Chance
	}
	fmt.Fprintf(b, "  A false trip comes in 1 of %.0f passes like these %s for each, in 1 of %.0f for any of them. They protect against change, not against what the passes already did; never set one looser than the part's maker allows. On a trip the computer must cut power or boost at once.\n",
		1/a.Protection[0].Chance, passes, 1/(1-none))
	b.WriteByte('\n')
}

// among says which of the passes judged the limits rest on.
func (a *HealthAnswer) among() string {
	clear := 0
	for _, p := range a.Passes {
		if p.Result.Verdict == health.Clear {
			clear++
		}
	}
	switch {
	case clear == 0 && len(a.Passes) == 1:
		return ", without this one"
	case clear == 0:
		return ", without these"
	case len(a.Passes) == 1:
		return ", this one among them"
	}
	return fmt.Sprintf(", %d of these %d among them", clear, len(a.Passes))
}

func (a *HealthAnswer) knock(b *strings.Builder) {
	for _, k := range a.Knock {
		fmt.Fprintf(b, "Knock background of %s from %d earlier passes: a reading over %.2f times its level at that engine speed comes once in ten thousand on a clear pass.\n", k.Sensor, k.Passes, k.Rare)
	}
	for _, p := range a.Provoked {
		if p.Found {
			fmt.Fprintf(b, "%s: this engine knocks from %.2f times the background of %s on.\n", p.Run, p.Ratio, p.Sensor)
		} else {
			fmt.Fprintf(b, "%s does not stand out from the background of %s: it fixes no level.\n", p.Run, p.Sensor)
		}
	}
	if len(a.Modes) > 0 {
		m := a.Modes[0]
		fmt.Fprintf(b, "Filter of the knock sensor: the first resonance of the bore lies near %.1f kHz (%.1f to %.1f), by %s.\n", m.Frequency/1e3, m.Low/1e3, m.High/1e3, a.Bore)
	}
	if len(a.Knock)+len(a.Modes) > 0 {
		b.WriteByte('\n')
	}
}

// trends tells what drifts and what made a step, and that the rest was looked at.
func (a *HealthAnswer) trends(b *strings.Builder) {
	passes, changing := 0, 0
	for _, t := range a.Trends {
		passes = max(passes, len(t.Passes))
		if t.Course != "steady" {
			changing++
		}
	}
	switch {
	case passes == 0:
		return
	case passes < health.LeastCourse:
		fmt.Fprintf(b, "From pass to pass: a drift or a step is looked for from %d clear passes on; there are %d.\n", health.LeastCourse, passes)
	case changing == 0:
		fmt.Fprintf(b, "From pass to pass: no drift and no step in %d relations over %d clear passes.\n", len(a.Trends), passes)
	default:
		fmt.Fprintf(b, "From pass to pass, over %d clear passes\n", passes)
	}
	for _, t := range a.Trends {
		if s := courseSaid(t, a.World); s != "" {
			fmt.Fprintln(b, "  "+s)
		}
	}
	if changing > 0 {
		fmt.Fprintf(b, "  The other %d relations hold their level.\n", len(a.Trends)-changing)
	}
	b.WriteByte('\n')
}

// courseSaid puts a drift or a step into a sentence; "" for a steady relation.
func courseSaid(t health.Trend, w quantity.World) string {
	way := "up"
	if t.Size < 0 {
		way = "down"
	}
	switch t.Course {
	case "drift":
		return fmt.Sprintf("%s drifts %s, by %s from %s to %s.", t.What, way, amount(t, w), t.Passes[0], t.Passes[len(t.Passes)-1])
	case "step":
		return fmt.Sprintf("%s stepped %s by %s before %s: what was changed then?", t.What, way, amount(t, w), t.At)
	}
	return ""
}

// coursesSaid are the sentences of what is not steady.
func coursesSaid(ts []health.Trend, w quantity.World) []string {
	var out []string
	for _, t := range ts {
		if s := courseSaid(t, w); s != "" {
			out = append(out, s)
		}
	}
	return out
}

func amount(t health.Trend, w quantity.World) string {
	switch t.Unit {
	case "Pa":
		return w.Pressure(math.Abs(t.Size))
	case "K":
		u := w.Unit(quantity.DimTemperature)
		return fmt.Sprintf("%.1f %s", math.Abs(t.Size)/u.Factor, u.Symbol)
	case "log ratio":
		return fmt.Sprintf("%.1f %%", 100*math.Abs(t.Size))
	}
	return fmt.Sprintf("%.3g %s", math.Abs(t.Size), t.Unit)
}
