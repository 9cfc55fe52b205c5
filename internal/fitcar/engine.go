package fitcar

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"traplight/internal/sim"
)

const (
	nodeStep   = 42.0  // rad/s between nodes of the torque table (400 rpm)
	bend       = 0.05  // 1, spread of the table's second difference over its level
	curvePrior = -0.05 // 1, of Engine.Curve
	curveSD    = 0.08  // 1
	// the same where the log has the ignition: back pressure and filling alone
	sparkedCurve, sparkedCurveSD = -0.02, 0.04

	heatPrior  = 0.4   // 1, of Engine.Heat: 10 K more cost 0.4 % at 350 K and 1 % at 380 K, the thinner charge apart
	heatSD     = 0.3   // 1; not fitted: one pass cannot tell it from Curve
	gearSD     = 0.008 // 1, spread of efficiency, radius and inertia between gears
	lossShare  = 0.3   // 1, spread of the friction's scale
	torqueRel  = 0.02  // 1, noise of the torque derived from motion
	torqueAbs  = 12.0  // N·m
	thinning   = 6.0   // samples that share one error
	huberLimit = 1.5   // standard deviations
)

// friction is the motored friction and pumping torque, N·m, of a four-stroke
// engine of displacement vd, m³, at speed, rad/s: Heywood eq. 13.6b,
// 0.97 + 0.15·n + 0.05·n² bar with n in 1000 rpm, as a mean effective pressure.
func friction(vd, speed float64) float64 {
	if vd <= 0 {
		vd = 0.003
	}
	n := speed * 30 / math.Pi / 1000
	return (0.97 + 0.15*n + 0.05*n*n) * 1e5 * vd / (4 * math.Pi)
}

// basis gives the four nodes and weights by which sim's table is evaluated at u.
func basis(u float64, n int) (idx [4]int, w [4]float64) {
	if u <= 0 {
		idx[0], w[0] = 0, 1
		return
	}
	if u >= float64(n-1) {
		idx[0], w[0] = n-1, 1
		return
	}
	i := int(u)
	f := u - float64(i)
	a := 0.5 * f * (-1 + f*(2-f))
	b := 1 + 0.5*f*f*(-5+3*f)
	c := 0.5 * f * (1 + f*(4-3*f))
	d := 0.5 * f * f * (f - 1)
	idx = [4]int{max(i-1, 0), i, i + 1, min(i+2, n-1)}
	w = [4]float64{a, b, c, d}
	if i == 0 { // a = 2b − c
		idx[0], w[0] = 0, 0
		w[1] += 2 * a
		w[2] -= a
	}
	if i+2 >= n { // d = 2c − b
		idx[3], w[3] = n-1, 0
		w[2] += 2 * d
		w[1] -= d
	}
	return
}

