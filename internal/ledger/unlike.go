package ledger

import (
	"math"

	"traplight/internal/fitcar"
	"traplight/internal/sim"
)

// boostFits is by how much, 1, a sound pass's replay has its boost off at the most: 0.014 on 24
// open and invented passes; 0.033 with a leak that opens on the way.
const boostFits = 0.015

// amiss is how much further off boost is in the replay of pass k, 1.
func amiss(m *fitcar.Model, k int) float64 {
	car, p := m.Follow(&m.Mean, k)
	if car == nil {
		return 0
	}
	return max(0, boostOff(m.Passes[k].Obs, car, p)-boostFits)
}

// boostSettles is how long after a shift boost is not compared, s: the plenum fills.
const boostSettles = 0.3

// boostOff is by how much the replay's boost is off the log's, 1 of absolute pressure: mean over
// the gears' time of the gears' own means; 0 where the log does not tell. A leak or a pump that
// gives out on the way makes one car before and another after, which the model is not.
func boostOff(o *fitcar.Observation, car *sim.Car, p *sim.Pass) float64 {
	if o.Boost == nil {
		return 0
	}
	res, err := (&sim.Runner{Car: car, Rel: sim.Rough, Keep: o.Step}).Run(p)
	if err != nil {
		return 0
	}
	type mean struct{ sum, n, from float64 }
	seen, run := make([]mean, len(car.Ratios)+1), make([]mean, len(car.Ratios)+1)
	add := func(m *mean, t, pressure float64) {
		if m.from == 0 {
			m.from = t
		}
		if t-m.from > boostSettles && !math.IsNaN(pressure) {
			m.sum, m.n = m.sum+pressure, m.n+1
		}
	}
	for i := o.Lock; i < len(o.X); i++ {
		if g := o.Gear[i]; g >= 1 && g < len(seen) && o.Full[i] {
			add(&seen[g], o.T0+float64(i)*o.Step+10, o.Boost[i])
		}
	}
	for i := range res.Points {
		q := &res.Points[i]
		add(&run[q.Gear], q.T+10, q.Boost+p.Air.Pressure)
	}
	off, n := 0.0, 0.0
	for g := range seen {
		if seen[g].n > 5 && run[g].n > 5 {
			off += seen[g].n * math.Abs(run[g].sum/run[g].n/(seen[g].sum/seen[g].n)-1)
			n += seen[g].n
		}
	}
	if n == 0 {
		return 0
	}
	return off / n
}
