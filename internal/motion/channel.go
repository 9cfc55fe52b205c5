package motion

import "math"

const slowest = 1.0 // m/s, speed below which a wheel's delay is taken as constant

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
	growth int     // param index of the growth with speed, -1 none
	load   int     // of what acceleration adds: load transfer, slip; -1 none
	relax  float64 // m, way by which slip goes ahead of its acceleration
	bias   int
	lean   int
	walk   int  // index of its wandering-error process, -1 none
	leads  bool // the first of that process, whose figures hold for it
	tau    float64
	walkSD float64
	wt     []float64 // robust weight of each sample in use
	idx    []int     // samples in use
	doubt  []bool    // satellite samples that leave the course of their neighbours; nil none looked at
	leanA  []float64 // lagged acceleration at each sample in use
	at     []spot    // what the unknowns say at each sample in use

	slow, fast []shaken  // room for shake
	left       []float64 // residuals
	buf, pair  []float64 // room to work in
	after      []int     // see later
	mid        middles
}

// middleKind names what a channel's middle is asked for in every iteration.
type middleKind int

const (
	midTotal middleKind = iota // residual and wander
	midLeft                    // residuals; over speed
	midBent                    // bends
	midSlowLeft
	midSlowBent
	midFastLeft
	midFastBent
	middleKinds
)

// spot is the movement at the moment that a sample tells of: its own less its delay.
type spot struct {
	i    int     // first coefficient
	u    float64 // 1, place between the knots
	v, a float64 // m/s, m/s²
	jerk float64 // m/s³, the slope of acceleration between the knots
	e    float64 // wandering error, in its own unit
}

// look evaluates the current unknowns at every knot and every sample: once for all who ask.
func (r *Result) look() {
	h, per := r.sp.step, r.sp.per
	if r.knots == nil {
		r.knots = make([]knot, r.sp.n-2)
	}
	for k := range r.knots {
		a, b, c := r.c[k*per], r.c[(k+1)*per], r.c[(k+2)*per]
		r.knots[k] = knot{(c - a) / (2 * h), (a - 2*b + c) / (h * h)}
	}
	for k := range r.chans {
		ch := &r.chans[k]
		lag, travel := 0.0, 0.0
		if ch.lag >= 0 {
			lag = r.par.val(ch.lag)
		}
		if ch.travel >= 0 {
			travel = r.par.val(ch.travel)
		}
		o := 1 + ch.walk
		for j, n := range ch.idx {
			t := ch.src.T[n] - lag
			if ch.travel >= 0 {
				t -= travel / math.Max(ch.src.V[n], slowest)
			}
			s := &ch.at[j]
			s.i, s.u = r.sp.locate(t)
			k := r.knots[s.i : s.i+2]
			da := k[1].a - k[0].a
			s.jerk = da / h
			da *= s.u
			s.a = k[0].a + da
			s.v = k[0].v + h*s.u*(k[0].a+0.5*da)
			if ch.walk >= 0 {
				e := r.c[(s.i+1)*per+o]
				s.e = e + s.u*(r.c[(s.i+2)*per+o]-e)
			}
		}
	}
}

// knot is the movement at a knot, m/s and m/s²; acceleration is linear between knots.
type knot struct{ v, a float64 }

// slope is the rate at which acceleration changes about a spot, m/s³, over a knot on either side:
// between knots it is a step function.
func (r *Result) slope(s *spot) float64 {
	if len(r.knots) < 4 {
		return 0
	}
	i := max(1, min(len(r.knots)-3, s.i))
	u := s.u + float64(s.i-i)
	k := r.knots[i-1 : i+3]
	return ((1-u)*(k[2].a-k[0].a) + u*(k[3].a-k[1].a)) / (2 * r.sp.step)
}

// variance of a sample's white noise at speed v, its unit squared (wheels, accelerometers).
func (ch *channel) variance(v float64) float64 { return ch.colour * (sq(ch.sigma) + sq(ch.rel*v)) }

// room is space for two numbers a sample.
func (ch *channel) room(n int) (a, b []float64) {
	if cap(ch.pair) < 2*n {
		ch.pair = make([]float64, 2*n)
	}
	return ch.pair[:n], ch.pair[n : 2*n]
}
