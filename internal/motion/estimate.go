package motion

import (
	"errors"

	"math"

	"traplight/internal/num/banded"
)

// Tuning. Each is a property of vehicles and recorders at large, not of a file.
const (
	defaultStep   = 0.01  // s between knots
	tailDegrees   = 3.0   // degrees of freedom of the acceleration steps
	noiseDegrees  = 5.0   // degrees of freedom of white sensor noise
	satWalkTau    = 1.5   // s, correlation time of a receiver's wandering speed error
	satWalkSD     = 0.06  // m/s, its standard deviation before the log tells better
	wheelWalkTau  = 1.5   // s, correlation time of a rolling wheel's wandering error (surface, slight steering, camber)
	wheelWalkSD   = 1e-3  // 1, its standard deviation relative to speed before the log tells better
	drivenWalkTau = 1.0   // s, correlation time of a driven wheel's slip beyond what goes with acceleration
	drivenWalkSD  = 0.015 // 1, its standard deviation
	pullSD        = 0.5   // m/s², how well a car rolling with the clutch open is known to slow
	drivenFloor   = 4e-3  // 1, least white noise of a driven wheel relative to speed: shafts ring, tyres creep
	walkWeight    = 15.0  // independent stretches that the standard deviations above are worth
	restSpeedSD   = 1e-3  // m/s, how still a standing car stands
	maxIterations = 30
	slowest       = 1.0  // m/s, speed below which a wheel's delay is taken as constant
	settled       = 2e-4 // m/s, largest change of speed at which the iteration ends
)

// ErrNoSource says that nothing in the log tells how the car moved.
var ErrNoSource = errors.New("motion: no source of speed, position or acceleration")

// channel is a source prepared for the solver.
type channel struct {
	src    *Source
	sigma  float64 // white noise, V's unit
	floor  float64 // least sigma, from the resolution
	rel    float64 // white noise that grows with speed, V's unit per m/s
	colour float64 // variance of the noise in the long run over that of a sample, 1
	lag    int     // param index, -1 none
	travel int     // param index of the way in the delay of a toothed ring, -1 none
	scale  int
	common int
	growth [3]int // g2, load, quartic
	bias   int
	lean   int
	walk   int // index of its wandering-error process, -1 none
	tau    float64
	walkSD float64
	wt     []float64 // robust weight of each sample in use
	idx    []int     // samples in use
	doubt  []bool    // satellite samples that leave the course of their neighbours; nil none looked at
	leanA  []float64 // lagged acceleration at each sample in use

	slow, fast []shaken // room for shake
	buf        []float64
}

// Result is an estimated movement.
type Result struct {
	sp         spline
	c          []float64
	par        params
	chans      []channel
	sys        *banded.System
	inv        *banded.Inverse
	stepSD     float64
	jump       []float64 // robust weight of each acceleration step
	Iterations int
	Converged  bool
	walks      int
	rollout    int      // index of the start beam's place among the constants, −1 none
	strip      *lowRank // update by the strip's clocks, nil none
	Notes      []string // conflicts with the timing slip, a sentence each

	scaleSD, growthSD float64 // 1, s²/m²: spread of constants that nothing in the log fixes
}

// Estimate solves the problem. It returns ErrNoSource without any usable source.
func Estimate(p *Problem) (*Result, error) {
	r := &Result{}
	h := p.Step
	if h == 0 {
		h = defaultStep
	}
	start := align(p, h)
	r.sp = spline{start: start, step: h, n: int(math.Ceil((p.To-start)/h)) + 4}
	r.prepare(p)
	if len(r.chans) == 0 {
		return nil, ErrNoSource
	}
	r.sp.per = 1 + r.walks
	n := r.sp.n * r.sp.per
	r.c = make([]float64, n)
	r.guess(p)
	r.doubtReflections(p)
	r.sys = banded.New(n, 4*r.sp.per-1, len(r.par.list))
	r.jump = make([]float64, r.sp.n-3)
	for i := range r.jump {
		r.jump[i] = 1
	}
	r.stepSD = 4 * math.Sqrt(h) // m/s² per knot to begin with: lets the first solution follow the data
	slip := p.Slip
	if err := r.iterate(p, nil); err != nil {
		return nil, err
	}
	if slip != nil && r.rollout >= 0 {
		r.assemble(p)
		if err := r.sys.Factor(); err != nil {
			return nil, err
		}
		if slip, r.Notes = r.agree(slip); slip != nil {
			if err := r.iterate(p, slip); err != nil {
				return nil, err
			}
		}
	}
	r.assemble(p)
	if err := r.sys.Factor(); err != nil {
		return nil, err
	}
	if slip != nil && r.rollout >= 0 {
		if rows := r.slipRows(slip); len(rows) > 0 {
			r.strip, _ = newLowRank(rows)
		}
	}
	r.inv = r.sys.Inverse()
	return r, nil
}

