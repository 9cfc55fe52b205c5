package fuelling

import (
	"math"

	"traplight/internal/dictionary"
	"traplight/internal/num/stats"
	"traplight/internal/pass"
	"traplight/internal/quantity"
	"traplight/internal/trace"
)

const (
	// A lambda sensor sees the mixture this much later, s: the gas's way, then the
	// sensor's own first-order lag. Common practice, no source: 20–80 ms at full load,
	// and 50–100 ms for a broadband sensor.
	lambdaDelay, lambdaLag = 0.045, 0.07
	// After a shift the pipe and the sensor still hold the lean air of the closed
	// throttle for about three lags, s.
	lambdaSettle = 3 * lambdaLag
	// Before a shift is over at the hubs the engine is cut or shut already, and the
	// sensor's lag smears that forward: this much of a window's end is left out, s.
	lambdaBefore = lambdaLag + 0.05
	// The mixture at peak power is the mean over this long before it, s.
	lambdaLong = 0.35
	// Relative standard deviation of a broadband sensor when rich, 1. Common
	// practice, no source: makers state 1 to 2 %.
	lambdaRel = 0.015
	// Lambda of rich, boosted full load, to which the published consumptions
	// belong, and its spread, 1. Common practice, no source: 0.75–0.88.
	usualLambda, usualLambdaSD = 0.80, 0.035
	// The published ranges are taken to hold four engines of five, not all: their
	// spread is this much wider than that of an even distribution between their ends
	// (√3/1.28), 1.
	rangeHolds = 1.35
	// How far efficiency goes up and down from pass to pass, 1.
	passToPass = 0.015
	// Peaks are means over this long, s (design, section 2).
	peakWidth = 0.1
)

// lambdaSensor is one bank's mixture on the engine's own time.
type lambdaSensor struct{ x trace.Trace }

// mixture collects the lambda channels that can be: between 0.5 and 2 at least half
// of the time.
func mixture(set *dictionary.Set) []lambdaSensor {
	var out []lambdaSensor
	for _, c := range set.All(quantity.Lambda) {
		good := 0
		for _, v := range c.Trace.V {
			if v > 0.5 && v < 2 {
				good++
			}
		}
		if 2*good < c.Trace.Len() {
			continue
		}
		t := make([]float64, c.Trace.Len())
		for i, at := range c.Trace.T {
			t[i] = at - lambdaDelay - lambdaLag
		}
		out = append(out, lambdaSensor{trace.Trace{T: t, V: c.Trace.V}})
	}
	return out
}

// lambdaOver is the mean over windows of the banks' mean, 1; where a window is long
// enough its first and last parts, which belong to the shifts, are left out.
func lambdaOver(banks []lambdaSensor, windows []pass.Window) (float64, bool) {
	var all []float64
	for _, b := range banks {
		var area, covered float64
		gap := b.x.LongestGap()
		for _, w := range windows {
			from, to := w.From+lambdaSettle, w.To-lambdaBefore
			if from > to-0.1 {
				// A short window: what lies before its end is the best there is.
				from, to = w.From, max(w.From+0.05, to)
			}
			a, c := b.x.Integral(from, to, gap)
			area += a
			covered += c
		}
		if covered > 0 {
			all = append(all, area/covered)
		}
	}
	return combine(all)
}

// lambdaAt is the banks' mean before and at peak power, 1, within the window of full
// throttle that holds it.
func lambdaAt(banks []lambdaSensor, p *pass.Pass) (float64, bool) {
	at := p.Power.At
	w := pass.Window{From: at - lambdaLong, To: at + peakWidth/2}
	for _, g := range p.Gears {
		for _, full := range g.FullThrottle {
			if full.From <= at && at <= full.To+peakWidth {
				w.From = max(w.From, min(full.From+lambdaSettle, at-peakWidth))
				w.To = min(w.To, max(full.To-lambdaBefore, w.From+peakWidth))
			}
		}
	}
	var all []float64
	for _, b := range banks {
		if v, ok := b.x.Mean(w.From, w.To, b.x.LongestGap()); ok {
			all = append(all, v)
		}
	}
	return combine(all)
}

// combine is the mean of the banks; with three or more the median, since a dead
// one would pull the mean.
func combine(v []float64) (float64, bool) {
	if len(v) == 0 {
		return 0, false
	}
	if len(v) >= 3 {
		return stats.Median(v), true
	}
	s := 0.0
	for _, x := range v {
		s += x
	}
	s /= float64(len(v))
	return s, !math.IsNaN(s)
}

// mean is the mean of all channels of a quantity at the first one's samples.
func mean(set *dictionary.Set, q quantity.Name) trace.Trace { return joined(set, q, true) }

// sum is the sum of all channels of a quantity at the first one's samples.
func sum(set *dictionary.Set, q quantity.Name) trace.Trace { return joined(set, q, false) }

func joined(set *dictionary.Set, q quantity.Name, average bool) trace.Trace {
	all := set.All(q)
	// A second channel without a number is another copy of the same thing.
	numbered := len(all) > 1
	for _, c := range all {
		numbered = numbered && c.Index > 0
	}
	if len(all) > 1 && !numbered {
		all = []*dictionary.Channel{set.First(q)}
	}
	if len(all) == 0 {
		return trace.Trace{}
	}
	var x trace.Trace
	for i, t := range all[0].Trace.T {
		v, n := all[0].Trace.V[i], 1.0
		for _, c := range all[1:] {
			if w, ok := c.Trace.At(t); ok {
				v += w
				n++
			}
		}
		if average {
			v /= n
		}
		x.T = append(x.T, t)
		x.V = append(x.V, v)
	}
	return x
}
