package fitcar

import (
	"math"
	"slices"

	"traplight/internal/sim"
)

// How a replay is held to the slip of the log.
const (
	followZero  = 0.003 // 1, mean slip by which the replay of a stretch may be off: its zero's error
	followRel   = 0.07  // 1, and the share of it
	followTries = 8
	// gripCreep and gripSpun are by how much, as a logarithm, grip may lie off the fit's level
	// and trend where the tyres only crept and where they spun. Common practice, no source.
	gripCreep, gripSpun = 0.06, 0.30
	spunShift           = 0.9    // 1, of the engine speed at the shift, that a spinning replay must have come to there
	justUnder           = 0.9995 // 1, of the highest engine speed, that it surely comes to
)

// Follow is Replay held to the slip that the log of pass k shows: the grip of each stretch is
// what makes the member's own car slip there as much as the wheels did. Without it small
// errors of torque or grip decide whether a tyre that is near its peak lets go, and the replay
// shifts early out of a wheelspin that never was. Where the log does not tell slip it is Replay.
func (m *Model) Follow(mem *Member, k int) (*sim.Car, *sim.Pass) {
	car, p := m.Replay(mem, k)
	if car == nil {
		return nil, nil
	}
	w := newWork(m.Passes[k].Obs, mem.Car, m.Sheet, nil)
	w.demand(car)
	parts, spin := w.stretches(car, mem.SlipZero)
	if len(parts) == 0 {
		return car, p
	}
	held := *p
	held.ShiftSpeed = slices.Clone(p.ShiftSpeed)
	held.Spin, held.Grip = spin, &sim.Along{}
	for _, q := range parts {
		held.Grip.X = append(held.Grip.X, q.x0, max(q.x0+0.05, q.x1-0.05))
		held.Grip.Y = append(held.Grip.Y, 1, 1)
	}
	r := sim.Runner{Car: car, Rel: sim.Rough, Keep: gridStep}
	for i := range parts {
		parts[i].hold(&r, &held, 2*i)
	}
	return car, &held
}

// hold sets the grip of the stretch, whose knots in p.Grip begin at knot, so that the wheels
// slip in it as they did; those of the stretches after it are one yet.
func (q *stretch) hold(r *sim.Runner, p *sim.Pass, knot int) {
	ends := 0.0 // rad/s, highest engine speed of the gear up to the end of the stretch
	off := func(move float64) float64 {
		p.Grip.Y[knot] = math.Exp(move)
		p.Grip.Y[knot+1] = p.Grip.Y[knot]
		var mean float64
		mean, ends = q.replayed(r, *p)
		return mean - q.slip
	}
	least := math.Hypot(followZero, followRel*q.slip)
	e := off(0)
	if math.IsNaN(e) || math.Abs(e) < math.Hypot(least, q.sd) {
		return
	}
	most := gripCreep + (gripSpun-gripCreep)*min(1, max(0, 2*q.peak-1))
	if e > 0 {
		most = gripSpun // the replay spins where the wheels held
	}
	lo, hi := 0.0, math.Copysign(most, e)
	best, left := 0.0, math.Abs(e)
	for try := 0; try < followTries && left > least/4; try++ {
		mid := (lo + hi) / 2
		d := off(mid)
		if math.Abs(d) < left {
			best, left = mid, math.Abs(d)
		}
		if d*e > 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	off(best)
	if was := p.ShiftSpeed; q.last && q.peak > 1 && q.gear <= len(was) && ends < was[q.gear-1] && ends > spunShift*was[q.gear-1] {
		// wheels that spin decide when the engine comes to its shift: it comes where it came
		was[q.gear-1] = justUnder * ends
	}
}

// SlipDoubt is the spread of the slip that the log of pass k shows over that slip, 1, mean by
// distance; 1 where it does not tell slip at all.
func (m *Model) SlipDoubt(k int) float64 {
	car, _ := m.Replay(&m.Mean, k)
	if car == nil {
		return 1
	}
	w := newWork(m.Passes[k].Obs, m.Mean.Car, m.Sheet, nil)
	w.demand(car)
	parts, _ := w.stretches(car, m.Mean.SlipZero)
	slip, sd := 0.0, 0.0
	for _, q := range parts {
		slip, sd = slip+q.slip*(q.to-q.from), sd+q.sd*(q.to-q.from)
	}
	if slip <= 0 {
		return 1
	}
	return min(1, sd/slip)
}
