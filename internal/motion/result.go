package motion

import (
	"math"

	"traplight/internal/num/banded"
	"traplight/internal/quantity"
)

// At returns distance m, speed m/s and acceleration m/s² at t, s on the run clock.
func (r *Result) At(t float64) (x, v, a float64) { return r.at(t) }

// Param returns a constant's value and standard deviation by name, both in the
// constant's own unit; ok is false when the problem had no such constant.
func (r *Result) Param(name string) (value, sd float64, ok bool) {
	for i, q := range r.par.list {
		if q.name == name {
			va := r.inv.Border[i*len(r.par.list)+i]
			if r.strip != nil {
				c := make([]float64, len(r.strip.rows))
				for k := range c {
					c[k] = r.strip.rows[k].p[i]
				}
				va -= r.strip.less(c, c)
			}
			return q.value, math.Sqrt(math.Max(va, 0)), true
		}
	}
	return 0, 0, false
}

// Constants returns what the pass says of every constant of its sensors that is worth
// keeping for the car's other passes, each in its own unit. A wheel's own scale is
// given with the common one in it, as only their sum is told.
func (r *Result) Constants() map[string]quantity.Estimate {
	out := map[string]quantity.Estimate{}
	n := len(r.par.list)
	common := -1
	for i, q := range r.par.list {
		if q.name == "wheel scale" {
			common = i
		}
	}
	for i, q := range r.par.list {
		v, sd, _ := r.Param(q.name)
		switch {
		case q.name == "start beam" || q.name == "accelerometer bias" || q.name == "wheel scale" || q.name == "driven slip":
			continue
		case len(q.name) > 6 && q.name[:6] == "scale " && common >= 0:
			v += r.par.val(common)
			va := r.inv.Border[i*n+i] + r.inv.Border[common*n+common] + 2*r.inv.Border[i*n+common]
			if r.strip != nil {
				c := make([]float64, len(r.strip.rows))
				for k := range c {
					c[k] = r.strip.rows[k].p[i] + r.strip.rows[k].p[common]
				}
				va -= r.strip.less(c, c)
			}
			sd = math.Hypot(math.Sqrt(math.Max(va, 0)), r.unfixed.scale)
		}
		if q.name == "growth" {
			sd = math.Hypot(sd, r.unfixed.growth)
		}
		out[q.name] = quantity.Estimate{Value: v, SD: sd}
	}
	return out
}

// SD returns the standard deviations of distance m, speed m/s and acceleration m/s² at t.
func (r *Result) SD(t float64) (x, v, a float64) {
	i, u := r.sp.locate(t)
	wx, wv, wa := r.sp.weights(u)
	per := r.sp.per
	cols := []int{i * per, (i + 1) * per, (i + 2) * per, (i + 3) * per}
	f := func(w [4]float64) float64 {
		va := r.inv.Var(cols, w[:], nil, nil)
		if r.strip != nil {
			q := make([]float64, len(r.strip.rows))
			for k := range q {
				for m, c := range cols {
					q[k] += w[m] * r.strip.rows[k].x[c]
				}
			}
			va -= r.strip.less(q, q)
		}
		return math.Sqrt(math.Max(0, va))
	}
	k := r.relative(t)
	xx, vv, aa := r.at(t)
	return math.Hypot(f(wx), k*xx), math.Hypot(f(wv), k*vv), math.Hypot(f(wa), k*aa)
}

// relative is the standard deviation, 1, of the scale of speed at t that nothing in
// the log fixes; 0 with a receiver.
func (r *Result) relative(t float64) float64 {
	_, v, _ := r.at(t)
	return math.Sqrt(r.unfixed.at(v))
}

// distanceGradient is the gradient of Σ f·x(t) by the band unknowns from index from on.
func (r *Result) distanceGradient(ts, fs []float64) (g []float64, from int) {
	per := r.sp.per
	lo := r.sp.n
	for _, t := range ts {
		i, _ := r.sp.locate(t)
		lo = min(lo, i)
	}
	from = lo * per
	g = make([]float64, r.sp.n*per-from)
	for k, t := range ts {
		i, u := r.sp.locate(t)
		wx, _, _ := r.sp.weights(u)
		for m, w := range wx {
			g[(i+m)*per-from] += fs[k] * w
		}
	}
	return g, from
}

