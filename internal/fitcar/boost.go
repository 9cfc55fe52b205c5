package fitcar

import (
	"math"
	"slices"

	"traplight/internal/num/fit"
	"traplight/internal/sim"
)

// Priors of the air path; see sim.Boost. They are wide; their centres are a single
// turbo of a three-litre engine for twice its power. The spread covers rotors of a
// third to three times the inertia.
var boostPrior = []fit.Prior{
	{Mean: math.Log(3.5), SD: 0.7},   // ln Rate
	{Mean: math.Log(2.1), SD: 0.25},  // ln Work: efficiencies 0.5 ± 0.1 together, 1150 K exhaust
	{Mean: math.Log(2.2), SD: 0.5},   // ln Swallow
	{Mean: 0, SD: 0.5},               // FlowLoss
	{Mean: math.Log(0.015), SD: 0.6}, // ln Friction
	{Mean: math.Log(4), SD: 0.35},    // ln Decay (lifted), or
	{Mean: 0.75, SD: 0.15},           // ShiftHeat (held)
	{Mean: math.Log(6), SD: 0.5},     // ln Gate
	{Mean: math.Log(14), SD: 0.35},   // ln GateLag
	{Mean: 4, SD: 4},                 // Over, kPa
	{Mean: math.Log(0.6), SD: 0.3},   // ln OverTime
	{Mean: 0, SD: 0.35},              // ln of nitrous feed over its prior
}

func setBoost(b *sim.Boost, p []float64) {
	b.Rate, b.Work, b.Swallow = math.Exp(p[0]), math.Exp(p[1]), math.Exp(p[2])
	b.FlowLoss, b.Friction, b.Decay = p[3], math.Exp(p[4]), math.Exp(p[5])
	b.ShiftHeat, b.Gate, b.GateLag = min(1, max(0, p[6])), math.Exp(p[7]), math.Exp(p[8])
	b.Over, b.OverTime = max(0, p[9])*1e3, math.Exp(p[10])
}

// Near its target boost is the control's, whose ways the model has only roughly: it settles
// off the target, sags, creeps. What the turbine can do shows below. Common practice, no
// source.
const (
	nearTarget    = 5e3 // Pa below its target from which boost is the control's
	controlSpread = 6e3 // Pa
)

// fewPasses are enough for a member's air path, which begins at the mean's: of a longer record each
// takes the last three passes, and others by lot up to that many.
const fewPasses = 6

// few leaves so many of x, in order.
func few[S any](x []S, d *draws) []S {
	last := len(x) - fewPasses/2
	pick := d.r.Perm(last)[:fewPasses-fewPasses/2]
	slices.Sort(pick)
	var out []S
	for _, i := range pick {
		out = append(out, x[i])
	}
	return append(out, x[last:]...)
}

// measuredHead fills head from the manifold pressure, or leaves it nil.
func (w *work) measuredHead() {
	if w.Boost == nil {
		return
	}
	w.head = make([]float64, len(w.X))
	for i := range w.head {
		// ± one sample: the plenum's ripple and the sensor's steps
		s, n := 0.0, 0
		for j := max(0, i-1); j <= min(len(w.X)-1, i+1); j++ {
			if v := w.Boost[j]; !math.IsNaN(v) {
				s += v
				n++
			}
		}
		if n == 0 {
			w.head[i] = math.NaN()
			continue
		}
		w.head[i] = sim.Head(w.air.Pressure, s/float64(n))
	}
}

// target is the boost target at a gear, Pa absolute, with the settled offset.
func (w *work) target(b *sim.Boost, gear int) float64 {
	t := w.air.Pressure
	if n := len(w.Target); n > 0 {
		t += w.Target[min(max(gear, 1), n)-1]
	}
	if n := len(b.Offset); n > 0 {
		t += b.Offset[min(max(gear, 1), n)-1]
	}
	if b.Floor > 0 {
		t = max(t, w.air.Pressure+b.Floor)
	}
	return t
}

