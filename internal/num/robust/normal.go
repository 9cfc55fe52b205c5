package robust

import "math"

// normal is the weighted normal system XᵀWX·b = XᵀWy with its Cholesky factor.
type normal struct {
	p    int
	a, l []float64 // p×p, lower part used
	g    []float64 // p
}

func (s *normal) reset(p int) {
	s.p = p
	s.a = make([]float64, p*p)
	s.l = make([]float64, p*p)
	s.g = make([]float64, p)
}

func (s *normal) add(x, y, w []float64) {
	p := s.p
	for i, wi := range w {
		if wi == 0 {
			continue
		}
		row := x[i*p : i*p+p]
		for j, xj := range row {
			v := wi * xj
			s.g[j] += v * y[i]
			for k := 0; k <= j; k++ {
				s.a[j*p+k] += v * row[k]
			}
		}
	}
}

func (s *normal) prior(b *Prior, scale float64) {
	if b == nil {
		return
	}
	if b.Scale > 0 {
		scale = b.Scale
	}
	if scale == 0 {
		return
	}
	for j := range s.p {
		if math.IsInf(b.SD[j], 1) {
			continue
		}
		w := scale * scale / (b.SD[j] * b.SD[j])
		s.a[j*s.p+j] += w
		s.g[j] += w * b.Mean[j]
	}
}

// factor is a Cholesky factorisation after scaling to a unit diagonal, so that
// the rank test does not depend on units.
func (s *normal) factor() ([]float64, error) {
	p := s.p
	d := make([]float64, p)
	for j := range d {
		if !(s.a[j*p+j] > 0) {
			return nil, ErrRank
		}
		d[j] = 1 / math.Sqrt(s.a[j*p+j])
	}
	for j := range p {
		for k := 0; k <= j; k++ {
			v := s.a[j*p+k] * d[j] * d[k]
			for m := range k {
				v -= s.l[j*p+m] * s.l[k*p+m]
			}
			if j == k {
				if v < 1e-14 {
					return nil, ErrRank
				}
				s.l[j*p+j] = math.Sqrt(v)
			} else {
				s.l[j*p+k] = v / s.l[k*p+k]
			}
		}
	}
	return d, nil
}

func (s *normal) solve() ([]float64, error) {
	d, err := s.factor()
	if err != nil {
		return nil, err
	}
	b := make([]float64, s.p)
	for j := range b {
		b[j] = s.g[j] * d[j]
	}
	s.substitute(b)
	for j := range b {
		b[j] *= d[j]
	}
	return b, nil
}

// substitute solves L·Lᵀ·b = b in place.
func (s *normal) substitute(b []float64) {
	p := s.p
	for j := range p {
		for m := range j {
			b[j] -= s.l[j*p+m] * b[m]
		}
		b[j] /= s.l[j*p+j]
	}
	for j := p - 1; j >= 0; j-- {
		for m := j + 1; m < p; m++ {
			b[j] -= s.l[m*p+j] * b[m]
		}
		b[j] /= s.l[j*p+j]
	}
}

func (s *normal) inverse() ([]float64, error) {
	d, err := s.factor()
	if err != nil {
		return nil, err
	}
	p := s.p
	inv := make([]float64, p*p)
	e := make([]float64, p)
	for c := range p {
		clear(e)
		e[c] = d[c]
		s.substitute(e)
		for j := range p {
			inv[j*p+c] = e[j] * d[j]
		}
	}
	return inv, nil
}
