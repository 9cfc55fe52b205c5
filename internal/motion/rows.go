package motion

import (
	"math"

	"traplight/internal/num/banded"
)

const restSpeedSD = 1e-3 // m/s, how still a standing car stands

// assemble accumulates all rows at the current unknowns.
func (r *Result) assemble(p *Problem) {
	s := r.sys
	s.Reset()
	row := &banded.Row{}
	r.par.addPriors(s, row)
	r.restRows(p, row)
	r.stepRows(row)
	for k := range r.chans {
		ch := &r.chans[k]
		switch ch.src.Kind {
		case Undriven, DrivenWheel:
			r.wheelRows(ch)
		case Satellite:
			r.satelliteRows(ch)
		case Accelerometer:
			r.accelRows(ch)
		case Pull:
			r.pullRows(ch)
		}
		r.rows.flush(s)
	}
}

// restRows hold the car still up to RestTo, or a moving one at no distance yet.
func (r *Result) restRows(p *Problem, row *banded.Row) {
	per := r.sp.per
	row.PCol, row.PJ = row.PCol[:0], row.PJ[:0]
	w := 1 / sq(restSpeedSD)
	for i := 0; i+2 < r.sp.n; i++ {
		t := r.sp.start + float64(i)*r.sp.step // knot i sees coefficients i…i+2
		if p.Moving && i > 0 || t > p.RestTo && i > 3 {
			break
		}
		if !p.Moving {
			h := r.sp.step
			row.Col = append(row.Col[:0], i*per, (i+2)*per)
			row.J = append(row.J[:0], -1/(2*h), 1/(2*h))
			v := (r.c[(i+2)*per] - r.c[i*per]) / (2 * h)
			r.sys.Add(row, -v, w)
		}
		if i%10 == 0 {
			row.Col = append(row.Col[:0], i*per, (i+1)*per, (i+2)*per)
			row.J = append(row.J[:0], 1./6, 4./6, 1./6)
			x := (r.c[i*per] + 4*r.c[(i+1)*per] + r.c[(i+2)*per]) / 6
			r.sys.Add(row, -x, 1/sq(1e-3))
		}
	}
}

// stepRows are the random walk of acceleration and of the wandering errors.
func (r *Result) stepRows(row *banded.Row) {
	per := r.sp.per
	h2 := r.sp.step * r.sp.step
	row.PCol, row.PJ = row.PCol[:0], row.PJ[:0]
	for i := 0; i+3 < r.sp.n; i++ {
		r.place(row, i, [4]float64{-1 / h2, 3 / h2, -3 / h2, 1 / h2})
		r.sys.Add(row, r.knots[i].a-r.knots[i+1].a, r.jump[i]/sq(r.stepSD))
	}
	for k := range r.chans {
		ch := &r.chans[k]
		if !ch.leads { // wheels share one process
			continue
		}
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
			r.sys.Add(row, -d, w*r.slack(ch, i))
		}
	}
}

// place puts derivatives by four coefficients into the row.
func (r *Result) place(row *banded.Row, i int, w [4]float64) {
	per := r.sp.per
	i *= per
	row.Col = append(row.Col[:0], i, i+per, i+2*per, i+3*per)
	row.J = append(row.J[:0], w[0], w[1], w[2], w[3])
}

// placeWith does so with a wandering error too, of which the reading holds f times.
func (r *Result) placeWith(row *banded.Row, s *spot, w [4]float64, walk int, f float64) {
	per := r.sp.per
	i, o := s.i*per, 1+walk
	row.Col = append(row.Col[:0], i, i+per, i+per+o, i+2*per, i+2*per+o, i+3*per)
	row.J = append(row.J[:0], w[0], w[1], f*(1-s.u), w[2], f*s.u, w[3])
}

// relaxation is the way, m, that a tyre rolls before its force has followed its slip: slip goes
// ahead of acceleration by this way over speed. It is its longitudinal slip stiffness over that of
// its carcass, 0.2 to 0.5 m for car tyres (Pacejka, Tyre and Vehicle Dynamics, from memory). Without
// it gear changes, seen too early in the slip, drew the accelerometer's delay and with it the
// launch; it is as uncertain as it is large, which counts as noise. Where nothing feels
// acceleration there is no other delay to be drawn, and slip alone cannot tell its own lead.
const relaxation = 0.3

