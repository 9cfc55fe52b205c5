package motion

import "math"

// scaled is how well the scale of speed and its growth with speed squared are known where
// nothing in the log fixes them: standard deviations, 1 and s²/m², and covariance, s²/m².
type scaled struct{ scale, growth, both float64 }

// at is the variance, 1, of the scale at speed v, m/s.
func (k scaled) at(v float64) float64 {
	return math.Max(0, sq(k.scale)+2*v*v*k.both+sq(v*v*k.growth))
}

// with is the covariance of two readings that go with scale and growth by a and b.
func (k scaled) with(a, b [2]float64) float64 {
	return a[0]*b[0]*sq(k.scale) + (a[0]*b[1]+a[1]*b[0])*k.both + a[1]*b[1]*sq(k.growth)
}

// byScale is how a time at distance x, m, reached at t, changes with the scale of speed and
// its growth, s and m²/s.
func (r *Result) byScale(t, x float64) [2]float64 {
	const dt = 0.02
	cubes := 0.0
	for u := r.sp.start; u < t; u += dt {
		v := r.speedAt(u)
		cubes += v * v * v * dt
	}
	v := math.Max(r.speedAt(t), 1)
	return [2]float64{-x / v, -cubes / v}
}

// scaleBy lets the strip's readings tell the scale of speed, which wheels or an engine alone
// do not: least squares of what they are off the log on scale and growth, with the spreads that
// these had before, twice, as times do not go with the scale in a straight line. It gives what
// is then left of the spreads.
func (r *Result) scaleBy(p *Problem, s *Slip) (scaled, error) {
	left := r.unfixed
	if r.wheelScale() < 0 || !(r.unfixed.scale > 0) {
		return left, nil
	}
	for range 2 {
		rows := r.slipRows(s)
		u, ok := newLowRank(rows)
		if !ok || len(rows) == 0 {
			return left, nil
		}
		// covariance of scale and growth with the readings, whitened, and the readings' misfit
		var a, b, e []float64
		for i := range rows {
			a = append(a, r.unfixed.with([2]float64{1, 0}, rows[i].by))
			b = append(b, r.unfixed.with([2]float64{0, 1}, rows[i].by))
			e = append(e, rows[i].residual)
		}
		a, b, e = u.half(a), u.half(b), u.half(e)
		var to [2]float64
		var aa, ab, bb float64
		for i := range e {
			to[0], to[1] = to[0]+a[i]*e[i], to[1]+b[i]*e[i]
			aa, ab, bb = aa+a[i]*a[i], ab+a[i]*b[i], bb+b[i]*b[i]
		}
		was := r.unfixed
		left = scaled{math.Sqrt(math.Max(0, sq(was.scale)-aa)), math.Sqrt(math.Max(0, sq(was.growth)-bb)), was.both - ab}
		if err := r.shiftTo(p, to); err != nil {
			return left, err
		}
	}
	return left, nil
}

// wheelScale is the place of the wheels' common scale among the constants, −1 none.
func (r *Result) wheelScale() int {
	for i := range r.chans {
		if c := r.chans[i].common; c >= 0 {
			return c
		}
	}
	return -1
}

// shiftTo brings the speed to scale and growth by which the strip's readings differ from what
// was taken before the log, 1 and s²/m², and solves again.
func (r *Result) shiftTo(p *Problem, to [2]float64) error {
	move := func(i int, by func(float64) float64) {
		q := &r.par.list[i]
		q.mean, q.value = by(q.mean), by(q.value)
	}
	for i := range r.chans {
		c := &r.chans[i]
		if c.common < 0 {
			continue
		}
		move(c.common, func(x float64) float64 { return x * (1 + r.shifted[0]) / (1 + to[0]) })
		if c.growth >= 0 {
			move(c.growth, func(x float64) float64 { return x + to[1] - r.shifted[1] })
		}
		break
	}
	r.shifted = to
	if err := r.iterate(p, nil); err != nil {
		return err
	}
	r.assemble(p)
	return r.sys.Factor()
}

// weighSlip scales speed by the strip's readings where nothing in the log does, drops those
// that do not agree with the log, and gives the rest; nil when none is left.
func (r *Result) weighSlip(p *Problem, s *Slip) (*Slip, error) {
	left, err := r.scaleBy(p, s)
	if err != nil {
		return nil, err
	}
	kept, notes := r.agree(s)
	r.Notes = notes
	moved := r.shifted != [2]float64{}
	switch {
	case kept == nil && moved:
		return nil, r.shiftTo(p, [2]float64{})
	case kept != nil && moved && kept != s:
		if left, err = r.scaleBy(p, kept); err != nil {
			return nil, err
		}
	}
	if kept != nil {
		r.unfixed, r.shifted = left, [2]float64{}
	}
	return kept, nil
}
