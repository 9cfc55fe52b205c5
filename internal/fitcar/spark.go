package fitcar

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"traplight/internal/sim"
)

// Priors of the ignition. Loss and best angle: Heywood, figures 15-3 and 9-3, from
// memory (half a per cent at 5°, 10 % at 18° from the best; best at 25 to 30° at high speed). The
// map's: common practice, no source. Boosted engines run 1° later for 30 to 40 kPa, and
// later still when the charge is hot.
const (
	sparkLoss, sparkLossSD = 1.0, 0.4  // 1/rad²
	sparkBest, sparkBestSD = 26.0, 4.0 // degrees before top dead centre

	sparkNoise    = 0.6  // degrees, of the map about what is logged: what knock control takes
	sparkThinning = 12.0 // samples that share one error
)

// sparkMap are the priors of the map: of the angle at the references, degrees; per 1000
// rpm; per 1000 rpm squared; per bar; per 10 K.
var sparkMap = [5]struct{ mean, sd float64 }{{20, 10}, {1.5, 2}, {0, 0.7}, {-3, 2}, {-0.5, 0.7}}

const (
	degree   = math.Pi / 180
	thousand = 1000 * math.Pi / 30 // rad/s, 1000 rpm
)

// fitSpark learns the computer's ignition map from the passes whose logs have the angle
// and draws what it costs; without one, ignition stays out of the model.
func fitSpark(c *sim.Car, ws []*work, d *draws) {
	s := sim.Spark{}
	n := len(sparkMap)
	N, b := mat.NewSymDense(n, nil), mat.NewVecDense(n, nil)
	for i, p := range sparkMap {
		N.SetSym(i, i, 1/(p.sd*p.sd))
		b.SetVec(i, p.mean/(p.sd*p.sd))
	}
	seen := 0
	type pt struct {
		row           [5]float64
		angle, weight float64
		warm          float64 // 10 K over the reference, of the charge as the model has it
	}
	var pts []pt
	for _, w := range ws {
		for i := range w.Spark {
			if _, ok := w.dense(&c.Engine, i); !ok || math.IsNaN(w.Spark[i]) || w.cut(i) {
				continue
			}
			p := sim.Pressure(w.air.Pressure, w.head[i])
			inside := w.temperature(&c.Engine, i)
			sensed := inside
			if w.Charge != nil && w.Charge[i] > 230 && w.Charge[i] < 450 {
				sensed = w.Charge[i] // the computer goes by its sensor
			}
			u := (w.Engine[i] - sim.RefSpeed) / thousand
			pts = append(pts, pt{row: [5]float64{1, u, u * u, (p - sim.RefPressure) / 1e5, (sensed - sim.RefCharge) / 10},
				angle: w.Spark[i] / degree, weight: w.weight / (sparkNoise * sparkNoise * sparkThinning), warm: (inside - sim.RefCharge) / 10})
			seen++
		}
	}
	if seen < 40 {
		c.Engine.Spark = s
		return
	}
	for _, q := range pts {
		for i, x := range q.row {
			b.SetVec(i, b.AtVec(i)+q.weight*x*q.angle)
			for j := i; j < n; j++ {
				N.SetSym(i, j, N.At(i, j)+q.weight*x*q.row[j])
			}
		}
	}
	var ch mat.Cholesky
	var x mat.VecDense
	if !ch.Factorize(N) || ch.SolveVecTo(&x, b) != nil {
		c.Engine.Spark = s
		return
	}
	if d != nil { // from the posterior: N = U'U, so U⁻¹·z has its covariance
		var u mat.TriDense
		ch.UTo(&u)
		z, step := mat.NewVecDense(n, nil), mat.NewVecDense(n, nil)
		for i := range n {
			z.SetVec(i, d.normal(0, 1))
		}
		if step.SolveVec(&u, z) == nil {
			x.AddVec(&x, step)
		}
	}
	// the model's charge has no lag: its mean angle is that of the log
	off, weights := 0.0, 0.0
	for _, q := range pts {
		q.row[4] = q.warm
		r := q.angle
		for i, v := range q.row {
			r -= v * x.AtVec(i)
		}
		off += q.weight * r
		weights += q.weight
	}
	s.Angle = (x.AtVec(0) + off/weights) * degree
	s.BySpeed, s.BySpeed2 = x.AtVec(1)*degree/thousand, x.AtVec(2)*degree/(thousand*thousand)
	s.ByPressure, s.ByHeat = x.AtVec(3)*degree/1e5, x.AtVec(4)*degree/10
	s.Loss, s.Best = max(0.1, d.normal(sparkLoss, sparkLossSD)), d.normal(sparkBest, sparkBestSD)*degree
	c.Engine.Spark = s
}

// cut tells that electronics cut torque at sample i, or may well do so.
func (w *work) cut(i int) bool {
	if w.Cut != nil {
		return w.Cut[i] > 0.02
	}
	return w.onset > 0 && w.slip[i] > w.onset
}

// angle is the ignition at sample i, rad before top dead centre: as logged, else as the
// map sets it.
func (w *work) angle(e *sim.Engine, i int) float64 {
	if w.Spark != nil && !math.IsNaN(w.Spark[i]) {
		return w.Spark[i]
	}
	return e.Spark.Set(w.Engine[i], sim.Pressure(w.air.Pressure, w.head[i]), w.cold(e, i)+w.coreAt(i))
}
