package motion

import (
	"math"

	"traplight/internal/num/banded"
)

// assemble accumulates all rows at the current unknowns.
func (r *Result) assemble(p *Problem) {
	s := r.sys
	s.Reset()
	row := &banded.Row{}
	r.par.addPriors(s, row)
	r.restRows(p, row)
	r.stepRows(p, row)
	for k := range r.chans {
		ch := &r.chans[k]
		switch ch.src.Kind {
		case Undriven, DrivenWheel:
			r.wheelRows(ch, row)
		case Satellite:
			r.satelliteRows(ch, row)
		case Accelerometer:
			r.accelRows(ch, row)
		case Pull:
			row.PCol, row.PJ = row.PCol[:0], row.PJ[:0]
			for j, n := range ch.idx {
				i, _, _, wa, _, _, a := r.local(ch.src.T[n])
				r.place(row, i, wa, 1)
				s.Add(row, ch.src.V[n]-a, ch.wt[j]/sq(ch.sigma))
			}
		}
	}
}

// restRows hold the car still up to RestTo.
func (r *Result) restRows(p *Problem, row *banded.Row) {
	per := r.sp.per
	row.PCol, row.PJ = row.PCol[:0], row.PJ[:0]
	w := 1 / sq(restSpeedSD)
	for i := 0; i+2 < r.sp.n; i++ {
		t := r.sp.start + float64(i)*r.sp.step // knot i sees coefficients i…i+2
		if t > p.RestTo && i > 3 {
			break
		}
		h := r.sp.step
		row.Col = append(row.Col[:0], i*per, (i+2)*per)
		row.J = append(row.J[:0], -1/(2*h), 1/(2*h))
		v := (r.c[(i+2)*per] - r.c[i*per]) / (2 * h)
		r.sys.Add(row, -v, w)
		if i%10 == 0 {
			row.Col = append(row.Col[:0], i*per, (i+1)*per, (i+2)*per)
			row.J = append(row.J[:0], 1./6, 4./6, 1./6)
			x := (r.c[i*per] + 4*r.c[(i+1)*per] + r.c[(i+2)*per]) / 6
			r.sys.Add(row, -x, 1/sq(1e-3))
		}
	}
}

// stepRows are the random walk of acceleration and of the wandering errors.
func (r *Result) stepRows(p *Problem, row *banded.Row) {
	per := r.sp.per
	h2 := r.sp.step * r.sp.step
	row.PCol, row.PJ = row.PCol[:0], row.PJ[:0]
	for i := 0; i+3 < r.sp.n; i++ {
		row.Col = append(row.Col[:0], i*per, (i+1)*per, (i+2)*per, (i+3)*per)
		row.J = append(row.J[:0], -1/h2, 3/h2, -3/h2, 1/h2)
		d := (-r.c[i*per] + 3*r.c[(i+1)*per] - 3*r.c[(i+2)*per] + r.c[(i+3)*per]) / h2
		r.sys.Add(row, -d, r.jump[i]/sq(r.stepSD))
	}
	done := 0
	for k := range r.chans {
		ch := &r.chans[k]
		if ch.walk < done { // wheels share one process
			continue
		}
		done = ch.walk + 1
		phi := math.Exp(-r.sp.step / ch.tau)
		w := 1 / (sq(ch.walkSD) * (1 - phi*phi))
		o := 1 + ch.walk
		row.Col = append(row.Col[:0], o)
		row.J = append(row.J[:0], 1)
		r.sys.Add(row, -r.c[o], 1/sq(ch.walkSD))
		for i := 0; i+1 < r.sp.n; i++ {
			row.Col = append(row.Col[:0], i*per+o, (i+1)*per+o)
			row.J = append(row.J[:0], -phi, 1)
			d := r.c[(i+1)*per+o] - phi*r.c[i*per+o]
			r.sys.Add(row, -d, w)
		}
	}
}

// place puts the spline's derivative weights into the row.
func (r *Result) place(row *banded.Row, i int, w [4]float64, f float64) {
	per := r.sp.per
	row.Col, row.J = row.Col[:0], row.J[:0]
	for k, v := range w {
		row.Col = append(row.Col, (i+k)*per)
		row.J = append(row.J, f*v)
	}
}

// local evaluates the spline near t.
func (r *Result) local(t float64) (i int, wx, wv, wa [4]float64, x, v, a float64) {
	i, u := r.sp.locate(t)
	wx, wv, wa = r.sp.weights(u)
	per := r.sp.per
	var c [4]float64
	for k := range c {
		c[k] = r.c[(i+k)*per]
	}
	return i, wx, wv, wa, dot4(wx, c[:]), dot4(wv, c[:]), dot4(wa, c[:])
}

