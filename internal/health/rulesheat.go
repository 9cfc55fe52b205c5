package health

import (
	"fmt"
	"math"

	"traplight/internal/num/robust"
	"traplight/internal/quantity"
)

const (
	perBoostMost = 0.035 // Pa of coolant pressure per Pa of boost, past the pump's and the heat's
	warmWindow   = 3.0   // s over which the coolant's warming is reckoned
	warmCalm     = 25    // cells on either side whose median stands for a reading: lone leaps are none
	warmGap      = 15    // cells of it that may be without readings
	warmFrom     = 4.0   // s after the launch: before, the heat has not reached the sensor
	warmShare    = 1.25  // of the least warming for the work so far in the pass, beyond which it is told
	warmLeast    = 0.6   // K, by which the window's rise must be beyond that, and twice what the reading steps by
	hotCharge    = 0.8   // of the compressor's rise (efficiency 0.7), that is still in the charge
	hotLeast     = 60.0  // K over the air that it must be
)

// perBoost is by how much a pressure in the coolant rises with boost, Pa per Pa, past
// what pump, heat and time explain, with its standard deviation. Lift and launch part
// boost from engine speed.
func (f *frame) perBoost(p []float64) (slope, sd float64, ok bool) {
	slope, sd, _, ok = f.perBoostFrom(p, f.launch-3)
	return slope, sd, ok
}

// goesFrom is the moment, s, from which a pressure goes with the boost: that which
// leaves the least unexplained.
func (f *frame) goesFrom(p []float64) float64 {
	best, at := math.Inf(1), f.launch
	for t := f.launch; t < f.end-1; t += 0.25 {
		if _, _, left, ok := f.perBoostFrom(p, t); ok && left < best {
			best, at = left, t
		}
	}
	if at <= f.launch+0.5 {
		return f.launch
	}
	return at
}

// perBoostFrom is perBoost for a pressure that goes with the boost only from a moment
// on; left is the mean absolute residual, Pa.
func (f *frame) perBoostFrom(p []float64, from float64) (slope, sd, left float64, ok bool) {
	n2 := square(f.normal())
	ct := f.first(quantity.CoolantTemperature)
	if ct == nil {
		ct = filled(f.n, 353)
	}
	mask := f.mask(func(i int) bool { return f.t[i] > f.launch-3 && f.t[i] < f.end+4 && f.running[i] })
	feats := [][]float64{n2, lag(n2, 0.25), scaled(ct, 353, 10), apply(f.n, func(i int) float64 { return (f.t[i] - f.launch) / 10 }),
		apply(f.n, func(i int) float64 {
			if f.t[i] < from {
				return 0
			}
			return max(f.boost[i], 0) / 1e5
		})}
	r := f.collect(mask, p, nil, feats...)
	if r.len() < 40 {
		return 0, 0, 0, false
	}
	prior := &robust.Prior{Mean: []float64{60e3, 30e3, 0, 10e3, 0, 0}, SD: []float64{80e3, 40e3, 40e3, 15e3, 15e3, 100e3}, Scale: 2e3}
	fit, err := robust.Regress(r.X, r.Y, r.P, robust.Config{Prior: prior, MinScale: 500})
	if err != nil || len(fit.Cov) == 0 {
		return 0, 0, 0, false
	}
	k := r.P - 1
	// Rows are correlated over about half a second: five of them say what two would.
	for i, y := range r.Y {
		for c, b := range fit.Coef {
			y -= b * r.X[i*r.P+c]
		}
		left += math.Abs(y) / float64(r.len())
	}
	return fit.Coef[k] / 1e5, 1.6 * math.Sqrt(fit.Cov[k*r.P+k]) / 1e5, left, true
}

// followsBoost is a coolant pressure that goes with the boost: the combustion reaches
// the coolant.
func (j *judge) followsBoost() (breach, bool) {
	c := j.set.First(quantity.CoolantPressure)
	if c == nil {
		return breach{}, false
	}
	slope, sd, ok := j.perBoost(j.column(c))
	if !ok || slope < perBoostMost || slope < 5*sd {
		return breach{}, false
	}
	j.gas = true
	sev := Subtle
	if slope > 3*perBoostMost {
		sev = Moderate
	}
	from := j.goesFrom(j.column(c))
	text := fmt.Sprintf("coolant pressure goes with the boost, %.0f %% of it, past what pump and heat explain", 100*slope)
	return breach{CoolantPressure, sev, from, names(c), text, ofPractice, false, false}, true
}

