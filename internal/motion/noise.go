package motion

import "math"

const farSatellite = 12 // 1, squared standard deviations at which a satellite reading has a quarter of its weight

const leanTau = 0.12 // s, time in which a car takes up its pitch (a heave–pitch mode near 1.5 Hz; common practice, no source)

// reweigh updates noise levels and robust weights from the residuals.
func (r *Result) reweigh(p *Problem, it int) {
	r.jumpWeights(p, it)
	for k := range r.chans {
		ch := &r.chans[k]
		if ch.src.Kind == Pull {
			continue
		}
		if ch.leanA != nil {
			r.lagAccel(ch)
		}
		res := r.residuals(ch)
		if ch.walk >= 0 && it >= 2 && ch.src.Kind != DrivenWheel {
			r.walkLevel(ch, res)
		}
		if it >= 1 {
			if ch.src.Kind == Accelerometer {
				ch.shake(r, res)
			} else {
				ch.level(r, res)
			}
		}
		for j, e := range res {
			va := sq(ch.sigma)
			if ch.rel > 0 || ch.src.Kind == Accelerometer {
				va = ch.variance(r.speedAt(ch.src.T[ch.idx[j]]))
			}
			ch.wt[j] = (noiseDegrees + 1) / (noiseDegrees + e*e*ch.colour/va)
			if ch.src.Kind == Satellite {
				// a reflection is wrong for a second or more, all samples the same way: far
				// readings must lose all say (Geman and McClure's weight)
				ch.wt[j] = 1 / sq(1+e*e/va/farSatellite)
				if ch.doubt != nil && ch.doubt[j] && it < reflectRest {
					ch.wt[j] = reflectSay
				}
			}
		}
	}
}

// variance of a sample's white noise at speed v, its unit squared (wheels, accelerometers).
func (ch *channel) variance(v float64) float64 { return ch.colour * (sq(ch.sigma) + sq(ch.rel*v)) }

// level re-estimates the white noise from the middle of the residuals. A wheel's
// noise has a constant part, its resolution, and a part that goes with speed
// (pulse spacing, run-out, surface), which is the one estimated.
func (ch *channel) level(r *Result, res []float64) {
	tmp := append([]float64(nil), res...)
	if ch.rel == 0 {
		if sd := 1.4826 * medianAbs(tmp); finite(sd) {
			ch.sigma = math.Sqrt(sq(math.Max(sd, 1e-4)) + 0.25*sq(ch.floor))
		}
		return
	}
	ch.sigma = math.Max(ch.floor, 0.01)
	tmp = tmp[:0]
	for j, e := range res {
		if v := r.speedAt(ch.src.T[ch.idx[j]]); v > 5 {
			tmp = append(tmp, e/v)
		}
	}
	if sd := 1.4826 * medianAbs(tmp); finite(sd) {
		ch.rel = math.Max(sd, 1e-4)
		if ch.src.Kind == DrivenWheel {
			ch.rel = math.Max(sd, drivenFloor)
		}
	}
}

// residuals are observed minus predicted, wandering errors included in the prediction.
func (r *Result) residuals(ch *channel) []float64 {
	out := make([]float64, len(ch.idx))
	for j, n := range ch.idx {
		lag := 0.0
		if ch.lag >= 0 {
			lag = r.delay(ch, n)
		}
		t := ch.src.T[n]
		switch ch.src.Kind {
		case Undriven, DrivenWheel:
			v, a := r.speedAt(t-lag), r.accelAt(t-lag)
			z, _, _, scale, _ := r.wheelModel(ch, v, a)
			out[j] = ch.src.V[n] - z
			if ch.walk >= 0 {
				out[j] -= scale * v * r.walkAt(ch, t-lag)
			}
		case Satellite:
			out[j] = ch.src.V[n] - r.speedAt(t-lag) - r.walkAt(ch, t-lag)
		case Accelerometer:
			out[j] = ch.src.V[n] - r.accelAt(t-lag) - r.par.val(ch.lean)*ch.leanA[j] - r.par.val(ch.bias)
		}
	}
	return out
}

