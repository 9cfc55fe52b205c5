package ledger

import (
	"math"

	"traplight/internal/fitcar"
	"traplight/internal/sim"
)

// caseOf is pass k as member mem saw it, where the car has been better by a torque factor, 1.
func caseOf(m *fitcar.Model, mem *fitcar.Member, k int, better float64) (*sim.Car, Case, bool) {
	car, p := m.Follow(mem, k)
	if car == nil {
		return nil, Case{}, false
	}
	c := Case{Pass: p, BestScale: better}
	o := m.Passes[k].Obs
	if c.Trap, c.Lifted = o.Trap, o.Lifted(); c.Lifted {
		c.Spun = o.SpunLifts()
	}
	c.Best = bestLaunch(m, mem, car, p)
	c.UsualSpeed, c.UsualTime = m.Usual(k)
	return car, c, true
}

// leftOver is what the replays of the record's passes, each held to its own slip, missed at
// the trap, m/s: measured less run; NaN where that says nothing of the engine.
func leftOver(m *fitcar.Model) []float64 {
	out := make([]float64, len(m.Passes))
	for k := range m.Passes {
		out[k] = math.NaN()
		o := m.Passes[k].Obs
		if o.Lifted() || math.IsNaN(o.Trap) || k < len(m.Passes)-asked {
			continue
		}
		car, p := m.Follow(&m.Mean, k)
		if car == nil {
			continue
		}
		if res, err := (&sim.Runner{Car: car, Rel: sim.Rough}).Run(p); err == nil && res.Complete {
			out[k] = o.Trap - res.Trap
		}
	}
	return out
}

// asked is of how many passes, the last ones, the best is looked for.
const asked = 20

// bestScale is how much better than pass k (or than usual, for k < 0) the car's torque has
// been, 1, from what the replays left over, m/s. A gain of a share in torque is worth about a
// third of it in trap speed, since speed follows the cube root of power.
func bestScale(left []float64, k int) float64 {
	best, own, n := 0.0, 0.0, 0
	for i, r := range left {
		if math.IsNaN(r) {
			continue
		}
		n++
		if i == k {
			own = r
		}
		best = max(best, r)
	}
	if n < 2 {
		return 1
	}
	// half of the scatter is wind and measurement, not the engine
	gain := 0.5 * (best - max(own, 0)) / 85 * 3
	return 1 + min(0.05, max(0, gain))
}

// bestLaunch is the launch of the record with which this pass would have been
// fastest, nil when none is better than its own.
func bestLaunch(m *fitcar.Model, mem *fitcar.Member, car *sim.Car, p *sim.Pass) *sim.Start {
	r := sim.Runner{Car: car}
	res, err := r.Run(p)
	if err != nil {
		return nil
	}
	top := res.Trap
	var best *sim.Start
	for _, l := range m.Driver.Launches {
		if l.Pass < len(m.Passes) && m.Passes[l.Pass].Obs.Nitrous && !p.Nitrous {
			continue
		}
		q := *p
		q.Start = l.Start
		q.Start.Head = mem.Heads[l.Pass]
		if res, err := r.Run(&q); err == nil && res.Complete && res.Trap > top+0.02 {
			top = res.Trap
			s := q.Start
			best = &s
		}
	}
	return best
}