// fitEngine fits the torque table to the torque of all passes. It needs head in
// every work. The residual's spread over the passes is returned as a share of torque.
func fitEngine(c *sim.Car, ws []*work, vd float64, d *draws) (spread float64, ok bool) {
	lo, hi := math.Inf(1), 0.0
	var count int
	for _, w := range ws {
		for i, t := range w.torque {
			if !math.IsNaN(t) && !math.IsNaN(w.head[i]) {
				lo, hi = min(lo, w.Engine[i]), max(hi, w.Engine[i])
				count++
			}
		}
	}
	if count < 40 {
		return 0, false
	}
	e := &c.Engine
	e.Speed0 = max(60, lo-2*nodeStep)
	e.SpeedStep = nodeStep
	n := int((hi+3*nodeStep-e.Speed0)/nodeStep) + 2
	e.Gain, e.Loss = make([]float64, n), make([]float64, n)
	for i := range e.Loss {
		e.Loss[i] = friction(vd, e.Speed0+float64(i)*nodeStep)
	}
	level := 0.0
	{
		var num, den float64
		for _, w := range ws {
			for i, t := range w.torque {
				if q, good := w.charge(e, i); good && !w.fed(c, i) {
					num += (t + friction(vd, w.Engine[i])) * q
					den += q * q
				}
			}
		}
		level = num / den
	}
	if !(level > 0) {
		return 0, false
	}
	gears := mostGears(c, ws)
	k := n + 4 + gears // table, curve, friction scale, ignition's loss and best, each gear's own factor
	sparked := e.Spark.Loss > 0
	bow0, bowSD := curvePrior, curveSD
	e.Heat = max(0, d.normal(heatPrior, heatSD))
	if sparked { // what heat and boost cost by way of the ignition is then known
		bow0, bowSD, e.Heat = sparkedCurve, sparkedCurveSD, 0
	}
	curve, scale := d.normal(bow0, bowSD), d.normal(1, lossShare)
	curve0, scale0, spark0 := curve, scale, e.Spark
	own := make([]float64, gears)
	for i := range e.Gain {
		e.Gain[i] = level
	}
	const rounds = 6
	for iter := range rounds {
		N := mat.NewSymDense(k, nil)
		b := mat.NewVecDense(k, nil)
		add := func(idx []int, val []float64, y, weight float64) {
			for p, i := range idx {
				b.SetVec(i, b.AtVec(i)+weight*val[p]*y)
				for q, j := range idx {
					if j >= i {
						N.SetSym(i, j, N.At(i, j)+weight*val[p]*val[q])
					}
				}
			}
		}
		for i := 0; i < n; i++ { // a table bends little
			// a faint pull to the level keeps unvisited ends finite
			add([]int{i}, []float64{1}, level, 1/(0.5*level*0.5*level))
			if i > 0 && i < n-1 {
				s := bend * level
				add([]int{i - 1, i, i + 1}, []float64{1, -2, 1}, 0, 1/(s*s))
			}
		}
		add([]int{n}, []float64{1}, curve0, 1/(bowSD*bowSD))
		add([]int{n + 1}, []float64{1}, scale0, 1/(lossShare*lossShare))
		add([]int{n + 2}, []float64{1}, spark0.Loss, 1/(sparkLossSD*sparkLossSD))
		add([]int{n + 3}, []float64{1}, spark0.Best, 1/(sparkBestSD*sparkBestSD*degree*degree))
		for g := range own {
			add([]int{n + 4 + g}, []float64{1}, 0, 1/(gearSD*gearSD))
		}
		var sum, weights float64
		for _, w := range ws {
			for i, t := range w.torque {
				q, good := w.dense(e, i)
				if !good || w.fed(c, i) || w.cut(i) {
					continue
				}
				late, most := 0.0, q
				if sparked {
					angle := w.angle(e, i)
					late = e.Spark.Best - angle
					q *= e.Spark.Efficiency(angle)
				}
				u := (w.Engine[i] - e.Speed0) / e.SpeedStep
				id, wt := basis(u, n)
				bow := q/sim.RefPressure - 1
				g := 0.0
				for p := range id {
					g += wt[p] * e.Gain[id[p]]
				}
				loss := friction(vd, w.Engine[i])
				of := w.Gear[i] - 1
				plain, f := g*q*(1+curve*bow)-scale*loss, 1+own[of]
				model := plain * f
				sd := math.Hypot(torqueRel*math.Abs(t), torqueAbs)
				r := (t - model) / sd
				weight := w.weight / (sd * sd * thinning)
				if a := math.Abs(r); a > huberLimit && iter > 0 {
					weight *= huberLimit / a
				}
				if iter == rounds-1 {
					sum += weight * (t - model) * (t - model) / max(1, t*t)
					weights += weight
				}
				m := q * (1 + curve*bow) * f
				by := f * g * most * (1 + curve*(2*bow+1)) // N·m per ignition's efficiency
				loss1, best1 := -by*late*late, -by*2*e.Spark.Loss*late
				idx := []int{id[0], id[1], id[2], id[3], n, n + 1, n + 2, n + 3, n + 4 + of}
				val := []float64{wt[0] * m, wt[1] * m, wt[2] * m, wt[3] * m, f * g * q * bow, -f * loss, loss1, best1, plain}
				// the products of table, curve, ignition and factor are linearised about the last ones
				add(merge(idx, val), val, t+f*g*q*bow*curve+plain*own[of]+loss1*e.Spark.Loss+best1*e.Spark.Best, weight)
			}
		}
		var ch mat.Cholesky
		if !ch.Factorize(N) {
			return 0, false
		}
		var x mat.VecDense
		if err := ch.SolveVecTo(&x, b); err != nil && math.IsNaN(x.AtVec(0)) {
			return 0, false
		}
		for i := range e.Gain {
			e.Gain[i] = max(0.05*level, x.AtVec(i))
		}
		curve = max(-0.4, min(0.15, x.AtVec(n)))
		scale = max(0.3, min(2, x.AtVec(n+1)))
		if sparked {
			e.Spark.Loss = max(0.1, min(3, x.AtVec(n+2)))
			e.Spark.Best = max(spark0.Best-12*degree, min(spark0.Best+12*degree, x.AtVec(n+3)))
		}
		for g := range own {
			own[g] = x.AtVec(n + 4 + g)
		}
		if iter == rounds-1 && weights > 0 {
			spread = math.Sqrt(sum / weights)
		}
	}
	e.Curve = curve
	for i := range e.Loss {
		e.Loss[i] *= scale
	}
	return spread, true
}

// merge sums the weights of equal nodes into the first and zeroes the rest.
func merge(idx []int, val []float64) []int {
	for p := range idx {
		for q := 0; q < p; q++ {
			if idx[q] == idx[p] && val[p] != 0 {
				val[q] += val[p]
				val[p] = 0
			}
		}
	}
	return idx
}

// dense is the charge pressure of sample i at the best ignition, Pa, when the torque
// there is known.
func (w *work) dense(e *sim.Engine, i int) (float64, bool) {
	if math.IsNaN(w.torque[i]) || w.head == nil || math.IsNaN(w.head[i]) {
		return 0, false
	}
	p := sim.Pressure(w.air.Pressure, w.head[i])
	return e.Dense(p, e.ChargeTemperature(w.air.Temperature, w.head[i])), true
}

// charge is the same at the ignition as it was, Pa.
func (w *work) charge(e *sim.Engine, i int) (float64, bool) {
	q, ok := w.dense(e, i)
	if ok && e.Spark.Loss > 0 {
		q *= e.Spark.Efficiency(w.angle(e, i))
	}
	return q, ok
}

// fed tells whether nitrous adds to the torque of sample i.
func (w *work) fed(c *sim.Car, i int) bool {
	return w.Nitrous && w.Gear[i] >= 1 && w.open(c, i, sim.Pressure(w.air.Pressure, w.head[i]), w.target(&c.Boost, w.Gear[i]), w.Gear[i])
}
