package reconstruct

import (
	"math"

	"traplight/internal/num/stats"
	"traplight/internal/trace"
)

// How a launch is told from engine speed alone. Common practice, no source.
const (
	lineHold    = 0.8  // s for which the engine is held steady at the line
	holdSpread  = 0.08 // 1, by which it may swing there: a limiter cuts in and out
	holdDrift   = 0.03 // 1, by which it may rise or fall meanwhile
	leaves      = 0.05 // 1, by which it has left that speed
	leftLate    = 0.06 // s from the launch until it has
	slipsFor    = 0.7  // s that a launch clutch usually slips
	launchPull  = 7.5  // m/s² while it does
	leftSD      = 0.25 // s, spread of a launch told by the engine leaving the speed it was held at
	slipsSD     = 0.25 // s, and by the clutch's closing alone
	turnsUp     = 1.08 // 1, of its lowest, at which the engine that was drawn down turns upward
	closesUntil = 3.0  // s after which no clutch slips any more
	risesFor    = 0.5  // s behind the clutch's closing for which its rise tells the pull
	heldPull    = 0.85 // 1, of the time by the pull in gear: an engine held at one speed has nothing to spin up (0.1 to 0.2 kg m² at 7 to 11 turns a wheel's turn are a seventh of a car)
	takesSpread = 0.15 // 1, of the take-up so found
)

// engineStart is a launch as engine speed alone tells it.
type engineStart struct {
	from   float64 // s, the stretch in first gear begins
	at, sd float64 // s
	lock   float64 // s, the clutch has closed; 0 it was not seen to: the tyres spun
}

// engineStarts finds the launches: an engine held steady, or drawn down and turning
// upward, before a pull in first gear. gear is by sample of x, engine speed in rad/s.
func engineStarts(x trace.Trace, gear []int, idle float64) (out []engineStart) {
	for i := 0; i < len(x.T); i++ {
		if gear[i] != 1 || x.V[i] <= idle {
			continue
		}
		j := i
		for j+1 < len(x.T) && gear[j+1] == 1 && x.T[j+1]-x.T[j] < 1 {
			j++
		}
		if s, ok := engineStartIn(x, i, j, idle); ok {
			s.from = x.T[i]
			out = append(out, s)
		}
		i = j
	}
	return out
}

// engineStartIn looks in one stretch of first gear, samples i to j.
func engineStartIn(x trace.Trace, i, j int, idle float64) (engineStart, bool) {
	top := j
	for k := i; k <= j; k++ {
		if x.V[k] > x.V[top] {
			top = k
		}
	}
	if left, held := leaving(x, i, top, idle); held {
		s := engineStart{at: x.T[left] - leftLate, sd: leftSD}
		if lock := drawnDown(x, left, top); lock >= 0 && x.T[lock]-s.at < closesUntil {
			s.lock = x.T[lock]
		} else if took := takesUp(x, left, top); took > 0 {
			// It was held while its clutch slipped, and left that speed with it closed.
			s = engineStart{at: x.T[left] - leftLate - took, sd: math.Max(leftSD, takesSpread*took), lock: x.T[left] - leftLate}
		}
		return s, true
	}
	if lock := lastLow(x, i, top); lock >= 0 {
		return engineStart{at: x.T[lock] - slipsFor, sd: slipsSD, lock: x.T[lock]}, true
	}
	return engineStart{}, false
}

// takesUp is how long, s, the car had pulled when its clutch had closed, at sample lock: at
// the pull that the engine, tied to the wheels, shows behind it, its speed over its
// rise, and as much more as the engine's own inertia takes of it then. 0 where it rises faster than a car pulls, tyres spinning, or cannot be told.
func takesUp(x trace.Trace, lock, top int) float64 {
	w := x.Slice(x.T[lock], math.Min(x.T[lock]+risesFor, x.T[top]))
	if w.Len() < 5 || w.T[w.Len()-1]-w.T[0] < risesFor/2 {
		return 0
	}
	rise := drift(w)
	if rise <= 0 {
		return 0
	}
	took := heldPull * x.V[lock] / rise
	if took < slipsFor || took > closesUntil {
		return 0
	}
	return took
}

// leaving is the sample at which the engine left the speed at which it was held last
// before sample top.
func leaving(x trace.Trace, i, top int, idle float64) (int, bool) {
	for k := top; k > i; k-- {
		w := x.Slice(x.T[k]-lineHold, x.T[k])
		if w.Len() < 5 || w.T[0] > x.T[k]-0.7*lineHold {
			continue
		}
		level, trend := stats.Median(w.V), drift(w)
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, v := range w.V {
			lo, hi = math.Min(lo, v), math.Max(hi, v)
		}
		if level < idle || level > 0.9*x.V[top] || hi-lo > holdSpread*level || math.Abs(trend)*lineHold > holdDrift*level {
			continue
		}
		for m := k; m <= top; m++ {
			if math.Abs(x.V[m]/level-1) > leaves {
				return m, true
			}
		}
	}
	return 0, false
}

// drift is the slope of the least-squares line through x, its unit per s.
func drift(x trace.Trace) float64 {
	var n, st, sv, stt, stv float64
	for i, t := range x.T {
		u := t - x.T[0]
		n, st, sv, stt, stv = n+1, st+u, sv+x.V[i], stt+u*u, stv+u*x.V[i]
	}
	d := n*stt - st*st
	if d <= 0 {
		return 0
	}
	return (n*stv - st*sv) / d
}

// drawnDown is the sample at which an engine drawn down by the clutch was lowest before it
// turned upward for good, −1 when it was not.
func drawnDown(x trace.Trace, from, top int) int {
	low, high := from, from
	for k := from; k <= top; k++ {
		if x.T[k]-x.T[from] > closesUntil {
			break
		}
		if x.V[k] > x.V[high] && low == high {
			low, high = k, k
		}
		if x.V[k] < x.V[low] {
			low = k
		}
		if x.V[k] > turnsUp*x.V[low] && x.V[low] < 0.97*x.V[high] {
			return low
		}
	}
	return -1
}

// lastLow is the sample of the last low before sample top, −1 when the engine only rose.
func lastLow(x trace.Trace, i, top int) int {
	low := top
	for k := top; k >= i; k-- {
		if x.V[k] < x.V[low] {
			low = k
		}
		if x.V[k] > turnsUp*x.V[low] && low < top && x.T[low]-x.T[k] < closesUntil {
			return low
		}
	}
	return -1
}

// standing takes the clutch's slip and the stand before it out of speeds made from the
// engine: nothing from the stretch's begin to the launch, an even pull until the clutch has closed.
func (s engineStart) standing(tr trace.Trace) {
	v1 := math.NaN()
	if s.lock > 0 {
		v1 = sampleAt(tr, s.lock, 0.5)
	}
	for i, t := range tr.T {
		switch {
		case t < s.from:
		case t <= s.at:
			tr.V[i] = 0
		case s.lock > 0 && t < s.lock && !math.IsNaN(v1):
			tr.V[i] = v1 * (t - s.at) / (s.lock - s.at)
		case s.lock == 0:
			tr.V[i] = math.Min(tr.V[i], launchPull*(t-s.at))
		}
	}
}
