package reconstruct

import (
	"math"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/num/localfit"
	"traplight/internal/num/stats"
)

// A receiver that is wrong for a while, held against what turns with the wheels.
const (
	strayFast  = 10.0 // m/s above which it is judged
	strayReach = 4.0  // s, on either side within which the share by which wheels run ahead is compared
	strayLeast = 0.8  // m/s, least departure from it that makes a reading doubtful
	strayCalm  = 0.3  // of that, back to which a doubtful stretch extends
	strayShift = 0.12 // 1, of a gear's speed: farther off, the engine is between two
	strayMost  = 0.5  // 1, of the receiver's departure from its own course the wheels' from theirs may be at most
	strayFew   = 3    // readings that make a stretch
	strayStep  = 0.3  // s, between readings of which one stretch may consist
)

// withoutStrays is a receiver's speed without the stretches of loneSpan at most in which it leaves what the
// driven wheels, or else the engine in gear, say the car does, and comes back. Wheels that spin leave
// the receiver just so; then their own course bends, and the receiver's, laid through what stands on both sides,
// runs on. Only where the receiver's bends more than twice as much as theirs it is wrong. Where nothing
// feels acceleration and nothing only rolls, torque would follow it.
func withoutStrays(c *dictionary.Channel, turns func(t float64) float64) *dictionary.Channel {
	t, v := c.Trace.T, c.Trace.V
	n := len(t)
	if n < 20 {
		return c
	}
	ahead, speed := make([]float64, n), make([]float64, n) // 1; m/s by what turns
	for i := range t {
		ahead[i] = math.NaN()
		if speed[i] = turns(t[i] - satLatency); v[i] > strayFast {
			ahead[i] = math.Log(speed[i] / v[i])
		}
	}
	off := make([]float64, n)
	var near, size []float64
	lo, hi := 0, 0
	for i := range t {
		for t[lo] < t[i]-strayReach {
			lo++
		}
		for hi < n && t[hi] <= t[i]+strayReach {
			hi++
		}
		near = near[:0]
		for _, x := range ahead[lo:hi] {
			if x == x {
				near = append(near, x)
			}
		}
		off[i] = math.NaN()
		if ahead[i] == ahead[i] {
			off[i] = v[i] * (ahead[i] - stats.Median(near))
			size = append(size, math.Abs(off[i]))
		}
	}
	if len(size) < 20 {
		return c
	}
	far := math.Max(strayLeast, leapSDs*1.4826*stats.Median(size))
	drop := make([]bool, n)
	lost := 0
	for i := 0; i < n; i++ {
		if !(math.Abs(off[i]) > far) {
			continue
		}
		side := math.Copysign(1, off[i])
		calm := func(k int) bool { return off[k] == off[k] && side*off[k] < strayCalm*far }
		// A shift may make it calm for a moment.
		from, to := i, i+1
		for k, quiet := i-1, 0; k >= 0 && quiet < strayFew && t[k+1]-t[k] < strayStep; k-- {
			if quiet++; !calm(k) {
				from, quiet = k, 0
			}
		}
		for k, quiet := i+1, 0; k < n && quiet < strayFew && t[k]-t[k-1] < strayStep; k++ {
			if quiet++; !calm(k) {
				to, quiet = k+1, 0
			}
		}
		if to-from >= strayFew && t[to-1]-t[from] < loneSpan && bends(t, v, speed, from, to) {
			for k := from; k < to; k++ {
				if !drop[k] {
					drop[k] = true
					lost++
				}
			}
		}
		i = max(i, to-1)
	}
	if lost == 0 || float64(lost) > leapShare*float64(n) {
		return c
	}
	return without(c, drop)
}

// bends says whether a receiver's readings from one index to before another lie more than twice as far off
// the course of those around them than what turns does off its own. It does not where these do not
// adjoin, or the car slows behind: nothing runs on there.
func bends(t, v, speed []float64, from, to int) bool {
	left, right := from, to
	for left > 0 && t[from]-t[left-1] < loneSide && t[left]-t[left-1] < strayStep {
		left--
	}
	for right < len(t) && t[right]-t[to-1] < loneSide && t[right]-t[right-1] < strayStep {
		right++
	}
	if from-left < loneLeast || right-to < loneLeast || v[right-1] < v[to] {
		return false
	}
	departs := func(y []float64) float64 {
		var x, z []float64
		for k := left; k < right; k++ {
			if (k < from || k >= to) && speed[k] == speed[k] {
				x, z = append(x, t[k]-t[from]), append(z, y[k])
			}
		}
		if len(x) < 2*loneLeast || x[0] >= 0 || x[len(x)-1] <= 0 {
			return math.NaN()
		}
		var sum float64
		n := 0
		for k := from; k < to; k++ {
			on, _, ok := localfit.Quadratic(x, z, t[k]-t[from], loneSpan+2*loneSide)
			if e := y[k] - on; ok && speed[k] == speed[k] {
				sum, n = sum+e*e, n+1
			}
		}
		if 2*n < to-from {
			return math.NaN()
		}
		return math.Sqrt(sum / float64(n))
	}
	receiver, wheels := departs(v), departs(speed)
	return receiver > strayLeast/2 && wheels < strayMost*receiver
}

// turning tells the speed, m/s, of what turns with the driven tyres: the slowest of the driven wheels, else
// the engine in that gear whose speed is next to the receiver's; NaN between gears. nil without either.
func (s *signals) turning(sheet *car.Sheet) func(t float64) float64 {
	if len(s.driven) > 0 && !s.byEngine {
		return func(t float64) float64 {
			least := math.NaN()
			for _, w := range s.driven {
				if v := sampleAt(w.Trace, t, 0.3); !(v >= least) {
					least = v
				}
			}
			return least
		}
	}
	r := sheet.TyreRadius.Value
	if s.engine == nil || r <= 0 || len(s.sat) == 0 {
		return nil
	}
	car := s.sat[0].Trace
	return func(t float64) float64 {
		v, w := sampleAt(car, t+satLatency, 0.5), sampleAt(s.engine.Trace, t, 0.2)
		best, least := math.NaN(), strayShift
		for _, g := range sheet.Gears {
			x := w * r / (g * sheet.FinalDrive)
			if d := math.Abs(math.Log(x / v)); d < least {
				best, least = x, d
			}
		}
		return best
	}
}

// leaveStrays looks for them where neither an accelerometer nor wheels that only roll tell them.
func (s *signals) leaveStrays(sheet *car.Sheet) {
	if s.accel != nil || len(s.undriven) > 0 {
		return
	}
	turns := s.turning(sheet)
	if turns == nil {
		return
	}
	for i, c := range s.sat {
		s.sat[i] = withoutStrays(withoutWrongSides(c, turns), turns)
	}
}