// iterate runs Gauss–Newton with reweighting to its end, with or without the strip's
// readings.
func (r *Result) iterate(p *Problem, slip *Slip) error {
	prev := math.Inf(1)
	least := 6
	if slip != nil {
		least = 1
	}
	for it := 0; it < maxIterations; it++ {
		r.Iterations++
		r.assemble(p)
		if err := r.sys.Factor(); err != nil {
			return err
		}
		dx, dp := r.sys.Solve()
		if slip != nil {
			if rows := r.slipRows(slip); len(rows) > 0 {
				if u, ok := newLowRank(rows); ok {
					u.apply(r, dx, dp, func(q *slipRow) float64 { return q.residual - q.change(dx, dp) })
				}
			}
		}
		worst := r.update(dx, dp)
		r.reweigh(p, it+least-6)
		if it > least && worst < settled && prev < 3*settled {
			r.Converged = true
			break
		}
		prev = worst
	}
	return nil
}

// align puts the knots at a fixed phase to the samples of the densest source, so
// that the same samples on another clock give the same answer. It returns the first
// knot, at or within a step before From.
func align(p *Problem, h float64) float64 {
	var dense *Source
	for i := range p.Sources {
		s := &p.Sources[i]
		if dense == nil || len(s.T) > len(dense.T) || len(s.T) == len(dense.T) && s.Kind == Accelerometer && dense.Kind != Accelerometer {
			dense = s
		}
	}
	if dense == nil || len(dense.T) == 0 {
		return p.From
	}
	var c, q float64
	for _, t := range dense.T {
		if t >= p.From && t <= p.To {
			sn, cs := math.Sincos(2 * math.Pi * (t - p.From) / h)
			c += cs
			q += sn
		}
	}
	phase := math.Atan2(q, c) / (2 * math.Pi) * h // s from a knot at From to the samples
	const want = 0.4                              // of a step, from knot to sample
	d := math.Mod(phase-want*h, h)
	if d > 0 {
		d -= h
	}
	return p.From + d
}

// update moves the unknowns by the correction and returns the largest change of speed, m/s.
func (r *Result) update(dx, dp []float64) float64 {
	worst := 0.0
	per := r.sp.per
	for i := range r.c {
		r.c[i] += dx[i]
	}
	for i := 0; i+2 < r.sp.n; i += 7 {
		dv := (dx[(i+2)*per] - dx[i*per]) / (2 * r.sp.step)
		worst = math.Max(worst, math.Abs(dv))
	}
	for i := range dp {
		r.par.list[i].value += dp[i]
	}
	return worst
}

// guess fills the spline's coefficients from the coarse speed.
func (r *Result) guess(p *Problem) {
	x := 0.0
	per := r.sp.per
	for i := 0; i < r.sp.n; i++ {
		t := r.sp.start + float64(i-1)*r.sp.step // coefficient i is centred on knot i−1
		v := 0.0
		if t > p.RestTo && p.Guess != nil {
			v = p.Guess(t)
			if !finite(v) || v < 0 {
				v = 0
			}
		}
		r.c[i*per] = x
		x += v * r.sp.step
	}
}

