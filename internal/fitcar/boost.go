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

// phase of a sample for the air path.
type phase uint8

const (
	inGear phase = iota
	inShift
	partThrottle
	settling // after a shift: full throttle, but the plenum is still filling
)

// phases marks the samples from the lock on.
func (w *work) phases() []phase {
	ph := make([]phase, len(w.X))
	for i := range ph {
		if i < len(w.Full) && !w.Full[i] {
			ph[i] = partThrottle
		}
	}
	for _, s := range w.Shifts {
		for i := w.at(s.Start); i <= w.at(s.End+0.14) && i < len(ph); i++ {
			ph[i] = settling
		}
		for i := w.at(s.Start); i < w.at(s.End); i++ {
			ph[i] = inShift
		}
	}
	return ph
}

// gearAt is the gear for the boost target at each sample: the coming one within
// shifts.
func (w *work) gearAt() []int {
	g := slices.Clone(w.Gear)
	for i := len(g) - 2; i >= 0; i-- {
		if g[i] == 0 {
			g[i] = g[i+1]
		}
	}
	for i := 1; i < len(g); i++ {
		if g[i] == 0 {
			g[i] = g[i-1]
		}
	}
	return g
}

// runHead integrates the rotor's balance along the measured engine speed from
// head h0 at the lock and writes it to out. Nitrous, where it is open, feeds the
// turbine by power, W.
func (w *work) runHead(c *sim.Car, ph []phase, gear []int, h0 float64, out []float64) {
	const sub = 2
	dt := w.Step / sub
	next := 0 // the coming or present shift
	b := &c.Boost
	h, z, over, in := h0, 0.0, 0.0, -1
	known, tgt, ht := -1, 0.0, 0.0
	for i := w.Lock; i < len(w.X); i++ {
		out[i] = h
		n := w.Engine[i]
		if math.IsNaN(n) {
			if i > 0 && !math.IsNaN(w.V[i]) && gear[i] > 0 {
				n = w.V[i] / w.radius * w.ratios[min(gear[i], len(w.ratios))-1]
			} else {
				continue
			}
		}
		if known != gear[i] {
			known, tgt = gear[i], w.target(b, gear[i])
			ht = sim.Head(w.air.Pressure, tgt)
		}
		if in != gear[i] && ph[i] != inShift {
			in = gear[i]
			over = sim.Load(over, b.OverHead(w.air.Pressure, ht), h, ht)
		}
		for k := range sub {
			// whether this substep lies in a shift is told by its middle
			at := w.time(i) + (float64(k)+0.5)*dt
			for next < len(w.Shifts) && at >= w.Shifts[next].End {
				next++
			}
			shifting := next < len(w.Shifts) && at >= w.Shifts[next].Start
			if shifting && b.Lifted {
				h -= b.Decay * h * dt
				z = 0
				continue
			}
			p := sim.Pressure(w.air.Pressure, h)
			heat := 1.0
			if shifting {
				heat = b.ShiftHeat
			}
			if ph[i] == partThrottle && w.head != nil && w.Boost != nil && !math.IsNaN(w.Boost[i]) {
				p = min(p, w.Boost[i])
			}
			temp := c.Engine.ChargeTemperature(w.air.Temperature, h)
			surplus := 1.0
			if w.open(c, i, p, tgt, gear[i]) && !shifting {
				if ind := c.Engine.Indicated(n, c.Engine.Charge(n, p, temp)); ind > 0 {
					surplus = 1 + c.Nitrous.Feed/n/ind
				}
			}
			r := b.Rise(sim.Flow(n, p, temp), h, n/sim.RefSpeed, surplus, heat)
			if shifting {
				h += min(0, r) * dt
				continue
			}
			z += (max(0, r-b.Gate*(ht+over-h)) - z) * min(1, b.GateLag*dt)
			over -= over * b.Settling(h-ht) * dt
			h += (r - z) * dt
		}
		h = min(max(h, -0.2), 2)
	}
}

