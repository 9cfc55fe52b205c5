package motion

import (
	"math"
)

// lowRank holds the update by the strip's readings.
type lowRank struct {
	rows []slipRow
	s    []float64 // Cholesky factor of G·Σ·Gᵀ + R
}

func newLowRank(rows []slipRow) (*lowRank, bool) {
	n := len(rows)
	u := &lowRank{rows: rows, s: make([]float64, n*n)}
	for i := range rows {
		for j := 0; j <= i; j++ {
			u.s[i*n+j] = rows[i].cov(&rows[j])
			if i == j {
				u.s[i*n+i] += rows[i].variance
			}
		}
	}
	for i := 0; i < n; i++ {
		for j := 0; j <= i; j++ {
			sum := u.s[i*n+j]
			for k := 0; k < j; k++ {
				sum -= u.s[i*n+k] * u.s[j*n+k]
			}
			if i == j {
				if !(sum > 0) {
					return nil, false
				}
				u.s[i*n+i] = math.Sqrt(sum)
			} else {
				u.s[i*n+j] = sum / u.s[j*n+j]
			}
		}
	}
	return u, true
}

// half solves L·y = q.
func (u *lowRank) half(q []float64) []float64 {
	n := len(q)
	y := append([]float64(nil), q...)
	for i := 0; i < n; i++ {
		for k := 0; k < i; k++ {
			y[i] -= u.s[i*n+k] * y[k]
		}
		y[i] /= u.s[i*n+i]
	}
	return y
}

// apply corrects a step that was found without the readings.
func (u *lowRank) apply(dx, dp []float64, gap func(row *slipRow) float64) {
	n := len(u.rows)
	e := make([]float64, n)
	for i := range u.rows {
		e[i] = gap(&u.rows[i])
	}
	y := u.half(e)
	// back: S⁻¹e = L⁻ᵀy
	for i := n - 1; i >= 0; i-- {
		for k := i + 1; k < n; k++ {
			y[i] -= u.s[k*n+i] * y[k]
		}
		y[i] /= u.s[i*n+i]
	}
	for i := range u.rows {
		for j, v := range u.rows[i].x {
			dx[j] += v * y[i]
		}
		for j, v := range u.rows[i].p {
			dp[j] += v * y[i]
		}
	}
}

// less is by how much the readings lower the covariance of two functionals.
func (u *lowRank) less(a, b []float64) float64 {
	ya, yb := u.half(a), u.half(b)
	s := 0.0
	for i, v := range ya {
		s += v * yb[i]
	}
	return s
}
