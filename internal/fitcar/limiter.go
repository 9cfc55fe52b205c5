package fitcar

import (
	"math"
	"slices"

	"traplight/internal/sim"
)

const (
	limiterBand  = 10.0 // rad/s under the limiter within which torque may be cut
	limiterSeen  = 0.15 // s of torque that is cut there, or not, that tell where the limiter is
	limiterOff   = 1.0  // rad/s of the limiter that are worth another fit
	limiterWhole = 0.9  // 1, of the engine's torque: more counts as whole
)

// LimitDoubt is how far from the sheet's figure, rad/s, an engine is held by a limiter that no
// log shows: computers begin to cut some 50 rpm before it, or swing about it. Common practice,
// no source.
const LimitDoubt = 5.0

// limited tells that at sample i the limiter may take torque away: that torque is not the
// engine's account.
func (w *work) limited(c *sim.Car, i int) bool {
	return c.RevLimit > 0 && w.Engine[i] > c.RevLimit-limiterBand
}

// trueLimit raises the sheet's limiter to what the engine has turned at full throttle.
func trueLimit(c *sim.Car, ws []*work) {
	if c.RevLimit <= 0 {
		return
	}
	for _, w := range ws {
		var fast []float64
		for i := w.Lock; i < len(w.X); i++ {
			if w.Engine[i] > c.RevLimit && !math.IsNaN(w.torque[i]) {
				fast = append(fast, w.Engine[i])
			}
		}
		if n := int(limiterSeen / w.Step); len(fast) > n {
			slices.Sort(fast)
			c.RevLimit = fast[len(fast)-1-n]
		}
	}
}

// learnLimit finds where the limiter cuts: the sheet's speed is where the computer begins,
// or where it ends, or a round number. It is where the engine's torque, known from lower
// speeds, is cut as the simulator cuts it; and over where it is still whole. It tells whether
// that is so far off that the engine is to be fitted again, and whether a cut was seen.
func learnLimit(c *sim.Car, ws []*work) (again, seen bool) {
	was := c.RevLimit
	if was <= 0 {
		return false, false
	}
	var at, over []float64
	need := math.Inf(1)
	for _, w := range ws {
		need = limiterSeen / w.Step
		for i := w.Lock; i < len(w.X); i++ {
			q, ok := w.charge(&c.Engine, i)
			if !ok || !w.limited(c, i) || w.slipping(i) || w.fed(c, i) || w.cut(i) {
				continue
			}
			left := w.torque[i] / c.Engine.Torque(w.Engine[i], q)
			if left < limiterWhole {
				at = append(at, w.Engine[i]+max(0, left)*sim.LimitBand)
			} else {
				over = append(over, w.Engine[i]+limiterWhole*sim.LimitBand)
			}
		}
	}
	if seen = float64(len(at)) > need; seen {
		c.RevLimit = median(at)
	} else if n := int(need); len(over) > n {
		slices.Sort(over)
		c.RevLimit = max(c.RevLimit, over[len(over)-1-n])
	}
	return math.Abs(c.RevLimit-was) > limiterOff, seen
}