// open tells whether nitrous flows at sample i.
func (w *work) open(c *sim.Car, i int, p, target float64, gear int) bool {
	if !w.Nitrous {
		return false
	}
	if w.Open != nil && !math.IsNaN(w.Open[i]) {
		return w.Open[i] > 0.5
	}
	return c.Nitrous.In(gear, max(1, w.Gear[w.Lock])) && p < target-c.Nitrous.Below
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
	type seen struct {
		w     *work
		ph    []phase
		gear  []int
		keep  []int
		out   []float64
		scale float64
	}
	var all []seen
	m := 0
	for _, w := range ws {
		if w.Boost == nil || w.weight < 0.3 {
			continue
		}
		s := seen{w: w, ph: w.phases(), gear: w.gearAt(), out: make([]float64, len(w.X)), scale: math.Sqrt(w.weight)}
		for i := w.Lock + 1; i < len(w.X); i += 2 {
			if s.ph[i] == inGear && !math.IsNaN(w.head[i]) && !math.IsNaN(w.Engine[i]) && !w.surplusBoost(i, c.Boost.Floor) {
				s.keep = append(s.keep, i)
			}
		}
		if len(s.keep) > 50 {
			all = append(all, s)
			m += len(s.keep)
		}
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
	res, err := fit.Fit(fit.Problem{M: m, Lower: lower, Upper: upper, Priors: prior,
		Residuals: func(p, r []float64) {
			setBoost(&trial.Boost, p)
			trial.Nitrous.Feed = feed * math.Exp(p[11])
			k := 0
			for j, s := range all {
				s.w.runHead(&trial, s.ph, s.gear, p[n+j], s.out)
				for _, i := range s.keep {
					a, b := sim.Pressure(s.w.air.Pressure, s.out[i]), s.w.Boost[i]
					sd := math.Hypot(2.5e3, 0.015*b) * 3 // neighbours share their error: thinned by 9
					r[k] = s.scale * (a - b) / sd
					k++
				}
			}
		}}, p0, fit.Settings{MaxIterations: rounds, Tolerance: 1e-5, Huber: 1.5})
	if err != nil {
		setBoost(&c.Boost, p0)
		return p0[:n], nil
	}
	setBoost(&c.Boost, res.P)
	c.Nitrous.Feed = feed * math.Exp(res.P[11])
	learnt = make([]float64, n)
	for i := range learnt {
		learnt[i] = res.Learnt(i)
	}
	return res.P[:n], learnt
}

// surplusBoost tells that boost stands far over its target, as launch controls that
// build boost on the line leave it: no steady control does that, and the model
// does not try to follow.
func (w *work) surplusBoost(i int, floor float64) bool {
	g := w.Gear[i]
	if len(w.Target) == 0 || g < 1 {
		return false
	}
	t := w.Target[min(g, len(w.Target))-1]
	return w.Boost[i]-w.air.Pressure > 1.1*max(t, floor)+8e3
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

// settled calls f for every sample at which boost has stood near its target for
// 0.9 s within a gear.
func (w *work) settled(gears int, f func(i, gear int, over float64)) {
	if w.Boost == nil || w.Target == nil {
		return
	}
	ph := w.phases()
	reached := -1
	for i := w.Lock; i < len(w.X); i++ {
		g := w.Gear[i]
		if ph[i] != inGear || g < 1 || g > gears {
			reached = -1
			continue
		}
		t := w.Target[min(g, len(w.Target))-1]
		b := w.Boost[i] - w.air.Pressure
		if math.IsNaN(b) || t <= 0 {
			continue
		}
		if reached < 0 && b > 0.95*t {
			reached = i
		}
		if reached >= 0 && w.time(i)-w.time(reached) > 0.9 && math.Abs(b-t) < 0.12*t {
			f(i, g, b-t)
		}
	}
}

// shrunk turns findings by gear into one figure each: medians, drawn to the median
// of all by what 25 samples are worth.
func shrunk(by [][]float64) []float64 {
	var all []float64
	for _, x := range by {
		all = append(all, x...)
	}
	common := 0.0
	if len(all) > 20 {
		common = median(all)
	}
	out := make([]float64, len(by))
	for i := range out {
		n := float64(len(by[i]))
		out[i] = common
		if n > 0 {
			out[i] = (n*median(by[i]) + 25*common) / (n + 25)
		}
	}
	return out
}

// settledOffset measures how far boost settles from its target in each gear, Pa,
// where it came near it.
func settledOffset(ws []*work, gears int) []float64 {
	by := make([][]float64, gears)
	for _, w := range ws {
		w.settled(gears, func(_, g int, over float64) { by[g-1] = append(by[g-1], over) })
	}
	return shrunk(by)
}

// trimOffset corrects the offsets by what the fitted balance has over the measured
// boost where that has settled: the rest of an overshoot must not count twice.
func trimOffset(c *sim.Car, ws []*work, heads []float64) {
	gears := mostGears(c, ws)
	by := make([][]float64, gears)
	for k, w := range ws {
		if w.Boost == nil {
			continue
		}
		out := make([]float64, len(w.X))
		w.runHead(c, w.phases(), w.gearAt(), heads[k], out)
		w.settled(gears, func(i, g int, _ float64) {
			if d := sim.Pressure(w.air.Pressure, out[i]) - w.Boost[i]; math.Abs(d) < 15e3 {
				by[g-1] = append(by[g-1], d)
			}
		})
	}
	for g, d := range shrunk(by) {
		c.Boost.Offset[g] -= d
	}
}

// springFloor is the boost, Pa gauge, at which the wastegate's spring settles: what the
// car holds, steadily and in whole gears, clearly over low targets. 0 when no gear
// shows it.
func springFloor(ws []*work, gears int) float64 {
	var held []float64
	for _, w := range ws {
		if w.Boost == nil || w.Target == nil {
			continue
		}
		ph := w.phases()
		for g := 1; g <= gears; g++ {
			t := w.Target[min(g, len(w.Target))-1]
			var b []float64
			for i := w.Lock; i < len(w.X); i++ {
				if w.Gear[i] == g && ph[i] == inGear && !math.IsNaN(w.Boost[i]) {
					b = append(b, w.Boost[i]-w.air.Pressure)
				}
			}
			if len(b) < 40 {
				continue
			}
			// the later half: after boost has come, whether from below or above
			late := slices.Clone(b[len(b)/2:])
			slices.Sort(late)
			if lo := late[len(late)/10]; lo > 1.15*t+6e3 {
				held = append(held, median(late))
			}
		}
	}
	if len(held) == 0 {
		return 0
	}
	return median(held)
}

func median(x []float64) float64 {
	s := slices.Clone(x)
	slices.Sort(s)
	n := len(s)
	if n == 0 {
		return 0
	}
	if n%2 == 1 {
		return s[n/2]
	}
	return (s[n/2-1] + s[n/2]) / 2
}