// prepare turns sources into channels and registers their constants.
func (r *Result) prepare(p *Problem) {
	pr := p.Priors
	r.par.known = pr.Known
	def := DefaultPriors()
	if pr.WheelScale.SD == 0 {
		pr.WheelScale = def.WheelScale
	}
	if pr.WheelSpread == 0 {
		pr.WheelSpread = def.WheelSpread
	}
	if pr.Growth.SD == 0 {
		pr.Growth = def.Growth
	}
	if pr.Lean.SD == 0 {
		pr.Lean = def.Lean
	}
	if pr.Latency.SD == 0 {
		pr.Latency = def.Latency
	}
	absolute, wheels, rolls := false, false, false
	for i := range p.Sources {
		absolute = absolute || p.Sources[i].Kind == Satellite && len(p.Sources[i].T) > 10
		rolls = rolls || p.Sources[i].Kind == Undriven
		wheels = wheels || p.Sources[i].Kind == Undriven || p.Sources[i].Kind == DrivenWheel
	}
	if !absolute && !wheels {
		// how the reading follows fast changes must not set the scale of speed
		r.scaleSD = pr.Lean.SD
		pr.Lean.SD /= 1000
	}
	if !absolute {
		// held at the prior (a thousandth of its spread), the spread added to the results
		if wheels {
			if q, ok := pr.Known["wheel scale"]; ok && q.SD < pr.WheelScale.SD {
				pr.WheelScale, pr.WheelSpread = q, math.Min(pr.WheelSpread, q.SD)
			}
			if q, ok := pr.Known["growth"]; ok && q.SD < pr.Growth.SD {
				pr.Growth = q
			}
			r.scaleSD, r.growthSD = math.Hypot(pr.WheelScale.SD, pr.WheelSpread), pr.Growth.SD
		}
		pr.WheelScale.SD, pr.WheelSpread, pr.Growth.SD = pr.WheelScale.SD/1000, 1e-5, pr.Growth.SD/1000
	}
	// One sensor's delay must be taken as known within a millisecond or two: all
	// delays together are the same as another clock, and only where acceleration
	// jumps fall between the knots would tell.
	wheelLagSD := 0.0015
	for i := range p.Sources {
		if p.Sources[i].Kind == Accelerometer {
			wheelLagSD = 0.008
		}
	}
	if !rolls {
		wheelLagSD = 0.002 // what a tyre's slip does between its readings would pass for delay
	}
	wheelLag, travel, common, g2, load, wheelWalk := -1, -1, -1, -1, -1, -1
	drivenSlip, drivenWalk := -1, -1
	satLag := -1
	r.rollout = -1
	if p.Slip != nil {
		q := p.Slip.Rollout
		if q.SD == 0 {
			q = Prior{0.265, 0.04}
		}
		r.rollout = r.par.add("start beam", q)
	}
	for i := range p.Sources {
		s := &p.Sources[i]
		ch := channel{src: s, colour: 1, lag: -1, travel: -1, scale: -1, common: -1, growth: [3]int{-1, -1, -1}, bias: -1, lean: -1, walk: -1}
		ch.floor = s.Resolution / math.Sqrt(12)
		for j, t := range s.T {
			if t < p.From+0.05 || t > p.To-0.02 || !s.ok(t) || !finite(s.V[j]) {
				continue
			}
			switch s.Kind {
			case Undriven, DrivenWheel:
				if s.V[j] <= 0.05 || t <= p.RestTo {
					continue // blind near standstill
				}
			case Satellite:
				if t <= p.RestTo {
					continue
				}
			}
			ch.idx = append(ch.idx, j)
		}
		if len(ch.idx) < 3 {
			continue
		}
		ch.wt = make([]float64, len(ch.idx))
		for j := range ch.wt {
			ch.wt[j] = 1
		}
		switch s.Kind {
		case Undriven, DrivenWheel:
			if wheelLag < 0 {
				wheelLag = r.par.add("wheel lag", Prior{0.012, wheelLagSD})
				common = r.par.add("wheel scale", pr.WheelScale)
				g2 = r.par.add("growth", pr.Growth)
			}
			if travel < 0 && s.Kind == Undriven {
				travel = r.par.add("wheel travel", Prior{0.03, 0.02})
			}
			ch.lag, ch.common, ch.travel = wheelLag, common, travel
			own := Prior{0, pr.WheelSpread}
			ch.scale = r.par.add("scale "+s.Name, own)
			ch.growth[0] = g2
			if s.Kind == Undriven {
				if load < 0 {
					load = r.par.add("load", Prior{0, 2e-4}) // 1 per m/s²: deflection under load transfer
				}
				ch.growth[1] = load
				ch.sigma, ch.rel = 0.03, 1.5e-3
				if wheelWalk < 0 {
					wheelWalk = r.walks
					r.walks++
				}
				ch.walk, ch.tau, ch.walkSD = wheelWalk, wheelWalkTau, wheelWalkSD
			} else {
				if drivenSlip < 0 {
					drivenSlip = r.par.add("driven slip", Prior{0.006, 0.004}) // 1 per m/s²
				}
				ch.growth[1] = drivenSlip
				ch.sigma, ch.rel = 0.03, 4e-3
				if drivenWalk < 0 {
					drivenWalk = r.walks
					r.walks++
				}
				ch.walk, ch.tau, ch.walkSD = drivenWalk, drivenWalkTau, drivenWalkSD
			}
		case Satellite:
			if satLag < 0 {
				satLag = r.par.add("latency", pr.Latency)
			}
			ch.lag = satLag
			ch.sigma = 0.06
			ch.tau, ch.walkSD = satWalkTau, satWalkSD
			ch.walk = r.walks
			r.walks++
		case Accelerometer:
			ch.lag = r.par.add("accelerometer lag", Prior{0.008, 0.0015})
			ch.bias = r.par.add("accelerometer bias", Prior{0, 1.5})
			ch.lean = r.par.add("lean", pr.Lean)
			ch.sigma = 0.3
			ch.leanA = make([]float64, len(ch.idx))
		case Pull:
			ch.sigma = pullSD
		case Position:
			continue
		}
		r.chans = append(r.chans, ch)
	}
}