// lagAccel recomputes the accelerations that have settled into pitch.
func (r *Result) lagAccel(ch *channel) {
	h := r.sp.step
	n := r.sp.n - 3
	lp := make([]float64, n)
	f := 1 - math.Exp(-h/leanTau)
	per := r.sp.per
	s := 0.0
	for i := 0; i < n; i++ {
		a := (r.c[i*per] - 2*r.c[(i+1)*per] + r.c[(i+2)*per]) / (h * h)
		s += f * (a - s)
		lp[i] = s
	}
	lag := r.par.val(ch.lag)
	for j, m := range ch.idx {
		x := (ch.src.T[m] - lag - r.sp.start) / h
		i := int(x)
		if i < 0 {
			i = 0
		}
		if i > n-2 {
			i = n - 2
		}
		ch.leanA[j] = lp[i] + (x-float64(i))*(lp[i+1]-lp[i])
	}
}

// jumpWeights reweighs the acceleration steps by Student's t and re-estimates
// their scale from the middle of their distribution.
func (r *Result) jumpWeights(p *Problem, it int) {
	per := r.sp.per
	h2 := r.sp.step * r.sp.step
	d := make([]float64, len(r.jump))
	var moving []float64
	for i := range d {
		d[i] = (-r.c[i*per] + 3*r.c[(i+1)*per] - 3*r.c[(i+2)*per] + r.c[(i+3)*per]) / h2
		if r.sp.start+float64(i)*r.sp.step > p.RestTo+0.3 {
			moving = append(moving, d[i])
		}
	}
	if it >= 1 {
		target := 0.6 * math.Sqrt(r.sp.step) // m/s² per knot: 0.6 m/s² per √s, the wander of a pull between events
		if r.stepSD > target {
			r.stepSD = math.Max(target, r.stepSD*easing(p.Rough))
		}
	}
	for i := range d {
		r.jump[i] = (tailDegrees + 1) / (tailDegrees + sq(d[i]/r.stepSD))
	}
	_ = moving
}

// walkAt is the wandering error of a channel at t, in its own unit.
func (r *Result) walkAt(ch *channel, t float64) float64 {
	i, u := r.sp.locate(t)
	per, o := r.sp.per, 1+ch.walk
	return (1-u)*r.c[(i+1)*per+o] + u*r.c[(i+2)*per+o]
}

// walkLevel re-estimates the wandering error's standard deviation from the
// autocovariance of the channel's whole error at a lag at which white noise no
// longer contributes, shrunk to what such sensors do at large.
func (r *Result) walkLevel(ch *channel, res []float64) {
	n := len(ch.idx)
	if n < 20 {
		return
	}
	total := make([]float64, n)
	wt := make([]float64, n)
	for j, m := range ch.idx {
		t := ch.src.T[m] - r.delay(ch, m)
		f := 1.0
		if ch.src.Kind != Satellite {
			v := r.speedAt(t)
			f = math.Max(v, 3) * r.par.val(ch.common)
		}
		total[j] = res[j]/f + r.walkAt(ch, t)
		wt[j] = math.Min(1, ch.wt[j])
	}
	mid := 1.4826 * medianAbs(append([]float64(nil), total...))
	for j, e := range total {
		if math.Abs(e) > 4*mid { // a reflection or a slide is not the usual wander
			wt[j] = 0
		}
	}
	at := 0.3 * ch.tau
	sum, cnt := 0.0, 0.0
	k := 0
	for j := range total {
		for k < n && ch.src.T[ch.idx[k]] < ch.src.T[ch.idx[j]]+at {
			k++
		}
		if k >= n {
			break
		}
		w := wt[j] * wt[k]
		sum += w * total[j] * total[k]
		cnt += w
	}
	if cnt < 10 {
		return
	}
	prior := satWalkSD
	if ch.src.Kind != Satellite {
		prior = wheelWalkSD
	}
	got := math.Max(0, sum/cnt) * math.Exp(at/ch.tau)
	span := ch.src.T[ch.idx[n-1]] - ch.src.T[ch.idx[0]]
	eff := span / (2 * ch.tau)
	ch.walkSD = math.Sqrt((walkWeight*prior*prior + eff*got) / (walkWeight + eff))
}

// easing is the factor by which the wander allowed to a pull falls in each iteration: slowly, so
// that the same readings on another clock settle into the same answer.
func easing(rough bool) float64 {
	if rough {
		return 0.5
	}
	return 0.75
}