// wheelModel is the logged speed of a wheel, m/s, at true speed v and acceleration a.
func (r *Result) wheelModel(ch *channel, v, a float64) (z, dv, da float64, scale, grow float64) {
	scale = r.par.val(ch.common) + r.par.val(ch.scale)
	g := r.par.val(ch.growth[0])
	h := r.par.val(ch.growth[1])
	grow = 1/(1+g*v*v) + h*a
	z = scale * v * grow
	d := 1 + g*v*v
	dv = scale * ((1-g*v*v)/(d*d) + h*a)
	da = scale * v * h
	return
}

func (r *Result) wheelRows(ch *channel, row *banded.Row) {
	per := r.sp.per
	o := 1 + ch.walk
	for j, n := range ch.idx {
		t := ch.src.T[n] - r.delay(ch, n)
		i, _, wv, wa, _, v, a := r.local(t)
		z, dv, da, scale, grow := r.wheelModel(ch, v, a)
		var w [4]float64
		for k := range w {
			w[k] = dv*wv[k] + da*wa[k]
		}
		if ch.walk < 0 {
			r.place(row, i, w, 1)
		} else {
			_, u := r.sp.locate(t)
			e1, e2 := (i+1)*per+o, (i+2)*per+o
			e := (1-u)*r.c[e1] + u*r.c[e2]
			z += scale * v * e
			row.Col = append(row.Col[:0], i*per, (i+1)*per, e1, (i+2)*per, e2, (i+3)*per)
			row.J = append(row.J[:0], w[0], w[1], scale*v*(1-u), w[2], scale*v*u, w[3])
		}
		g := r.par.val(ch.growth[0])
		row.PCol = append(row.PCol[:0], ch.lag, ch.common, ch.scale, ch.growth[0], ch.growth[1])
		row.PJ = append(row.PJ[:0], -dv*a, v*grow, v*grow, -scale*v*v*v/sq(1+g*v*v), scale*v*a)
		if ch.travel >= 0 {
			row.PCol = append(row.PCol, ch.travel)
			row.PJ = append(row.PJ, -dv*a/math.Max(ch.src.V[n], slowest))
		}
		r.sys.Add(row, ch.src.V[n]-z, ch.wt[j]/ch.variance(v))
	}
}

func (r *Result) satelliteRows(ch *channel, row *banded.Row) {
	lag := r.par.val(ch.lag)
	per := r.sp.per
	o := 1 + ch.walk
	for j, n := range ch.idx {
		t := ch.src.T[n]
		i, _, wv, _, _, v, a := r.local(t - lag)
		// the wandering error belongs to the receiver's own present; it is read at
		// the delayed time too, which only shifts the process
		_, u := r.sp.locate(t - lag)
		e1, e2 := (i+1)*per+o, (i+2)*per+o
		e := (1-u)*r.c[e1] + u*r.c[e2]
		row.Col, row.J = row.Col[:0], row.J[:0]
		row.Col = append(row.Col, i*per, (i+1)*per, e1, (i+2)*per, e2, (i+3)*per)
		row.J = append(row.J, wv[0], wv[1], 1-u, wv[2], u, wv[3])
		row.PCol = append(row.PCol[:0], ch.lag)
		row.PJ = append(row.PJ[:0], -a)
		r.sys.Add(row, ch.src.V[n]-v-e, ch.wt[j]/sq(ch.sigma))
	}
}

func (r *Result) accelRows(ch *channel, row *banded.Row) {
	lag := r.par.val(ch.lag)
	bias, lean := r.par.val(ch.bias), r.par.val(ch.lean)
	for j, n := range ch.idx {
		t := ch.src.T[n]
		i, _, _, wa, _, v, a := r.local(t - lag)
		z := a + lean*ch.leanA[j] + bias
		r.place(row, i, wa, 1)
		row.PCol = append(row.PCol[:0], ch.bias, ch.lean)
		row.PJ = append(row.PJ[:0], 1, ch.leanA[j])
		// the lag's derivative is −da/dt, a step function of the spline: taken over ±1 knot
		a1, a2 := r.accelAt(t-lag-r.sp.step), r.accelAt(t-lag+r.sp.step)
		row.PCol = append(row.PCol, ch.lag)
		row.PJ = append(row.PJ, -(a2-a1)/(2*r.sp.step))
		r.sys.Add(row, ch.src.V[n]-z, ch.wt[j]/ch.variance(v))
	}
}
