package motion

import (
	"errors"
	"math"

	"traplight/internal/num/banded"
)

const (
	defaultStep   = 0.01 // s between knots
	maxIterations = 30
	settled       = 2e-4 // m/s, largest change of speed at which the iteration ends
)

// ErrNoSource says that nothing in the log tells how the car moved.
var ErrNoSource = errors.New("motion: no source of speed, position or acceleration")

// Result is an estimated movement.
type Result struct {
	sp         spline
	c          []float64
	par        params
	chans      []channel
	knots      []knot // movement at each knot with the current unknowns
	sys        *banded.System
	rows       pairs
	inv        *banded.Inverse
	stepSD     float64
	jump       []float64 // robust weight of each acceleration step
	holed      []bool    // by knot: nothing tells speed there; nil nowhere
	Iterations int
	Converged  bool
	walks      int
	rollout    int      // index of the start beam's place among the constants, −1 none
	strip      *lowRank // update by the strip's clocks, nil none
	Notes      []string // conflicts with the timing slip, a sentence each

	unfixed scaled     // constants that nothing in the log fixes
	shifted [2]float64 // by how much, meanwhile, the strip's readings moved them
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
	r.inHoles(p)
	if len(r.chans) == 0 {
		return nil, ErrNoSource
	}
	r.sp.per = 1 + r.walks
	n := r.sp.n * r.sp.per
	r.c = make([]float64, n)
	r.guess(p)
	r.look()
	r.doubtReflections()
	r.sys = banded.New(n, 3*r.sp.per, len(r.par.list)) // a sample sees four coefficients, and the wander at the knots between them
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
		var err error
		if slip, err = r.weighSlip(p, slip); err != nil {
			return nil, err
		}
		if slip != nil {
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
					u.apply(dx, dp, func(q *slipRow) float64 { return q.residual - q.change(dx, dp) })
				}
			}
		}
		worst := r.update(dx, dp)
		r.look()
		r.reweigh(p, it+least-6)
		if it > least && worst < settled && prev < 3*settled {
			r.Converged = true
			break
		}
		prev = worst
	}
	return nil
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

// four are the coefficients from the i-th on.
func (r *Result) four(i int) (c [4]float64) {
	per := r.sp.per
	for k := range c {
		c[k] = r.c[(i+k)*per]
	}
	return c
}
