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
	feltPrior, feltSD            = 0.75, 0.25 // 1, of Core.Felt; common practice, no source

	heatPrior  = 0.4   // 1, of Engine.Heat: 10 K more cost 0.4 % at 350 K and 1 % at 380 K, the thinner charge apart
	heatSD     = 0.3   // 1; not fitted: one pass cannot tell it from Curve
	gearSD     = 0.008 // 1, spread of efficiency, radius and inertia between gears
	lossShare  = 0.3   // 1, spread of the friction's scale
	torqueRel  = 0.02  // 1, noise of the torque derived from motion
	torqueAbs  = 12.0  // N·m
	thinning   = 6.0   // samples that share one error
	huberLimit = 1.5   // standard deviations
)

// fitEngine fits the torque table to the torque of all passes. It needs head in
// every work. The residual's spread over the passes is returned as a share of torque.
func fitEngine(c *sim.Car, ws []*work, vd float64, d *draws) (spread float64, ok bool) {
	e := &c.Engine
	if !layTable(e, ws, vd) {
		return 0, false
	}
	level := torqueLevel(c, ws, vd)
	if !(level > 0) {
		return 0, false
	}
	f := startEngine(c, vd, level, mostGears(c, ws), d)
	const rounds = 6
	for iter := range rounds {
		sums := newNormal(f.n + 5 + len(f.own))
		f.priors(sums)
		var sum, weights float64
		for _, w := range ws {
			for i, t := range w.torque {
				model, weight, ok := f.add(sums, w, i, iter > 0)
				if ok {
					sum += weight * (t - model) * (t - model) / max(1, t*t)
					weights += weight
				}
			}
		}
		x, ok := sums.solve()
		if !ok {
			return 0, false
		}
		f.take(&x)
		if iter == rounds-1 && weights > 0 {
			spread = math.Sqrt(sum / weights)
		}
	}
	e.Curve = f.curve
	for i := range e.Loss {
		e.Loss[i] *= f.scale
	}
	return spread, true
}

// engineFit is what fitEngine has found so far. Its unknowns are, in their order: the table, curve,
// friction's scale, the ignition's loss and best, each gear's own factor, the core's warmth.
type engineFit struct {
	c            *sim.Car
	e            *sim.Engine
	n            int     // nodes of the table
	vd           float64 // m³, swept volume
	level        float64 // N·m per charge, the table's usual gain
	sparked      bool    // the logs have the ignition
	curve, scale float64 // Engine.Curve and the friction's factor
	own          []float64

	// what they were drawn about
	curve0, curveSD, scale0, felt0 float64
	spark0                         sim.Spark
}

func startEngine(c *sim.Car, vd, level float64, gears int, d *draws) *engineFit {
	e := &c.Engine
	f := &engineFit{c: c, e: e, n: len(e.Gain), vd: vd, level: level, sparked: e.Spark.Loss > 0, own: make([]float64, gears)}
	bow0 := curvePrior
	f.curveSD = curveSD
	e.Heat = max(0, d.normal(heatPrior, heatSD))
	if f.sparked { // what heat and boost cost by way of the ignition is then known
		bow0, f.curveSD, e.Heat = sparkedCurve, sparkedCurveSD, 0
	}
	f.curve, f.scale = d.normal(bow0, f.curveSD), d.normal(1, lossShare)
	e.Core.Felt = d.normal(feltPrior, feltSD)
	f.curve0, f.scale0, f.spark0, f.felt0 = f.curve, f.scale, e.Spark, e.Core.Felt
	for i := range e.Gain {
		e.Gain[i] = level
	}
	return f
}

// priors adds what is known before any torque.
func (f *engineFit) priors(sums *normal) {
	n := f.n
	sums.smoothTable(n, f.level)
	sums.prior(n, f.curve0, f.curveSD)
	sums.prior(n+1, f.scale0, lossShare)
	sums.prior(n+2, f.spark0.Loss, sparkLossSD)
	sums.add([]int{n + 3}, []float64{1}, f.spark0.Best, 1/(sparkBestSD*sparkBestSD*degree*degree))
	for g := range f.own {
		sums.prior(n+4+g, 0, gearSD)
	}
	sums.prior(n+4+len(f.own), f.felt0, feltSD)
}

