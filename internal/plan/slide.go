package plan

import (
	"context"
	"math"
)

const (
	shiftDown = 60.0 // rad/s (570 rpm) below what was run
	shiftUp   = 35.0 // rad/s (330 rpm) above
)

// shiftBounds are how low and how high the shift speed out of gear g (from 0) may be set, rad/s.
func (s *search) shiftBounds(g int) (low, high float64) {
	run := s.ran.shift[g]
	low, high = run-shiftDown, run+shiftUp
	if l := s.m.Sheet.RevLimit; l > 0 {
		high = min(high, l-s.m.Driver.OverIn(g+1)-2*s.m.Driver.OverSD-5)
	}
	return low, high
}

// slide finds the shift speed out of gear g by golden section within what the
// rev limit leaves.
func (s *search) slide(ctx context.Context, x settings, v, was verdict, g int) (settings, verdict) {
	lo, hi := s.shiftBounds(g)
	if hi <= lo {
		return x, v
	}
	const gold = 0.381966
	eval := func(w float64) (verdict, bool) {
		y := x.clone()
		y.shift[g] = w
		r, ok := s.glance(ctx, y, &v)
		return r, ok && s.allOK(&r, &was)
	}
	best, bestV := x.shift[g], v
	a, b := lo, hi
	p, q := a+gold*(b-a), b-gold*(b-a)
	vp, okp := eval(p)
	vq, okq := eval(q)
	for k := range 4 {
		if okp && vp.score > bestV.score+0.005 {
			best, bestV = p, vp
		}
		if okq && vq.score > bestV.score+0.005 {
			best, bestV = q, vq
		}
		if k == 3 {
			break
		}
		if vp.score > vq.score {
			b, q, vq, okq = q, p, vp, okp
			p = a + gold*(b-a)
			vp, okp = eval(p)
		} else {
			a, p, vp, okp = p, q, vq, okq
			q = b - gold*(b-a)
			vq, okq = eval(q)
		}
	}
	const rpm = math.Pi / 30
	x.shift[g] = math.Round(best/rpm/10) * 10 * rpm
	return x, bestV
}
