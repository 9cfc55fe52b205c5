package fitcar

import (
	"math"

	"traplight/internal/sim"
)

const (
	otherLength = 1.0  // m by which a length may differ and count as the same
	leastFar    = 0.35 // 1, of the length asked for that a pass must have come to say anything of it
	beforeLift  = 3.0  // m before the end of what was measured: the foot may be on its way off the pedal
)

// MissedAt is what member mem missed of pass k over the window, m, before a length, m, of a
// strip: measured mean speed less the replay's, m/s. Where the pass did not come so far at
// full throttle it is that of the place at, m, to which it came; the speed measured there is
// v, m/s. ok is false where nothing can be told.
func (m *Model) MissedAt(mem *Member, k int, length, window float64) (missed, at, v float64, ok bool) {
	if k >= len(mem.Residual) || k >= len(m.Passes) {
		return 0, 0, 0, false
	}
	o := m.Passes[k].Obs
	if math.Abs(length-o.Length) < otherLength && !math.IsNaN(mem.Residual[k]) {
		return mem.Residual[k], o.Length, o.Trap, true
	}
	n := len(o.X)
	if n == 0 || o.Lifted() {
		return 0, 0, 0, false
	}
	if at = length; o.X[n-1] < length {
		at = o.X[n-1] - beforeLift
		if o.Complete && math.Abs(o.X[n-1]-o.Length) < 2*beforeLift {
			at = min(o.X[n-1], o.Length)
		}
	}
	v = o.meanOver(at-window, at)
	if at < leastFar*length || v <= 0 {
		return 0, 0, 0, false
	}
	c, p := m.Replay(mem, k)
	if c == nil {
		return 0, 0, 0, false
	}
	p.Length, p.Window = at, window
	res, err := (&sim.Runner{Car: c, Rel: sim.Rough}).Run(p)
	if err != nil || !res.Complete {
		return 0, 0, 0, false
	}
	return v - res.Trap, at, v, true
}

// meanOver is the mean speed between two places, m: the way over the time; 0 unknown.
func (o *Observation) meanOver(from, to float64) float64 {
	t := func(x float64) float64 {
		for i := 1; i < len(o.X); i++ {
			if o.X[i] >= x && o.X[i] > o.X[i-1] {
				return o.time(i-1) + o.Step*(x-o.X[i-1])/(o.X[i]-o.X[i-1])
			}
		}
		return math.NaN()
	}
	if d := t(to) - t(from); d > 0 {
		return (to - from) / d
	}
	return 0
}
