package health

import (
	"fmt"
	"math"

	"traplight/internal/dictionary"
	"traplight/internal/quantity"
)

// Where the car sheet gives no ratios nobody knows which the gears are, but between two shifts
// there is one: an engine that turns faster for the wheels of both axles than at another moment
// has come free of them, whichever of the two it drives. A wheel that spins or slides moves its
// own axle alone. For so long that is 2.1 % at most on 2610 passes of invented cars with a sound
// clutch (one of 624 further ones 3.2 %: sensors are late while tyres spin), and 0.9 % in the open logs.
const (
	freeShare = 0.035 // 1
	freeHeld  = 0.4   // s
	freeFrom  = 0.2   // s into a stretch at full throttle, in which clutch and gear come to
	freeSpeed = 15.0  // m/s, from which wheels are held against the engine
	freeCalm  = 5     // cells on either side whose median stands for a reading
)

// ranFree is by how much the engine turns faster for the wheels of every axle than it does at
// another moment between the same two shifts, before it or after it, natural logarithm of a
// ratio; NaN where that is not known. chs are the channels it rests on; none where an axle has none.
func (f *frame) ranFree() (free []float64, chs []*dictionary.Channel) {
	engine := f.set.First(quantity.EngineSpeed)
	var axles [][]float64
	for _, pair := range [][2]quantity.Name{{quantity.WheelSpeedFL, quantity.WheelSpeedFR}, {quantity.WheelSpeedRL, quantity.WheelSpeedRR}} {
		var cols [][]float64
		for _, q := range pair {
			if c := f.set.First(q); c != nil {
				chs, cols = append(chs, c), append(cols, f.column(c))
			}
		}
		if len(cols) == 0 {
			return nil, nil
		}
		axles = append(axles, smooth(meanOf(cols), freeCalm))
	}
	if engine == nil {
		return nil, nil
	}
	n := smooth(f.speed, freeCalm)
	for _, w := range axles {
		for i := range w {
			if w[i] = math.Log(n[i] / w[i]); !(f.v[i] > freeSpeed) || math.IsInf(w[i], 0) {
				w[i] = nan()
			}
		}
	}
	free = filled(f.n, nan())
	for _, s := range f.stretches() {
		s[0] += int(freeFrom / cell)
		for i := s[0]; i < s[1]; i++ {
			free[i] = f.overLeast(axles, s[0], i, s[1])
		}
	}
	return free, append([]*dictionary.Channel{engine}, chs...)
}

// overLeast is by how much every axle's ratio at a cell is over its least before the cell, or
// after it, whichever is more.
func (f *frame) overLeast(axles [][]float64, from, at, end int) float64 {
	before, after := math.Inf(1), math.Inf(1)
	for _, w := range axles {
		b, a := w[at], w[at]
		for k := from; k < end; k++ {
			switch {
			case k < at && w[k] < b:
				b = w[k]
			case k > at && w[k] < a:
				a = w[k]
			}
		}
		before, after = min(before, w[at]-b), min(after, w[at]-a)
	}
	return max(before, after)
}

// cameFree is a clutch told so, where no watch holds the engine against the driven wheels.
func (j *judge) cameFree() (breach, bool) {
	if j.judged([]string{"engine over wheels"}) {
		return breach{}, false
	}
	free, chs := j.ranFree()
	if chs == nil {
		return breach{}, false
	}
	on := func(i int) bool { return free[i] > freeShare }
	from, ok := j.lasting(freeHeld, on)
	if !ok {
		return breach{}, false
	}
	most := j.went(0.9, of(free), on)
	sev := Moderate
	if most > 3*freeShare {
		sev = Gross
	}
	text := fmt.Sprintf("between two shifts the engine turns up to %.0f %% faster for the wheels of both axles than at another moment", 100*math.Expm1(most))
	return breach{ClutchSlip, sev, from, names(chs...), text, ofPractice, false, false}, true
}