// at returns distance, speed and acceleration at t with the current unknowns.
func (r *Result) at(t float64) (x, v, a float64) {
	i, u := r.sp.locate(t)
	wx, wv, wa := r.sp.weights(u)
	c := r.four(i)
	return dot4(wx, c[:]), dot4(wv, c[:]), dot4(wa, c[:])
}

// speedAt is the speed of at alone.
func (r *Result) speedAt(t float64) float64 {
	i, u := r.sp.locate(t)
	w, c := r.sp.speedWeights(u), r.four(i)
	return dot4(w, c[:])
}

// accelAt is the acceleration of at alone.
func (r *Result) accelAt(t float64) float64 {
	i, u := r.sp.locate(t)
	w, c := r.sp.accelWeights(u), r.four(i)
	return dot4(w, c[:])
}

// four are the coefficients from the i-th on.
func (r *Result) four(i int) (c [4]float64) {
	per := r.sp.per
	for k := range c {
		c[k] = r.c[(i+k)*per]
	}
	return c
}

// delay is by how much sample n is late, s. A ring of teeth tells the speed over the last
// whole teeth that passed: beside a fixed time it is late by a fixed way.
func (r *Result) delay(ch *channel, n int) float64 {
	if ch.travel < 0 {
		return r.par.val(ch.lag)
	}
	return r.par.val(ch.lag) + r.par.val(ch.travel)/math.Max(ch.src.V[n], slowest)
}

// median of |x|, which it reorders: the element that would stand in the middle, found
// by partition (Hoare 1961) since the whole order is not needed.
func medianAbs(x []float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	for i := range x {
		x[i] = math.Abs(x[i])
	}
	k, lo, hi := len(x)/2, 0, len(x)-1
	for lo < hi {
		p := x[(lo+hi)/2]
		i, j := lo, hi
		for i <= j {
			for x[i] < p {
				i++
			}
			for x[j] > p {
				j--
			}
			if i <= j {
				x[i], x[j] = x[j], x[i]
				i++
				j--
			}
		}
		switch {
		case k <= j:
			hi = j
		case k >= i:
			lo = i
		default:
			return x[k]
		}
	}
	return x[k]
}
