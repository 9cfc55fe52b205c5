package banded

// Functional is a linear functional of the unknowns in whitened form: the inner
// product of two of them is their posterior covariance.
type Functional struct {
	From int       // first band index that Y covers
	Y    []float64 // 1, L⁻¹·gradient from From on
	U    []float64 // 1, border part
}

// Whiten turns a gradient (dense by band unknown from index from on, and by
// border unknown; nil means zero) into whitened form. Factor must have
// succeeded. gx covers band indices from…from+len(gx)−1; it is not kept.
func (s *System) Whiten(gx, gp []float64, from int) Functional {
	n, w, p := s.N, s.W, s.P
	w1 := w + 1
	y := make([]float64, n-from)
	copy(y, gx)
	for i := from; i < n; i++ {
		ri := s.a[i*w1 : i*w1+w1]
		k0 := max(from, i-w)
		sum := y[i-from]
		for k := k0; k < i; k++ {
			sum -= ri[w-i+k] * y[k-from]
		}
		y[i-from] = sum * s.d[i]
	}
	u := make([]float64, p)
	copy(u, gp)
	for i := from; i < n; i++ {
		yi := y[i-from]
		if yi == 0 {
			continue
		}
		bi := s.b[i*p : i*p+p]
		for q := range u {
			u[q] -= bi[q] * yi
		}
	}
	for i := 0; i < p; i++ {
		sum := u[i]
		for k := 0; k < i; k++ {
			sum -= s.s[i*p+k] * u[k]
		}
		u[i] = sum / s.s[i*p+i]
	}
	return Functional{From: from, Y: y, U: u}
}

// Back maps a functional to its posterior covariance with every unknown, Σ·gradient,
// each entry in the functional's unit times the unknown's.
func (s *System) Back(f Functional) (x, p []float64) { return s.unwhiten(f) }

// unwhiten maps a whitened right-hand side back: x = Σ·g.
func (s *System) unwhiten(f Functional) (x, q []float64) {
	n, w, p := s.N, s.W, s.P
	w1 := w + 1
	q = make([]float64, p)
	copy(q, f.U)
	for i := p - 1; i >= 0; i-- {
		sum := q[i]
		for k := i + 1; k < p; k++ {
			sum -= s.s[k*p+i] * q[k]
		}
		q[i] = sum / s.s[i*p+i]
	}
	x = make([]float64, n)
	copy(x[f.From:], f.Y)
	for i := 0; i < n; i++ {
		bi := s.b[i*p : i*p+p]
		for k, v := range q {
			x[i] -= bi[k] * v
		}
	}
	for i := n - 1; i >= 0; i-- {
		ri := s.a[i*w1 : i*w1+w1]
		x[i] *= s.d[i]
		for k := max(0, i-w); k < i; k++ {
			x[k] -= ri[w-i+k] * x[i]
		}
	}
	return x, q
}

// Cov is the posterior covariance of two functionals, in the product of their units.
func Cov(a, b Functional) float64 {
	sum := 0.0
	for i, v := range a.U {
		sum += v * b.U[i]
	}
	from := max(a.From, b.From)
	ya, yb := a.Y[from-a.From:], b.Y[from-b.From:]
	for i, v := range ya {
		sum += v * yb[i]
	}
	return sum
}

// Inverse holds the band of the posterior covariance of the band unknowns and
// the whole covariance of the border unknowns.
type Inverse struct {
	w, p   int
	z      []float64 // band of A⁻¹, as System.a
	ab     []float64 // A⁻¹B, n×p
	Border []float64 // p×p covariance of the border unknowns, product of their units
}

// Inverse computes the covariance within the band, by the recursion of
// Takahashi, Fagan and Chin (1973; from memory). Factor must have succeeded.
func (s *System) Inverse() *Inverse {
	n, w, p := s.N, s.W, s.P
	w1 := w + 1
	z := make([]float64, n*w1)
	at := func(i, j int) float64 { // Z[i,j], |i-j| ≤ w
		if i < j {
			i, j = j, i
		}
		return z[i*w1+w-i+j]
	}
	for i := n - 1; i >= 0; i-- {
		di := s.d[i]
		hi := min(n-1, i+w)
		for j := hi; j >= i; j-- {
			sum := 0.0
			for k := i + 1; k <= hi; k++ {
				sum += s.a[k*w1+w-k+i] * at(k, j)
			}
			v := -sum * di
			if i == j {
				v += di * di
			}
			z[j*w1+w-j+i] = v
		}
	}
	inv := &Inverse{w: w, p: p, z: z, Border: make([]float64, p*p)}
	// S⁻¹ column by column
	for c := 0; c < p; c++ {
		e := make([]float64, p)
		e[c] = 1
		for i := 0; i < p; i++ {
			for k := 0; k < i; k++ {
				e[i] -= s.s[i*p+k] * e[k]
			}
			e[i] /= s.s[i*p+i]
		}
		for i := p - 1; i >= 0; i-- {
			for k := i + 1; k < p; k++ {
				e[i] -= s.s[k*p+i] * e[k]
			}
			e[i] /= s.s[i*p+i]
		}
		for i := range e {
			inv.Border[i*p+c] = e[i]
		}
	}
	inv.ab = make([]float64, n*p)
	copy(inv.ab, s.b)
	for i := n - 1; i >= 0; i-- {
		xi := inv.ab[i*p : i*p+p]
		d := s.d[i]
		for q := range xi {
			xi[q] *= d
		}
		for k := max(0, i-w); k < i; k++ {
			f := s.a[i*w1+w-i+k]
			if f == 0 {
				continue
			}
			xk := inv.ab[k*p : k*p+p]
			for q := range xk {
				xk[q] -= f * xi[q]
			}
		}
	}
	return inv
}

// Var is the posterior variance of Σ jx·x + Σ jp·p, whose band indices cols lie
// within the bandwidth of each other, in the functional's unit squared.
func (v *Inverse) Var(cols []int, jx []float64, pcols []int, jp []float64) float64 {
	w1 := v.w + 1
	sum := 0.0
	for a, i := range cols {
		for b, j := range cols {
			hi, lo := i, j
			if hi < lo {
				hi, lo = lo, hi
			}
			sum += jx[a] * jx[b] * v.z[hi*w1+v.w-hi+lo]
		}
	}
	p := v.p
	if p == 0 {
		return sum
	}
	// border: Σ_pp = S⁻¹; effective gradient e = jp − (A⁻¹B)ᵀ jx
	e := make([]float64, p)
	for a, i := range cols {
		for q := 0; q < p; q++ {
			e[q] -= jx[a] * v.ab[i*p+q]
		}
	}
	for a, q := range pcols {
		e[q] += jp[a]
	}
	for a := 0; a < p; a++ {
		for b := 0; b < p; b++ {
			sum += e[a] * v.Border[a*p+b] * e[b]
		}
	}
	return sum
}
