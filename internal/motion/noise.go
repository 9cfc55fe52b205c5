package motion

import "math"

const (
	tailDegrees  = 3.0  // degrees of freedom of the acceleration steps
	noiseDegrees = 5.0  // degrees of freedom of white sensor noise
	drivenFloor  = 4e-3 // 1, least white noise of a driven wheel relative to speed: shafts ring, tyres creep
	breakStep    = 1.5  // m/s², step of acceleration from knot to knot where the pull stops or sets in
	walkWeight   = 15.0 // independent stretches that a wander's standard deviation at large is worth
)

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
		if ch.leads && it >= 2 && ch.src.Kind != DrivenWheel {
			r.walkLevel(ch, res)
		}
		if it >= 1 {
			if ch.src.Kind == Accelerometer {
				ch.shake(res)
			} else {
				ch.level(res)
			}
		}
		for j, e := range res {
			va := sq(ch.sigma)
			if ch.rel > 0 || ch.src.Kind == Accelerometer {
				va = ch.variance(ch.at[j].v)
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

// level re-estimates the white noise from the middle of the residuals. A wheel's
// noise has a constant part, its resolution, and a part that goes with speed
// (pulse spacing, run-out, surface), which is the one estimated.
func (ch *channel) level(res []float64) {
	if ch.rel == 0 {
		if sd := 1.4826 * ch.mid.of(midLeft, res); finite(sd) {
			ch.sigma = math.Sqrt(sq(math.Max(sd, 1e-4)) + 0.25*sq(ch.floor))
		}
		return
	}
	ch.sigma = math.Max(ch.floor, 0.01)
	ch.buf = ch.buf[:0]
	for j, e := range res {
		if v := ch.at[j].v; v > 5 {
			ch.buf = append(ch.buf, e/v)
		}
	}
	if sd := 1.4826 * ch.mid.of(midLeft, ch.buf); finite(sd) {
		ch.rel = math.Max(sd, 1e-4)
		if ch.src.Kind == DrivenWheel {
			ch.rel = math.Max(sd, drivenFloor)
		}
	}
}

// residuals are observed minus predicted, wandering errors included in the prediction; they
// stay the channel's.
func (r *Result) residuals(ch *channel) []float64 {
	out := ch.left
	switch ch.src.Kind {
	case Undriven, DrivenWheel:
		m := r.wheel(ch)
		for j, n := range ch.idx {
			s := &ch.at[j]
			out[j] = ch.src.V[n] - m.reading(s.v, s.a, s.jerk) - m.scale*s.v*s.e
		}
	case Satellite:
		for j, n := range ch.idx {
			s := &ch.at[j]
			out[j] = ch.src.V[n] - s.v - s.e
		}
	case Accelerometer:
		lean, bias := r.par.val(ch.lean), r.par.val(ch.bias)
		for j, n := range ch.idx {
			out[j] = ch.src.V[n] - ch.at[j].a - lean*ch.leanA[j] - bias
		}
	}
	return out
}

// lagAccel recomputes the accelerations that have settled into pitch.
func (r *Result) lagAccel(ch *channel) {
	if cap(ch.buf) < len(r.knots) {
		ch.buf = make([]float64, len(r.knots))
	}
	settled := ch.buf[:len(r.knots)]
	f := 1 - math.Exp(-r.sp.step/leanTau)
	s := 0.0
	for i, k := range r.knots {
		s += f * (k.a - s)
		settled[i] = s
	}
	for j := range ch.at {
		at := &ch.at[j]
		ch.leanA[j] = settled[at.i] + at.u*(settled[at.i+1]-settled[at.i])
	}
}

// jumpWeights reweighs the acceleration steps by Student's t and re-estimates
// their scale from the middle of their distribution.
func (r *Result) jumpWeights(p *Problem, it int) {
	if it >= 1 {
		target := 0.6 * math.Sqrt(r.sp.step) // m/s² per knot: 0.6 m/s² per √s, the wander of a pull between events
		if r.stepSD > target {
			r.stepSD = math.Max(target, r.stepSD*easing(p.Rough))
		}
	}
	for i := range r.jump {
		d := r.knots[i+1].a - r.knots[i].a
		r.jump[i] = (tailDegrees + 1) / (tailDegrees + sq(d/r.stepSD))
	}
	for _, b := range p.Breaks {
		from, to := int((b.From-r.sp.start)/r.sp.step), int((b.To-r.sp.start)/r.sp.step)
		for i := max(0, from); i <= to && i < len(r.jump); i++ {
			r.jump[i] = math.Min(r.jump[i], sq(r.stepSD/breakStep))
		}
	}
	r.openJumps(p)
}

// walkLevel re-estimates the wandering error's standard deviation from the
// autocovariance of the channel's whole error at a lag at which white noise no
// longer contributes, shrunk to what such sensors do at large.
func (r *Result) walkLevel(ch *channel, res []float64) {
	n := len(ch.idx)
	if n < 20 {
		return
	}
	total, wt := ch.room(n)
	for j := range ch.idx {
		f := 1.0
		if ch.src.Kind != Satellite {
			f = math.Max(ch.at[j].v, 3) * r.par.val(ch.common)
		}
		total[j] = res[j]/f + ch.at[j].e
		wt[j] = math.Min(1, ch.wt[j])
	}
	mid := 1.4826 * ch.mid.of(midTotal, total)
	for j, e := range total {
		if math.Abs(e) > 4*mid { // a reflection or a slide is not the usual wander
			wt[j] = 0
		}
	}
	at := 0.3 * ch.tau
	sum, cnt := 0.0, 0.0
	for j, k := range ch.later(at) {
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

// later gives for every sample in use the first that comes by a time, s, after it, as far as
// there is one.
func (ch *channel) later(by float64) []int {
	if ch.after == nil {
		k := 0
		for _, n := range ch.idx {
			for k < len(ch.idx) && ch.src.T[ch.idx[k]] < ch.src.T[n]+by {
				k++
			}
			if k == len(ch.idx) {
				break
			}
			ch.after = append(ch.after, k)
		}
	}
	return ch.after
}

// easing is the factor by which the wander allowed to a pull falls in each iteration: slowly, so
// that the same readings on another clock settle into the same answer.
func easing(rough bool) float64 {
	if rough {
		return 0.5
	}
	return 0.75
}