// add adds the torque of w's moment i, linearised about what was found last; robust lets one that
// is far off count for less. It gives the torque by what was found last, N·m, and the weight;
// false where the moment tells nothing.
func (f *engineFit) add(sums *normal, w *work, i int, robust bool) (model, weight float64, ok bool) {
	e, n, t := f.e, f.n, w.torque[i]
	q, good := w.dense(e, i)
	if !good || w.fed(f.c, i) || w.cut(i) || w.limited(f.c, i) {
		return 0, 0, false
	}
	late, most := 0.0, q
	if f.sparked {
		angle := w.angle(e, i)
		late = e.Spark.Best - angle
		q *= e.Spark.Efficiency(angle)
	}
	id, wt := basis((w.Engine[i]-e.Speed0)/e.SpeedStep, n)
	bow := sim.Pressure(w.air.Pressure, w.head[i])/sim.RefPressure - 1
	g := 0.0
	for p := range id {
		g += wt[p] * e.Gain[id[p]]
	}
	loss := friction(f.vd, w.Engine[i])
	of := w.Gear[i] - 1
	plain, own := g*q*(1+f.curve*bow)-f.scale*loss, 1+f.own[of]
	model = plain * own
	sd := math.Hypot(torqueRel*math.Abs(t), torqueAbs)
	weight = w.weight / (sd * sd * thinning)
	if a := math.Abs((t - model) / sd); a > huberLimit && robust {
		weight *= huberLimit / a
	}
	m := q * (1 + f.curve*bow) * own
	by := own * g * most * (1 + f.curve*bow) // N·m per ignition's efficiency
	loss1, best1 := -by*late*late, -by*2*e.Spark.Loss*late
	warm := -g * m * w.coreAt(i) / w.temperature(e, i)
	idx := []int{id[0], id[1], id[2], id[3], n, n + 1, n + 2, n + 3, n + 4 + of, n + 4 + len(f.own)}
	val := []float64{wt[0] * m, wt[1] * m, wt[2] * m, wt[3] * m, own * g * q * bow, -own * loss, loss1, best1, plain, warm}
	// the products of table, curve, ignition, factor and warmth are linearised about the last ones
	sums.add(merge(idx, val), val, t+own*g*q*bow*f.curve+plain*f.own[of]+loss1*e.Spark.Loss+best1*e.Spark.Best+warm*e.Core.Felt, weight)
	return model, weight, true
}

// take takes a solution over, within what an engine can have.
func (f *engineFit) take(x *mat.VecDense) {
	e, n := f.e, f.n
	for i := range e.Gain {
		e.Gain[i] = max(0.05*f.level, x.AtVec(i))
	}
	f.curve = max(-0.4, min(0.15, x.AtVec(n)))
	f.scale = max(0.3, min(2, x.AtVec(n+1)))
	e.Core.Felt = max(0, min(feltPrior+3*feltSD, x.AtVec(n+4+len(f.own))))
	if f.sparked {
		e.Spark.Loss = max(0.1, min(3, x.AtVec(n+2)))
		e.Spark.Best = max(f.spark0.Best-12*degree, min(f.spark0.Best+12*degree, x.AtVec(n+3)))
	}
	for g := range f.own {
		f.own[g] = x.AtVec(n + 4 + g)
	}
}

// fewestTorques is how many moments with torque a table takes.
const fewestTorques = 40

// layTable sets the nodes of the engine's table over the speeds at which torque was seen, with
// the friction at each; false where there are too few.
func layTable(e *sim.Engine, ws []*work, vd float64) bool {
	lo, hi := math.Inf(1), 0.0
	count := 0
	for _, w := range ws {
		for i, t := range w.torque {
			if !math.IsNaN(t) && !math.IsNaN(w.head[i]) {
				lo, hi = min(lo, w.Engine[i]), max(hi, w.Engine[i])
				count++
			}
		}
	}
	if count < fewestTorques {
		return false
	}
	e.Curve = 0 // until it is fitted: the charge is without it
	e.Speed0 = max(60, lo-2*nodeStep)
	e.SpeedStep = nodeStep
	n := int((hi+3*nodeStep-e.Speed0)/nodeStep) + 2
	e.Gain, e.Loss = make([]float64, n), make([]float64, n)
	for i := range e.Loss {
		e.Loss[i] = friction(vd, e.Speed0+float64(i)*nodeStep)
	}
	return true
}

// torqueLevel is the one gain, torque over charge, that comes nearest to all that was seen.
func torqueLevel(c *sim.Car, ws []*work, vd float64) float64 {
	var num, den float64
	for _, w := range ws {
		for i, t := range w.torque {
			if q, good := w.charge(&c.Engine, i); good && !w.fed(c, i) && !w.limited(c, i) {
				num += (t + friction(vd, w.Engine[i])) * q
				den += q * q
			}
		}
	}
	return num / den
}

// normal is a weighted linear least-squares problem by its normal equations.
type normal struct {
	n *mat.SymDense
	b *mat.VecDense
}

func newNormal(k int) *normal { return &normal{mat.NewSymDense(k, nil), mat.NewVecDense(k, nil)} }

// add adds one equation: the sum of val times the unknowns idx is y.
func (s *normal) add(idx []int, val []float64, y, weight float64) {
	for p, i := range idx {
		s.b.SetVec(i, s.b.AtVec(i)+weight*val[p]*y)
		for q, j := range idx {
			if j >= i {
				s.n.SetSym(i, j, s.n.At(i, j)+weight*val[p]*val[q])
			}
		}
	}
}

// prior says what an unknown is before any sample, with its standard deviation.
func (s *normal) prior(i int, y, sd float64) { s.add([]int{i}, []float64{1}, y, 1/(sd*sd)) }

// smoothTable holds that the table of the first n unknowns bends little; a faint pull to the
// level keeps unvisited ends finite.
func (s *normal) smoothTable(n int, level float64) {
	for i := range n {
		s.prior(i, level, 0.5*level)
		if i > 0 && i < n-1 {
			sd := bend * level
			s.add([]int{i - 1, i, i + 1}, []float64{1, -2, 1}, 0, 1/(sd*sd))
		}
	}
}

// solve is false where the equations do not settle the unknowns.
func (s *normal) solve() (x mat.VecDense, ok bool) {
	var ch mat.Cholesky
	if !ch.Factorize(s.n) {
		return x, false
	}
	err := ch.SolveVecTo(&x, s.b)
	return x, err == nil || !math.IsNaN(x.AtVec(0)) // an error alone says badly conditioned
}