// wheelModel is how a wheel's logged speed goes with true speed and acceleration.
type wheelModel struct{ scale, growth, load, relax float64 } // 1, s²/m², s²/m, m

func (r *Result) wheel(ch *channel) wheelModel {
	return wheelModel{r.par.val(ch.common) + r.par.val(ch.scale), r.par.val(ch.growth), r.par.val(ch.load), ch.relax}
}

// reading is the logged speed, m/s, without the wandering error.
func (m *wheelModel) reading(v, a, jerk float64) float64 {
	return m.scale * (v/(1+m.growth*v*v) + m.load*(v*a+m.relax*jerk))
}

func (r *Result) wheelRows(ch *channel) {
	m := r.wheel(ch)
	if ch.travel >= 0 {
		r.rows.border(ch.lag, ch.common, ch.scale, ch.growth, ch.load, ch.travel)
	} else {
		r.rows.border(ch.lag, ch.common, ch.scale, ch.growth, ch.load)
	}
	cube := r.sp.step * r.sp.step * r.sp.step
	for j, n := range ch.idx {
		s := &ch.at[j]
		v, a := s.v, s.a
		d := 1 + m.growth*v*v
		grow := 1/d + m.load*a
		dv := m.scale * ((2-d)/(d*d) + m.load*a) // by speed
		da := m.scale * v * m.load               // by acceleration
		w, wa := r.sp.speedWeights(s.u), r.sp.accelWeights(s.u)
		for k := range w {
			w[k] = dv*w[k] + da*wa[k]
		}
		if m.relax != 0 {
			f := m.scale * m.load * m.relax / cube
			w[0], w[1], w[2], w[3] = w[0]-f, w[1]+3*f, w[2]-3*f, w[3]+f
		}
		row := r.rows.next()
		r.placeWith(row, s, w, ch.walk, m.scale*v)
		late := -dv * a
		row.PJ = append(row.PJ[:0], late, v*grow, v*grow, -m.scale*v*v*v/(d*d), m.scale*(v*a+m.relax*s.jerk))
		if ch.travel >= 0 {
			row.PJ = append(row.PJ, late/math.Max(ch.src.V[n], slowest))
		}
		sooner := m.load * m.relax * s.jerk
		r.rows.add(r.sys, s.i, ch.src.V[n]-m.scale*(v*(grow+s.e)+sooner), ch.wt[j]/(ch.variance(v)+sq(sooner)))
	}
}

// satelliteRows: the wandering error belongs to the receiver's own present; it is read at
// the delayed time too, which only shifts the process.
func (r *Result) satelliteRows(ch *channel) {
	r.rows.border(ch.lag)
	w := 1 / sq(ch.sigma)
	for j, n := range ch.idx {
		s, row := &ch.at[j], r.rows.next()
		r.placeWith(row, s, r.sp.speedWeights(s.u), ch.walk, 1)
		row.PJ = append(row.PJ[:0], -s.a)
		r.rows.add(r.sys, s.i, ch.src.V[n]-s.v-s.e, w*ch.wt[j])
	}
}

func (r *Result) accelRows(ch *channel) {
	bias, lean := r.par.val(ch.bias), r.par.val(ch.lean)
	r.rows.border(ch.bias, ch.lean, ch.lag)
	for j, n := range ch.idx {
		s, row := &ch.at[j], r.rows.next()
		r.place(row, s.i, r.sp.accelWeights(s.u))
		row.PJ = append(row.PJ[:0], 1, ch.leanA[j], -r.slope(s))
		r.rows.add(r.sys, s.i, ch.src.V[n]-s.a-lean*ch.leanA[j]-bias, ch.wt[j]/ch.variance(s.v))
	}
}

func (r *Result) pullRows(ch *channel) {
	r.rows.border()
	for j, n := range ch.idx {
		s, row := &ch.at[j], r.rows.next()
		r.place(row, s.i, r.sp.accelWeights(s.u))
		r.rows.add(r.sys, s.i, ch.src.V[n]-s.a, ch.wt[j]/sq(ch.sigma))
	}
}
