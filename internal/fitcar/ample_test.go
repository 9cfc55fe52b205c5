package fitcar

import (
	"math"
	"testing"

	"traplight/internal/car"
	"traplight/internal/sim"
	"traplight/internal/sim/simtest"
)

// The highest boost of the sheet is its limit, else what is usually run; a turbine that holds
// it with work to spare is not pulled at, one that falls short is, through the pull; without
// a sheet that tells it nothing is.
func TestAmple(t *testing.T) {
	c := simtest.Invented()
	c.Boost.Work, c.Boost.Swallow, c.Boost.FlowLoss, c.Boost.Friction = 2.1, 2.2, 0, 0.015
	air := sim.Air{Pressure: 100e3, Temperature: 295, Density: 1.18}
	at := func(limit float64, usual ...float64) *work {
		s := &car.Sheet{RevLimit: 800, UsualBoost: usual}
		s.Limits.MaxBoost = limit
		return &work{Observation: &Observation{Sheet: s}, air: air}
	}
	if a := newAmple(c, at(0), ampleWork); len(a.at) != 0 {
		t.Error("no boost is told, and yet it is pulled at")
	}
	if w := at(0, 150e3, 180e3, 120e3); w.highest() != 180e3 {
		t.Errorf("usual boost: %.0f Pa", w.highest())
	}
	w := at(250e3, 180e3)
	if w.highest() != 250e3 {
		t.Errorf("limit: %.0f Pa", w.highest())
	}
	a := newAmple(c, w, ampleWork)
	r := make([]float64, len(a.at))
	for i, q := range a.at {
		if got := sim.Pressure(air.Pressure, q[1]); math.Abs(got-350e3) > 1 {
			t.Errorf("state %d is at %.0f Pa, not 350 kPa", i, got)
		}
	}
	// scale the work so that the weakest state has exactly what is asked, then 10 % less
	least := math.Inf(1)
	for _, q := range a.at {
		least = min(least, c.Boost.Ample(q[0], q[1], q[2]))
	}
	b := c.Boost
	b.Work *= math.Exp(ampleWork) / least
	for _, x := range []struct{ work, want float64 }{{1.001, 0}, {1.3, 0}, {0.9, math.Log(0.9) / (ampleSpread * math.Sqrt(3))}} {
		q := b
		q.Work *= x.work
		a.residuals(&q, r)
		worst := 0.0
		for _, v := range r {
			worst = min(worst, v)
		}
		if math.Abs(worst-x.want) > 1e-9 {
			t.Errorf("%.3f of the work: residual %.4f, wanted %.4f", x.work, worst, x.want)
		}
	}
}
