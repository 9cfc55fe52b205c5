package surface

import (
	"context"
	"math"
	"slices"

	"traplight/internal/fitcar"
	"traplight/internal/forecast"
	"traplight/internal/num/xrand"
)

// What the second order misses is smooth and small: it is measured at some points of
// the box and followed by a Gaussian process (Rasmussen, Williams, "Gaussian Processes
// for Machine Learning", 2006, eq. 2.25) with the kernel exp(−|u−u'|²/2ℓ²) over
// settings scaled to −1 … 1.
const (
	probes    = 30
	probing   = 600  // draws of each
	prior     = 0.06 // m/s, of what is missed
	grain     = 0.01 // m/s, of the measurement
	perLength = 0.9  // ℓ² by the count of settings
)

// missed follows what the expansion misses of the trap's quantiles, mean included.
type missed struct {
	u     [][]float64
	gains [][4]float64
	ell   float64 // ℓ²
}

func (s *Surface) scaled(x []float64) []float64 {
	u := make([]float64, len(x))
	for i := range x {
		if s.hi[i] > s.lo[i] {
			u[i] = 2*(x[i]-s.lo[i])/(s.hi[i]-s.lo[i]) - 1
		}
	}
	return u
}

func (k *missed) kernel(a, b []float64) float64 {
	d := 0.0
	for i := range a {
		d += (a[i] - b[i]) * (a[i] - b[i])
	}
	return math.Exp(-d / (2 * k.ell))
}

// at is what is missed at x, m/s: of the quantiles and of the mean.
func (k *missed) at(u []float64) (out [4]float64) {
	for i := range k.u {
		w := k.kernel(u, k.u[i])
		for q := range out {
			out[q] += w * k.gains[i][q]
		}
	}
	return out
}

// probe measures what is missed.
func (s *Surface) probe(ctx context.Context, m *fitcar.Model, seed uint64, tell func()) error {
	r := xrand.Stream(seed, "surface/probes")
	s.missed.ell = perLength * float64(len(s.x0))
	var y [][4]float64
	about := func(traps []float64, of func([]float64) ([3]float64, float64, float64)) [4]float64 {
		q, mean, _ := of(slices.DeleteFunc(slices.Clone(traps), math.IsNaN))
		return [4]float64{q[0], q[1], q[2], mean}
	}
	here, _, _, _ := s.draws(s.x0)
	from, mine := about(s.full.Traps[:probing], quantiles), about(here, smooth)
	put := func(x []float64) error {
		n := *s.n
		n.Target, n.ShiftAim = x[:s.gears], x[s.gears:]
		d, err := forecast.Draws(ctx, m, &n, forecast.Options{Draws: probing, Seed: seed})
		if err != nil {
			return err
		}
		tell()
		var traps []float64
		for i := range d {
			traps = append(traps, d[i].Trap)
		}
		guess, _, _, _ := s.draws(x)
		is, said := about(traps, quantiles), about(guess, smooth)
		var miss [4]float64
		for q := range miss {
			miss[q] = (is[q] - from[q]) - (said[q] - mine[q])
			if math.IsNaN(miss[q]) {
				return ErrDraws
			}
		}
		s.missed.u, y = append(s.missed.u, s.scaled(x)), append(y, miss)
		return nil
	}
	// at x₀ nothing is missed
	s.missed.u, y = append(s.missed.u, s.scaled(s.x0)), append(y, [4]float64{})
	for k := range probes {
		x := make([]float64, len(s.x0))
		for i := range x {
			f := r.Float64()
			if k < probes/2 {
				f = math.Round(f)
			}
			x[i] = s.lo[i] + (s.hi[i]-s.lo[i])*f
		}
		if err := put(x); err != nil {
			return err
		}
	}
	s.missed.solve(y)
	return nil
}

// solve finds the gains (K + σ²I)⁻¹y by Cholesky's factors.
func (k *missed) solve(y [][4]float64) {
	n := len(y)
	l := make([][]float64, n)
	for i := range l {
		l[i] = make([]float64, n)
		for j := 0; j <= i; j++ {
			v := k.kernel(k.u[i], k.u[j])
			if i == j {
				v += grain * grain / (prior * prior)
			}
			for q := range j {
				v -= l[i][q] * l[j][q]
			}
			if i == j {
				l[i][i] = math.Sqrt(max(v, 1e-12))
			} else {
				l[i][j] = v / l[j][j]
			}
		}
	}
	k.gains = make([][4]float64, n)
	for q := range 4 {
		z := make([]float64, n)
		for i := range n {
			z[i] = y[i][q]
			for j := range i {
				z[i] -= l[i][j] * z[j]
			}
			z[i] /= l[i][i]
		}
		for i := n - 1; i >= 0; i-- {
			for j := i + 1; j < n; j++ {
				z[i] -= l[j][i] * k.gains[j][q]
			}
			k.gains[i][q] = z[i] / l[i][i]
		}
	}
}