// fitBoost fits the rotor's balance and the wastegate to the manifold pressure of
// all passes. Without a manifold pressure the prior's draw stays. It returns the
// share of the prior variance learnt by parameter, nil when nothing was.
func fitBoost(c *sim.Car, ws []*work, start []float64, d *draws) (found []float64, learnt []float64) {
	prior := slices.Clone(boostPrior)
	for i := range prior {
		prior[i].Mean = d.normal(prior[i].Mean, prior[i].SD)
	}
	p0 := make([]float64, len(prior))
	for i := range p0 {
		p0[i] = prior[i].Mean
	}
	all := boostSamples(c, ws, d)
	m := 0
	for j := range all {
		all[j].from = m
		m += len(all[j].keep)
	}
	c.Boost.Lifted = mostLifted(ws)
	if m == 0 {
		setBoost(&c.Boost, p0)
		c.Nitrous.Feed *= math.Exp(p0[11])
		return p0, nil
	}
	rounds := 40
	if start != nil {
		p0 = slices.Clone(start)
		rounds = 12 // near the answer already
	}
	// one start head for each pass
	n := len(prior)
	for _, s := range all {
		h := startHead(s.w)
		prior = append(prior, fit.Prior{Mean: h, SD: 0.03})
		p0 = append(p0, h)
	}
	lower, upper := make([]float64, len(p0)), make([]float64, len(p0))
	for i := range p0 {
		w := 4.0
		if i >= n {
			w = 3
		}
		lower[i], upper[i] = prior[i].Mean-w*prior[i].SD, prior[i].Mean+w*prior[i].SD
	}
	lower[6], upper[6] = 0, 1
	lower[9] = 0
	for i := range p0 {
		p0[i] = min(upper[i], max(lower[i], p0[i]))
	}
	trial := *c
	feed := c.Nitrous.Feed
	top := newAmple(c, all[len(all)-1].w, d.normal(ampleWork, ampleSpread))
	m += len(top.at)
	set := func(p []float64) {
		setBoost(&trial.Boost, p)
		trial.Nitrous.Feed = feed * math.Exp(p[11])
	}
	for j := range all {
		all[j].doubt(&c.Boost)
	}
	run := func(j int, p, r []float64) {
		s := &all[j]
		s.w.runHead(&trial, s.ph, s.gear, p[n+j], s.out)
		for k, i := range s.keep {
			r[s.from+k] = s.scale * (sim.Pressure(s.w.air.Pressure, s.out[i]) - s.w.Boost[i]) / s.sd[k]
		}
	}
	res, err := fit.Fit(fit.Problem{M: m, Lower: lower, Upper: upper, Priors: prior,
		Residuals: func(p, r []float64) {
			set(p)
			each(len(all), d == nil, func(j int) { run(j, p, r) })
			top.residuals(&trial.Boost, r[m-len(top.at):])
		},
		// a pass's start head acts on that pass alone
		Touches: func(j int) (from, to int) {
			if j < n {
				return 0, m
			}
			s := &all[j-n]
			return s.from, s.from + len(s.keep)
		},
		Part: func(p, r []float64, from, _ int) {
			set(p)
			j := slices.IndexFunc(all, func(s boostSeen) bool { return s.from == from })
			run(j, p, r)
		}}, p0, fit.Settings{MaxIterations: rounds, Tolerance: 1e-5, Huber: 1.5, Bare: d != nil})
	if err != nil {
		setBoost(&c.Boost, p0)
		return p0[:n], nil
	}
	setBoost(&c.Boost, res.P)
	c.Nitrous.Feed = feed * math.Exp(res.P[11])
	if d != nil {
		return res.P[:n], nil
	}
	learnt = make([]float64, n)
	for i := range learnt {
		learnt[i] = res.Learnt(i)
	}
	return res.P[:n], learnt
}

// boostSeen is what one pass tells of the air path.
type boostSeen struct {
	w     *work
	ph    []phase
	gear  []int
	keep  []int     // the samples that are looked at
	from  int       // its first residual
	out   []float64 // 1, head by sample, of a trial
	sd    []float64 // Pa, by entry of keep
	scale float64   // 1, root of the pass's weight
}

// boostSamples is the passes that tell of the air path, for a member few of them: in gear, with
// the clutch shut and no more boost than the control asks for.
func boostSamples(c *sim.Car, ws []*work, d *draws) []boostSeen {
	least := 0.3
	if !slices.ContainsFunc(ws, func(w *work) bool { return w.Boost != nil && w.weight >= least }) {
		least = 0 // a faulty pass tells more of this car than no pass
	}
	var all []boostSeen
	for _, w := range ws {
		if w.Boost == nil || w.weight < least {
			continue
		}
		s := boostSeen{w: w, ph: w.phases(), gear: w.gearAt(), out: make([]float64, len(w.X)), scale: math.Sqrt(w.weight)}
		for i := w.Lock + 1; i < len(w.X); i += 2 {
			if s.ph[i] == inGear && !math.IsNaN(w.head[i]) && !math.IsNaN(w.Engine[i]) && !w.surplusBoost(i, c.Boost.Floor) {
				s.keep = append(s.keep, i)
			}
		}
		if len(s.keep) > 50 {
			all = append(all, s)
		}
	}
	if d != nil && len(all) > fewPasses {
		all = few(all, d)
	}
	return all
}

// doubt says how far each sample may be off what a car with that air path makes.
func (s *boostSeen) doubt(b *sim.Boost) {
	for _, i := range s.keep {
		v := s.w.Boost[i]
		sd := math.Hypot(2.5e3, 0.015*v)
		if v > s.w.target(b, s.gear[i])-nearTarget {
			sd = math.Hypot(sd, controlSpread)
		}
		s.sd = append(s.sd, 3*sd) // neighbours share their error: thinned by 9
	}
}

// startHead is the head at the lock.
func startHead(w *work) float64 {
	if w.head == nil {
		return 0.05
	}
	for i := w.Lock; i < min(len(w.X), w.Lock+15); i++ {
		if h := w.head[i]; !math.IsNaN(h) {
			return max(-0.1, h)
		}
	}
	return 0.05
}

func mostLifted(ws []*work) bool {
	yes, no := 0, 0
	for _, w := range ws {
		for _, s := range w.Shifts {
			if s.Lifted {
				yes++
			} else {
				no++
			}
		}
	}
	if yes+no == 0 && len(ws) > 0 {
		return lifted(ws[len(ws)-1].Sheet)
	}
	return yes > no
}
