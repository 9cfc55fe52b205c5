package fitcar

import (
	"math"
	"slices"

	"traplight/internal/sim"
)

// surplusBoost tells that boost stands far over its target, as launch controls that
// build boost on the line leave it: no steady control does that, and the model
// does not try to follow.
func (w *work) surplusBoost(i int, floor float64) bool {
	g := w.Gear[i]
	if len(w.Target) == 0 || g < 1 {
		return false
	}
	t := w.Target[min(g, len(w.Target))-1]
	return w.Boost[i]-w.air.Pressure > 1.1*max(t, floor)+8e3
}

// settled calls f for every sample at which boost has stood near its target for
// 0.9 s within a gear. Targets under floor, Pa gauge, are left out: there the wastegate's
// spring holds, not the control.
func (w *work) settled(gears int, floor float64, f func(i, gear int, over float64)) {
	if w.Boost == nil || w.Target == nil {
		return
	}
	ph := w.phases()
	reached := -1
	for i := w.Lock; i < len(w.X); i++ {
		g := w.Gear[i]
		if ph[i] != inGear || g < 1 || g > gears {
			reached = -1
			continue
		}
		t := w.Target[min(g, len(w.Target))-1]
		b := w.Boost[i] - w.air.Pressure
		if math.IsNaN(b) || t <= 0 || t < floor {
			continue
		}
		if reached < 0 && b > 0.95*t {
			reached = i
		}
		if reached >= 0 && w.time(i)-w.time(reached) > 0.9 && math.Abs(b-t) < 0.12*t {
			f(i, g, b-t)
		}
	}
}

// shrunk turns findings by gear into one figure each: medians, drawn to the median
// of all by what 25 samples are worth.
func shrunk(by [][]float64) []float64 {
	var all []float64
	for _, x := range by {
		all = append(all, x...)
	}
	common := 0.0
	if len(all) > 20 {
		common = median(all)
	}
	out := make([]float64, len(by))
	for i := range out {
		n := float64(len(by[i]))
		out[i] = common
		if n > 0 {
			out[i] = (n*median(by[i]) + 25*common) / (n + 25)
		}
	}
	return out
}

// settledOffset measures how far boost settles from its target in each gear, Pa,
// where it came near it and no spring holds more, floor, Pa gauge.
func settledOffset(ws []*work, gears int, floor float64) []float64 {
	by := make([][]float64, gears)
	for _, w := range ws {
		w.settled(gears, floor, func(_, g int, over float64) { by[g-1] = append(by[g-1], over) })
	}
	return shrunk(by)
}

// trimOffset corrects the offsets by what the fitted balance has over the measured
// boost where that has settled: the rest of an overshoot must not count twice.
func trimOffset(c *sim.Car, ws []*work) {
	gears := mostGears(c, ws)
	by := make([][]float64, gears)
	for _, w := range ws {
		if w.Boost == nil {
			continue
		}
		out := make([]float64, len(w.X))
		w.runHead(c, w.phases(), w.gearAt(), startHead(w), out)
		w.settled(gears, c.Boost.Floor, func(i, g int, _ float64) {
			if d := sim.Pressure(w.air.Pressure, out[i]) - w.Boost[i]; math.Abs(d) < 15e3 {
				by[g-1] = append(by[g-1], d)
			}
		})
	}
	for g, d := range shrunk(by) {
		c.Boost.Offset[g] -= d
	}
}

func median(x []float64) float64 {
	s := slices.Clone(x)
	slices.Sort(s)
	n := len(s)
	if n == 0 {
		return 0
	}
	if n%2 == 1 {
		return s[n/2]
	}
	return (s[n/2-1] + s[n/2]) / 2
}

// fillTargets takes the boost that was reached for the target where nobody wrote
// one down.
func fillTargets(obs []*Observation) {
	for _, o := range obs {
		if o.Target != nil || o.Boost == nil {
			continue
		}
		by := make([][]float64, len(o.Sheet.Gears))
		for i, g := range o.Gear {
			if g >= 1 && g <= len(by) && o.Full[i] && i >= o.Lock && !math.IsNaN(o.Boost[i]) {
				by[g-1] = append(by[g-1], o.Boost[i]-o.Air.Pressure)
			}
		}
		high := 0.0
		for _, b := range by {
			if len(b) > 25 {
				slices.Sort(b)
				high = max(high, b[len(b)*9/10])
			}
			o.Target = append(o.Target, high)
		}
	}
}

// What a settled boost that is not at its target is taken for: the sensor's own error with the
// barometer's, 1 of absolute pressure, or the control's, Pa. Common practice, no source.
const (
	sensorOff  = 0.008
	controlOff = 3e3
)

// atTarget is what a boost at its target is thought to read over it, Pa by gear: of what settled
// boost reads over its target the sensor's part, as the two errors share it out.
func atTarget(settled []float64, ws []*work) []float64 {
	w := ws[len(ws)-1]
	out := make([]float64, len(settled))
	for g, d := range settled {
		sensor := sensorOff * w.target(&sim.Boost{}, g+1)
		out[g] = d * sensor * sensor / (sensor*sensor + controlOff*controlOff)
	}
	return out
}
