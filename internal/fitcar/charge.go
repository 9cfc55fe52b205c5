package fitcar

import (
	"math"

	"traplight/internal/num/fit"
	"traplight/internal/sim"
)

// Prior of the charge temperature: compressor of 0.72 efficiency, cooler of 0.75
// effectiveness: rise 0.25/0.72 of ambient temperature and head; 10 K of heat soak.
const (
	chargeRise, chargeRiseSD = 0.35, 0.15 // 1
	chargeBase, chargeBaseSD = 10.0, 10.0 // K
	chargeLag, chargeLagSD   = 0.9, 0.5   // s, of the sensor
)

// fitCharge fits rise and base to the charge sensor, which lags.
func fitCharge(c *sim.Car, ws []*work, d *draws) {
	rise, base := max(0.05, d.normal(chargeRise, chargeRiseSD)), d.normal(chargeBase, chargeBaseSD)
	c.Engine.ChargeRise, c.Engine.ChargeBase = rise, base
	type pt struct {
		w    *work
		keep []int
	}
	var pts []pt
	n := 0
	for _, w := range ws {
		if w.Charge == nil || w.head == nil {
			continue
		}
		p := pt{w: w}
		for i := w.Lock; i < len(w.X); i += 10 {
			if v := w.Charge[i]; !math.IsNaN(v) && v > 230 && v < 450 && !math.IsNaN(w.head[i]) {
				p.keep = append(p.keep, i)
			}
		}
		if len(p.keep) > 10 {
			pts = append(pts, p)
			n += len(p.keep)
		}
	}
	if n == 0 {
		return
	}
	const noise = 6.0 // K, of sensor bias and model together; samples share it
	res, err := fit.Fit(fit.Problem{M: n,
		Residuals: func(p, r []float64) {
			k := 0
			for _, q := range pts {
				w := q.w
				state := w.Charge[q.keep[0]]
				next := 0
				for i := w.Lock; i < len(w.X) && next < len(q.keep); i++ {
					h := w.head[i]
					if math.IsNaN(h) {
						h = 0
					}
					inside := w.air.Temperature*(1+p[0]*h) + p[1]
					state += (inside - state) * min(1, w.Step/p[2])
					if i == q.keep[next] {
						r[k] = (state - w.Charge[i]) / noise
						k++
						next++
					}
				}
			}
			for ; k < len(r); k++ {
				r[k] = 0
			}
		},
		Lower:  []float64{0, -15, 0.1},
		Upper:  []float64{1.2, 60, 4},
		Priors: []fit.Prior{{Mean: rise, SD: chargeRiseSD}, {Mean: base, SD: chargeBaseSD}, {Mean: max(0.2, d.normal(chargeLag, chargeLagSD)), SD: chargeLagSD}},
	}, []float64{rise, base, chargeLag}, fit.Settings{MaxIterations: 25, Tolerance: 1e-6, Huber: 3})
	if err == nil {
		c.Engine.ChargeRise, c.Engine.ChargeBase = res.P[0], res.P[1]
	}
}
