package health

import (
	"math"
	"testing"

	"traplight/internal/num/changepoint"
)

// arrive holds a first-order lag to a target with a proportional and integral
// controller whose actuator and integral are bounded, the textbook case of windup
// (Åström and Hägglund, PID Controllers, 1995, section 3.5, from memory): no model of
// an engine. Supply is what the lag can be driven to, a share of 300 kPa, rising.
func arrive(gain, reset float64) *frame {
	f := &frame{n: 600, launch: 0, end: 12}
	p, sum := 20e3, 0.0
	for i := range f.n {
		t := float64(i) * cell
		target := 100e3
		e := target - p
		sum = max(-0.3, min(0.3, sum+reset*e/1e5*cell))
		u := max(0, min(1, gain*e/1e5+sum+0.4))
		p += cell / 0.5 * (u*300e3*min(1, 0.2+t/3) - p)
		f.t, f.full = append(f.t, t), append(f.full, true)
		f.boost, f.target = append(f.boost, p), append(f.target, target)
	}
	return f
}

func TestArrivalsExplainWhatAControllerWoundUp(t *testing.T) {
	for _, c := range []struct{ gain, reset float64 }{{1, 0.5}, {2, 1}, {1, 1}, {3, 0.7}} {
		f := arrive(c.gain, c.reset)
		cols := f.arrivals(0.4, 1.3)
		var rows [][3]float64
		top := 0.0
		reached := false
		for i := range f.n {
			y := f.boost[i] - f.target[i]
			if reached = reached || y > 0; !reached {
				continue
			}
			rows = append(rows, [3]float64{cols[0][i], cols[1][i], y})
			top = max(top, y)
		}
		if top < 3e3 {
			t.Fatalf("%+v: overshoots by %.0f Pa only", c, top)
		}
		xx, xy := make([]float64, 4), make([]float64, 2)
		for _, r := range rows {
			for a := range 2 {
				xy[a] += r[a] * r[2]
				for b := range 2 {
					xx[2*a+b] += r[a] * r[b]
				}
			}
		}
		inv := inverse(xx, 2)
		left, was := 0.0, 0.0
		for _, r := range rows {
			e := r[2]
			for a := range 2 {
				e -= r[a] * (inv[2*a]*xy[0] + inv[2*a+1]*xy[1])
			}
			left, was = left+e*e, was+r[2]*r[2]
		}
		if left > 0.4*was {
			t.Errorf("%+v: %.0f %% of the overshoot's square is left", c, 100*left/was)
		}
	}
}

func TestArrivalsAreNoneAtTheTarget(t *testing.T) {
	f := &frame{n: 100}
	for i := range f.n {
		f.full = append(f.full, true)
		f.target, f.boost = append(f.target, 100e3), append(f.boost, 100e3+2e3*math.Sin(float64(i)))
	}
	for _, col := range f.arrivals(0.4, 1.3) {
		for i, v := range col {
			if v > 0.2 {
				t.Fatalf("cell %d: %.2f without an arrival", i, v)
			}
		}
	}
}

// A passing disturbance that rests on one row, others before and after left out, is
// none; on two it is.
func TestOneRowAloneIsNoBout(t *testing.T) {
	m := &model{center: []float64{0}, coef: []float64{0}, cov: []float64{1e-4}, wander: []float64{0.01}, noise: 0.1, corr: 0.05, rough: 1, passes: 7, df: 11, rowDF: 25, excess: 1}
	for n, told := range map[int]bool{1: false, 2: true} {
		r := &rowset{P: 1}
		for i := range 40 {
			at := 0.2 * float64(i)
			if i >= 20 { // a gap on either side of rows 20 to 20+n−1
				at += 2
			}
			if i >= 20+n {
				at += 2
			}
			y := 0.05 * math.Sin(float64(7*i))
			if i >= 20 && i < 20+n {
				y += 1
			}
			r.T, r.Y, r.X, r.Loose = append(r.T, at), append(r.Y, y), append(r.X, 1), append(r.Loose, false)
		}
		o := observe(&look{spec: spec{shapes: []shape{step, dip}, small: 0.2, terms: []term{{"", 0, 1, 0.1}}}, rows: r}, m)
		if got := o.evidence > 6 && o.hit.Shape == (changepoint.Shape{Last: dip.Last}); got != told {
			t.Errorf("%d rows: evidence %.1f for %+v", n, o.evidence, o.hit)
		}
	}
}
