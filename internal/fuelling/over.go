package fuelling

import (
	"math"

	"traplight/internal/pass"
	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// peakOver is the highest (sign +1) or lowest (−1) mean over 0.1 s within windows,
// in x's unit; where samples are rarer, the single sample.
func peakOver(x trace.Trace, windows []pass.Window, sign float64) (float64, bool) {
	best, ok := math.Inf(-1), false
	gap := x.LongestGap()
	for _, w := range windows {
		y := x.Slice(w.From, w.To)
		for i, t := range y.T {
			v := y.V[i]
			if t+peakWidth <= w.To {
				if m, good := x.Mean(t, t+peakWidth, gap); good {
					v = m
				}
			} else if i > 0 {
				continue
			}
			best, ok = max(best, sign*v), true
		}
	}
	return sign * best, ok
}

// mostOver is peakOver over all gears.
func mostOver(p *pass.Pass, x trace.Trace) (float64, bool) {
	best, ok := 0.0, false
	for _, g := range p.Gears {
		if v, good := peakOver(x, g.FullThrottle, +1); good {
			best, ok = max(best, v), true
		}
	}
	return best, ok
}

// fill sets the volumetric efficiency: the air that fuel and mixture tell over the
// swept volume's fill.
func fill(p *pass.Pass, f *pass.Fuel) {
	if p.AirPath == nil || p.AirPath.SweptFlow == nil || f.AirByFuel == nil {
		return
	}
	swept := *p.AirPath.SweptFlow
	v := f.AirByFuel.Value / swept.Value
	p.AirPath.VolumetricEfficiency = &quantity.Estimate{Value: v, SD: v * hypot(f.AirByFuel.SD/f.AirByFuel.Value, swept.SD/swept.Value)}
}

func scaled(x trace.Trace, by float64) trace.Trace {
	v := make([]float64, x.Len())
	for i := range v {
		v[i] = x.V[i] * by
	}
	return trace.Trace{T: x.T, V: v}
}
