package plan

import (
	"math"

	"traplight/internal/fitcar"
	"traplight/internal/sim"
)

const (
	reachedShare = 0.95 // 1, of its target that boost must come to
	// Doubt of the time that boost takes, 1: as it was run, and of the change of ln absolute
	// pressure beyond it. Common practice, no source.
	riseRepeats = 0.05
	riseDoubt   = 0.35
	// The same, once, where the gear has only shown what the gate's spring holds: how its control
	// comes to a target is then not known at all; and the pressure beyond, 1 of its logarithm, from
	// which it is all of that.
	riseUnseen  = 0.5
	riseFar     = 0.15
	springNear  = 8e3 // Pa over the spring that may still be the spring's
	springShare = 0.9 // 1, of the model's goal
	readZero    = 3e3 // Pa, by which a sensor may read too low
)

// short is the chance, 0–1, that boost does not come to its target in the gear: a count of
// draws would take the model's rise for the car's.
func (s *search) short(x settings, g *sim.Gear) float64 {
	return min(s.late(x, g), s.without(x, g.Gear-1))
}

// late is short by the model's rise and the way in which the gear's control came to its target.
func (s *search) late(x settings, g *sim.Gear) float64 {
	i := g.Gear - 1
	baro := s.base.Air.Pressure
	beyond := max(0, math.Log((x.boost[i]+baro)/(s.ran.boost[i]+baro)))
	sd := math.Hypot(riseRepeats, riseDoubt*beyond)
	if s.springOnly(i) {
		sd = math.Hypot(sd, riseUnseen*min(1, beyond/riseFar))
	}
	if set := reachedShare * x.boost[i]; set < springShare*g.Goal {
		// the gate's spring holds more than what is set, and that is what the model goes to
		return tail(math.Log(max(0.01, g.MaxBoost)/max(1, set)) / sd)
	}
	return max(tail((reserve(g)+s.missed.rise[i])/sd), s.below(x, g))
}

// without is the chance, 0–1, that boost stays under its target in gear i (from 0) even if the
// control does no more than with the settings run, by what was there half way through the gear:
// told of more, it does not let go of that. 1 where the gear before, whose boost it begins with, is
// set to less than was run, and where this one is and not the spring held it.
func (s *search) without(x settings, i int) float64 {
	w := &s.missed.way[i]
	if !w.known() || x.boost[i] <= 0 || i > 0 && x.boost[i-1] < s.ran.boost[i-1]-sameBoost || x.boost[i] < 0.99*w.set && w.early < w.set {
		return 1
	}
	return tail(math.Log(w.early/(reachedShare*x.boost[i])) / w.repeats)
}

// below is the chance, 0–1, that boost is still on its way to the target when the gear ends, as
// the logs' peaks of it tell: a control that comes to its target slowly leaves e^(−T/τ) of the way
// that it had to go in a gear of duration T.
func (s *search) below(x settings, g *sim.Gear) float64 {
	i := g.Gear - 1
	w := &s.missed.way[i]
	if !w.known() || x.boost[i] <= 0 {
		return 0
	}
	peak := reachedShare * w.set * math.Exp(w.level)
	left := (w.set - peak) / max(w.set-w.entry, w.set-peak, 1) // 1, of the way
	if left <= 0 {
		return tail(w.level / w.repeats)
	}
	entry := w.entry
	if i > 0 { // the boost of the gear before, as far as its setting and not the spring made it
		before := max(s.ran.boost[i-1], s.missed.way[i-1].peak())
		entry += max(0, x.boost[i-1]-before) + min(0, x.boost[i-1]-s.ran.boost[i-1])
	}
	left = math.Pow(min(1, left), min(levelLonger, max(1/levelLonger, (g.T1-g.T0)/w.lasts)))
	short := left * max(0, x.boost[i]-entry) / x.boost[i]
	moved := min(1, math.Abs(math.Log(x.boost[i]/w.set))/levelFar)
	p := tail(math.Log(max(0.01, 1-short)/reachedShare) / math.Hypot(w.repeats, levelDoubt*moved*short))
	if x.boost[i] < w.set { // nearer to the spring a control has no more say
		return max(p, tail(w.level/w.repeats))
	}
	return p * (1 - levelElse*moved)
}

