package ledger

import (
	"math"

	"traplight/internal/fitcar"
	"traplight/internal/sim"
)

// caseOf is pass k as member mem saw it.
func caseOf(m *fitcar.Model, mem *fitcar.Member, k int) (*sim.Car, Case, bool) {
	car, p := m.Replay(mem, k)
	if car == nil {
		return nil, Case{}, false
	}
	c := Case{Pass: p, BestScale: bestScale(mem, k)}
	if r := mem.Residual[k]; !math.IsNaN(r) {
		c.Missing = -r
	}
	if o := m.Passes[k].Obs; o.Lifted() && !math.IsNaN(o.Trap) {
		c.Lifted = o.Trap
	}
	c.Best = bestLaunch(m, mem, car, p)
	c.UsualSpeed, c.UsualTime = m.Usual(k)
	return car, c, true
}

// bestScale is how much better than pass k (or than usual, for k < 0) the car's
// torque has been, 1: from what the replays of other passes missed at the trap. A
// gain of a share in torque is worth about a third of it in trap speed, since
// speed follows the cube root of power.
func bestScale(mem *fitcar.Member, k int) float64 {
	best := 0.0
	own := 0.0
	n := 0.0
	for i, r := range mem.Residual {
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
