package airpath

import (
	"math"

	"traplight/internal/dictionary"
	"traplight/internal/pass"
	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// peakOver is the highest running mean of x over width, s, within windows, in x's
// unit. Where samples are rarer than width it is the highest sample.
func peakOver(x trace.Trace, windows []pass.Window, width float64) (float64, bool) {
	best, ok := math.Inf(-1), false
	gap := x.LongestGap()
	for _, w := range windows {
		y := x.Slice(w.From, w.To)
		for i := range y.T {
			v := y.V[i]
			if a := y.T[i]; a+width <= w.To {
				if m, good := x.Mean(a, a+width, gap); good {
					v = m
				}
			} else if i > 0 {
				continue
			}
			best, ok = max(best, v), true
		}
	}
	return best, ok
}

// byGear fills in the gears' temperatures, ignition and turbo speed. With several
// sensors of a kind the highest counts for exhaust temperature and turbo speed, the
// mean for ignition.
func byGear(p *pass.Pass, set *dictionary.Set) {
	for i := range p.Gears {
		g := &p.Gears[i]
		g.MaxExhaustTemp = highest(set, quantity.ExhaustTemperature, g.Start, g.End)
		g.TurboSpeed = highest(set, quantity.TurboSpeed, g.Start, g.End)
		var sum float64
		n := 0
		for _, c := range set.All(quantity.IgnitionAngle) {
			if v, ok := meanOver(c.Trace, g.FullThrottle); ok {
				sum += v
				n++
			}
		}
		if n > 0 {
			v := sum / float64(n)
			g.Ignition = &v
		}
		if c := chargeSensor(set); c != nil {
			if v, ok := lastBefore(c.Trace, g.Start, g.End); ok {
				g.ChargeTempEnd = &v
			}
		}
	}
}

// highest is the highest sample of any channel of a quantity between two moments,
// s, in the quantity's unit. Single samples stand out by noise: the middle of
// three neighbours is taken.
func highest(set *dictionary.Set, q quantity.Name, from, to float64) *float64 {
	best, ok := math.Inf(-1), false
	for _, c := range set.All(q) {
		x := c.Trace.Slice(from, to)
		for i := range x.V {
			v := x.V[i]
			if i > 0 && i+1 < x.Len() {
				v = max(min(x.V[i-1], v), min(max(x.V[i-1], v), x.V[i+1]))
			}
			best, ok = max(best, v), true
		}
	}
	if !ok {
		return nil
	}
	return &best
}

// chargeSensor is the channel that tells the temperature of the air going into the
// engine: after the cooler when there is one, else at the intake.
func chargeSensor(set *dictionary.Set) *dictionary.Channel {
	if c := set.First(quantity.ChargeTemperature); c != nil {
		return c
	}
	return set.First(quantity.IntakeTemperature)
}

// lastBefore is the mean of the last 0.2 s of samples before to, s, not before
// from; the last sample when they are rarer.
func lastBefore(x trace.Trace, from, to float64) (float64, bool) {
	y := x.Slice(max(from, to-0.2), to)
	if y.Len() == 0 {
		y = x.Slice(from, to)
		if y.Len() == 0 {
			return 0, false
		}
		return y.V[y.Len()-1], true
	}
	m, _, _ := line(y)
	return m, true
}
