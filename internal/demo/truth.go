package demo

import (
	"math"
	"strconv"
)

// js is an object of the truth; num a number in it, printed with 8 digits, null
// when it is not finite.
type (
	js  = map[string]any
	num float64
)

// MarshalJSON prints the number with 8 significant digits.
func (n num) MarshalJSON() ([]byte, error) {
	if !finite(float64(n)) {
		return []byte("null"), nil
	}
	return strconv.AppendFloat(nil, float64(n), 'g', 8, 64), nil
}

func nums(x []float64) []num {
	out := make([]num, len(x))
	for i, v := range x {
		out[i] = num(v)
	}
	return out
}

// teller tells the truth of one run.
type teller struct {
	*sim
	car   Car
	clock logClock
	off   float64 // run time of this pass's sample 0 in the file
	ss    []sample
	sh    []shiftTruth
	spans []gearSpan
}

type gearSpan struct {
	gear     int
	from, to float64
}

// shiftTruth is a shift with its torque times.
type shiftTruth struct {
	shiftState
	off, on float64
	end     float64 // of the gear that follows
}

func newTeller(s *sim, c Car, ck logClock, off float64) *teller {
	t := &teller{sim: s, car: c, clock: ck, off: off, ss: s.out.samples}
	t.findShifts()
	return t
}

func (t *teller) own(x float64) num { return num(t.clock.own(x + t.off)) }

// idx is the first sample not before x (time of this run).
func (t *teller) idx(x float64) int {
	i := at(t.ss, x)
	for i < len(t.ss)-1 && t.ss[i].t < x {
		i++
	}
	return i
}

func (t *teller) meanHub(from, to float64) float64 {
	i, j := t.idx(from), t.idx(to)
	if j <= i {
		return math.NaN()
	}
	s := 0.0
	for k := i; k < j; k++ {
		s += float64(t.ss[k].hub)
	}
	return s / float64(j-i)
}

// findShifts places the torque times of every shift by the half-level rule,
// and the spans of the gears.
func (t *teller) findShifts() {
	end := t.endOfRun()
	prev := t.drv.tRelease
	for k, st := range t.out.shifts {
		x := shiftTruth{shiftState: st, end: end}
		if k+1 < len(t.out.shifts) {
			x.end = t.out.shifts[k+1].begin
		}
		before := t.meanHub(st.begin-0.10, st.begin-0.01)
		x.off, x.on = math.NaN(), math.NaN()
		for i := t.idx(st.begin); i < len(t.ss) && t.ss[i].t < st.begin+1.5; i++ {
			if float64(t.ss[i].hub) < 0.5*before {
				x.off = t.ss[i].t
				break
			}
		}
		after := before * t.ratio(st.to) / t.ratio(st.from)
		if b := t.meanHub(st.engaged+0.12, st.engaged+0.30); finite(b) && b > 0 {
			after = math.Min(after, b)
		}
		for i := t.idx(st.engaged); i < len(t.ss) && t.ss[i].t < st.engaged+1.5; i++ {
			q := &t.ss[i]
			if q.throttle > 0.3 && q.clutch > 0.02 && float64(q.hub) >= 0.5*after {
				x.on = q.t
				break
			}
		}
		t.sh = append(t.sh, x)
		t.spans = append(t.spans, gearSpan{st.from, prev, st.neutral})
		prev = st.engaged
	}
	if t.drv.released {
		g := 1
		if n := len(t.out.shifts); n > 0 {
			g = t.out.shifts[n-1].to
		}
		t.spans = append(t.spans, gearSpan{g, prev, end})
	}
}

func (t *teller) endOfRun() float64 {
	if t.drv.tLift > 0 {
		return t.drv.tLift
	}
	return t.ss[len(t.ss)-1].t
}

// inShift says whether x lies between the begin and the end of a shift.
func (t *teller) inShift(x float64) bool {
	for i := range t.sh {
		on := t.sh[i].on
		if !finite(on) {
			on = t.sh[i].engaged + 0.1
		}
		if x >= t.sh[i].begin && x <= on {
			return true
		}
	}
	return false
}

// ceiling is the hub torque that just reaches peak grip at a sample, with the
// load transfer that this very torque causes, the slip there and the friction.
func (t *teller) ceiling(q *sample) (torque, slip, mu float64) {
	p := t.plan
	w := p.mass * grav
	rel := q.v + float64(q.wind)
	qd := 0.5 * p.rho * rel * math.Abs(rel)
	meq := p.mass + p.jUndriven/(p.r0*p.r0)
	v := math.Max(q.v, 3)
	f := 0.9 * float64(q.driven)
	var lf, lr, load float64
	grip := float64(q.mu)
	at := func(k float64) float64 {
		sl, vs := k/(1+k), k*v
		switch p.driven {
		case frontDriven:
			return lf * p.friction(sl, vs, lf, grip)
		case rearDriven:
			return lr * p.friction(sl, vs, lr, grip)
		}
		return lf*p.friction(sl, vs, lf, grip) + lr*p.friction(sl, vs, lr, grip)
	}
	crr := p.crr0 + p.crrv*q.v*q.v
	a := 0.0
	for range 6 {
		a = (f - qd*p.cda - crr*math.Max(w-load, 0) - w*p.strip.Grade) / meq
		tr := (p.mass*a + qd*p.cda) * p.hcg / p.wheelbase
		lf = math.Max(p.wf*w-tr+qd*p.clf, 60)
		lr = math.Max((1-p.wf)*w+tr+qd*p.clr, 60)
		switch p.driven {
		case frontDriven:
			load = lf
		case rearDriven:
			load = lr
		default:
			load = lf + lr
		}
		lo, hi := 0.01, 0.6
		for range 22 {
			m1, m2 := lo+0.382*(hi-lo), lo+0.618*(hi-lo)
			if at(m1) < at(m2) {
				lo = m1
			} else {
				hi = m2
			}
		}
		slip = (lo + hi) / 2
		f = at(slip)
	}
	r := float64(q.r)
	return f*r + crr*load*r + p.jDriven*a*(1+slip)/r, slip, f / load
}

// recovered is the time after x0 at which gauge boost is back at level (or
// first there), counted from x0; 0 when it never fell below; NaN when not
// reached before x1.
func (t *teller) recovered(x0, x1, level float64) float64 {
	i := t.idx(x0)
	p0 := t.air.Pressure
	fell := false
	for ; i < len(t.ss) && t.ss[i].t <= x1; i++ {
		b := float64(t.ss[i].pM) - p0
		if !fell && b < level {
			fell = true
			continue
		}
		if fell && b >= level {
			return t.ss[i].t - x0
		}
	}
	if fell {
		return math.NaN()
	}
	return 0
}

// mean50 slides a mean of width s over a quantity inside [from, to] and returns
// its highest value and when.
func (t *teller) highest(from, to, width float64, ok func(*sample) bool, f func(*sample) float64) (best, when float64) {
	best, when = math.NaN(), math.NaN()
	i, j := t.idx(from), t.idx(to)
	n := int(width/0.001 + 0.5)
	sum, good := 0.0, 0
	for k := i; k < j; k++ {
		if ok(&t.ss[k]) {
			sum += f(&t.ss[k])
			good++
		} else {
			sum, good = 0, 0
			continue
		}
		if good > n {
			sum -= f(&t.ss[k-n])
		}
		if good >= n {
			if m := sum / float64(n); !(m <= best) {
				best, when = m, t.ss[k-n/2].t
			}
		}
	}
	return best, when
}