// warmsMore is a coolant that warms more for the work than it did before in this very
// pass, although it is hotter and the air faster, which can only carry off more: less
// is carried off than was.
func (j *judge) warmsMore() (breach, bool) {
	c := j.set.First(quantity.CoolantTemperature)
	if c == nil || j.cooler() {
		return breach{}, false
	}
	raw := j.column(c)
	x, work := lag(smooth(raw, warmCalm), 0.2), lag(j.work(), 1)
	n := int(warmWindow / cell)
	beyond := warmLeast + 2*quantum(c.Trace.V)
	least := math.Inf(1)
	unfed, gap := j.unfed(), gaps(raw, j.air)
	var behind []float64 // each window's warming for the work, by its first cell
	for i := 0; i+n < j.n; i++ {
		r := nan()
		// Only while the engine works, and is seen to work, all the time.
		if w := work[i+n] - work[i]; j.t[i] > j.launch+warmFrom && j.t[i+n] < min(j.end, unfed) && w > 0.5*warmWindow/10 && gap[i+n]-gap[i] < warmGap {
			r = (x[i+n] - x[i]) / w
		}
		behind = append(behind, r)
		if k := i - n; k >= 0 && behind[k] > 0 {
			least = min(least, behind[k]) // windows that are over before this one begins
		}
		w := work[i+n] - work[i]
		if r > 0 && x[i+n] > 350 && x[i+n] < 450 && x[i+n]-x[i]-warmShare*least*w > beyond {
			text := fmt.Sprintf("coolant warms more for the work than before in this pass, though hotter and in faster air: %s in %.0f s",
				j.size(&observation{look: &look{spec: spec{measure: ofTemperature}}}, x[i+n]-x[i]), warmWindow)
			return breach{Overheat, Moderate, j.t[i] + 2*warmWindow/3, names(c), text, ofPractice, false, false}, true
		}
	}
	return breach{}, false
}

// cooler says that the coolant warms less for the work than on the car's earlier passes:
// what then warms it more than before in this pass is work that is not done (fuel that
// does not burn).
func (j *judge) cooler() bool {
	for _, o := range j.obs {
		if o.id == "coolant heat" && o.model != nil && o.model.passes > 0 && o.hit.Size < 0 && o.z < -2 {
			return true
		}
	}
	return false
}

// gaps counts, up to each cell, the cells in which one of two columns has no reading.
func gaps(x, y []float64) []int {
	out, n := make([]int, len(x)), 0
	for i := range x {
		if math.IsNaN(x[i]) || math.IsNaN(y[i]) {
			n++
		}
		out[i] = n
	}
	return out
}

// uncooled is a charge from which the cooler takes hardly any of the compressor's heat.
func (j *judge) uncooled(hot func(i int) bool) (breach, bool) {
	c := j.set.First(quantity.ChargeTemperature)
	if c == nil {
		c = j.set.First(quantity.IntakeTemperature)
	}
	if c == nil || !j.ambientKnown {
		return breach{}, false
	}
	x, rise := j.column(c), lag(j.idealRise(), 5)
	from, ok := j.lasting(1, func(i int) bool {
		over := x[i] - j.ambient
		return hot(i) && j.t[i] > j.launch+6 && over > hotLeast && over > hotCharge*rise[i]
	})
	if !ok {
		return breach{}, false
	}
	j.stewed = true
	text := fmt.Sprintf("more than %.0f %% of the compressor's heat is still in the charge", 100*hotCharge)
	return breach{ChargeHeat, Moderate, from, names(c), text, ofPractice, false, false}, true
}

// quantum is the least step between neighbouring readings that differ, in their unit;
// 0 for none.
func quantum(v []float64) float64 {
	q := math.Inf(1)
	for i := 1; i < len(v); i++ {
		if d := math.Abs(v[i] - v[i-1]); d > 1e-9 {
			q = min(q, d)
		}
	}
	if math.IsInf(q, 0) {
		return 0
	}
	return q
}