// sd is the standard deviation of Σ f·x(t), with the strip's readings if any.
func (r *Result) sd(ts, fs []float64) float64 {
	g, from := r.distanceGradient(ts, fs)
	return r.gradientSD(g, from)
}

func (r *Result) gradientSD(g []float64, from int) float64 {
	f := r.sys.Whiten(g, nil, from)
	v := banded.Cov(f, f)
	if r.strip != nil {
		q := make([]float64, len(r.strip.rows))
		for k := range q {
			q[k] = banded.Cov(f, r.strip.rows[k].f)
		}
		v -= r.strip.less(q, q)
	}
	return math.Sqrt(math.Max(v, 0))
}

// When returns the first time, s, at which the car has covered x metres; ok is
// false when it never did within the estimate.
func (r *Result) When(x float64) (t float64, ok bool) {
	h := r.sp.step
	per := r.sp.per
	n := r.sp.n - 3
	knot := func(i int) float64 { return (r.c[i*per] + 4*r.c[(i+1)*per] + r.c[(i+2)*per]) / 6 }
	lo, hi := 0, n
	if knot(n) < x {
		return 0, false
	}
	for i := 0; i <= n; i++ {
		if knot(i) >= x {
			hi = i
			lo = max(0, i-1)
			break
		}
	}
	a, b := r.sp.start+float64(lo)*h, r.sp.start+float64(hi)*h
	for k := 0; k < 60; k++ {
		m := (a + b) / 2
		if xm, _, _ := r.at(m); xm < x {
			a = m
		} else {
			b = m
		}
	}
	return (a + b) / 2, true
}

// Between returns the standard deviation, s, of the time between two distances
// covered at t1 and t2 (the clock's own error not included).
func (r *Result) Between(t1, t2 float64) float64 {
	_, v1, _ := r.at(t1)
	_, v2, _ := r.at(t2)
	own := r.sd([]float64{t1, t2}, []float64{1 / math.Max(v1, 0.05), -1 / math.Max(v2, 0.05)})
	x1, _, _ := r.at(t1)
	x2, _, _ := r.at(t2)
	// a scale error moves the marks: δt = δ·x/v at each
	k := r.relative((t1+t2)/2) * (x2/math.Max(v2, 0.5) - x1/math.Max(v1, 0.5))
	return math.Hypot(own, k)
}

// TimeSD returns the standard deviation, s, of the time at which the distance covered at t is reached.
func (r *Result) TimeSD(t float64) float64 {
	_, v, _ := r.at(t)
	own := r.sd([]float64{t}, []float64{1 / math.Max(v, 0.05)})
	x, _, _ := r.at(t)
	return math.Hypot(own, r.relative(t)*x/math.Max(v, 0.5))
}

// MeanSpeedSD returns the standard deviation, m/s, of the mean speed over the
// distance covered between t1 and t2.
func (r *Result) MeanSpeedSD(t1, t2 float64) float64 {
	x1, v1, _ := r.at(t1)
	x2, v2, _ := r.at(t2)
	mean := (x2 - x1) / (t2 - t1)
	// fixed distances: δmean = mean/(t2−t1)·(δx2/v2 − δx1/v1)
	k := mean / (t2 - t1)
	return math.Hypot(r.sd([]float64{t1, t2}, []float64{-k / v1, k / v2}), r.relative(t2)*mean)
}

// SpeedChangeSD returns the standard deviation, m/s, of the change of speed from t1 to t2.
func (r *Result) SpeedChangeSD(t1, t2 float64) float64 {
	per := r.sp.per
	i1, u1 := r.sp.locate(t1)
	i2, u2 := r.sp.locate(t2)
	lo := min(i1, i2) * per
	g := make([]float64, r.sp.n*per-lo)
	_, w1, _ := r.sp.weights(u1)
	_, w2, _ := r.sp.weights(u2)
	for k := range w1 {
		g[(i1+k)*per-lo] -= w1[k]
		g[(i2+k)*per-lo] += w2[k]
	}
	own := r.gradientSD(g, lo)
	_, v1, _ := r.at(t1)
	_, v2, _ := r.at(t2)
	return math.Hypot(own, r.relative(t2)*(v2-v1))
}