const (
	levelRepeats = 0.02 // 1, of a gear's peak from pass to pass, sensor included, with the weight of two passes; common practice, no source
	levelLonger  = 3.0  // 1, by which a gear's duration may change for what the logs tell of it
	// Doubt of how far boost stays under a target that was not run, 1 of that, and the change of ln
	// target from which it is all of that: controls are seldom linear. Common practice, no source.
	levelDoubt = 0.7
	levelFar   = 0.05
	// Chance that the control's way was the doing of the target run, being near to what the spring
	// holds or to the boost of the gear before, so that the model's own rise tells of others.
	levelElse = 0.5
)

// way is how boost came to what was set in one gear, as the logs show it; means of the passes.
type way struct {
	set     float64 // Pa gauge, what was set; 0 not known
	level   float64 // ln of the peak read over reachedShare of what was set
	entry   float64 // Pa gauge, least after the gear's beginning
	early   float64 // Pa gauge, highest in the first half of the gear
	lasts   float64 // s, the gear
	repeats float64 // 1, spread of the next level about the mean
}

func (w *way) known() bool { return w.set > 0 }

// peak is the peak read, Pa gauge; 0 not known.
func (w *way) peak() float64 { return reachedShare * w.set * math.Exp(w.level) }

// ways gathers them by gear (from 0) of passes.
type ways struct {
	level                    []scatter
	set, entry, early, lasts []float64
}

func newWays(gears int) *ways {
	return &ways{make([]scatter, gears), make([]float64, gears), make([]float64, gears), make([]float64, gears), make([]float64, gears)}
}

// add takes a pass's boost in gear i (from 0), Pa gauge a step, s, in the order of time, its peak and what was set, Pa gauge.
func (q *ways) add(i int, read []float64, step, peak, set float64) {
	q.level[i].add(math.Log(peak / (reachedShare * set)))
	entry, early := peak, 1.0
	for k := 1; k+1 < len(read); k++ {
		x := (read[k-1] + read[k] + read[k+1]) / 3
		entry = min(entry, x)
		if k <= len(read)/2 {
			early = max(early, min(x, peak))
		}
	}
	q.set[i], q.entry[i], q.early[i], q.lasts[i] = q.set[i]+set, q.entry[i]+entry, q.early[i]+early, q.lasts[i]+step*float64(len(read))
}

func (q *ways) mean() []way {
	out := make([]way, len(q.level))
	for i := range out {
		l := &q.level[i]
		if l.n == 0 {
			continue
		}
		sd := math.Sqrt((l.rest() + 2*levelRepeats*levelRepeats) / (l.n - 1 + 2) * (1 + 1/l.n))
		out[i] = way{q.set[i] / l.n, l.mean(), q.entry[i] / l.n, q.early[i] / l.n, q.lasts[i] / l.n, sd}
	}
	return out
}

// springOnly tells whether gear i (from 0) was never set to more than the gate's spring holds,
// as far as that is known.
func (s *search) springOnly(i int) bool {
	return s.springHolds(s.ran.boost[i])
}

// springHolds tells whether the gate's spring holds a boost, Pa gauge, or more, as far as that is known.
func (s *search) springHolds(boost float64) bool {
	spring := s.m.Mean.Car.Boost.Floor
	if spring <= 0 {
		spring = fitcar.SpringMean
	}
	return boost < spring+springNear
}

// reserve is the logarithm of the time in the gear over that which boost takes to its
// target; where it does not come so far, that of the boost reached over what was to be.
// Infinite where it is there on entering the gear.
func reserve(g *sim.Gear) float64 {
	if g.Reached {
		return math.Log((g.T1 - g.T0) / max(0, g.RecoveryTime))
	}
	if g.Goal <= 0 {
		return math.Inf(1)
	}
	return math.Log(max(0.01, g.MaxBoost/g.Goal))
}

// lateness is what must be added to the model's reserve for what the log shows of a gear, its
// peak read, Pa gauge: where only one of both came to the target.
func lateness(g *sim.Gear, read float64) float64 {
	if g.Goal <= 0 || read <= 0 {
		return 0
	}
	model, log := reserve(g), math.Log((read+readZero)/g.Goal)
	switch {
	case g.Reached && log >= 0:
		return 0
	case g.Reached:
		return log - min(model, 0.5)
	case log >= 0: // it came there with time to spare, if little is known of how much
		return log + riseRepeats - model
	}
	return log - model
}
