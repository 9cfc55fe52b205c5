package force

import (
	"math"

	"traplight/internal/quantity"
)

// Roll is a stretch in which the car rolled with the clutch open.
type Roll struct {
	V     float64 // m/s, mean speed
	Accel float64 // m/s², mean acceleration
	SD    float64 // m/s², standard deviation of Accel
}

// Resistance is what slows a rolling car, with the covariance of its parts.
type Resistance struct {
	DragArea quantity.Estimate // m²
	Rolling  quantity.Estimate // 1
	Headwind quantity.Estimate // m/s
	Grade    quantity.Estimate // rise over run
	Cov      [4][4]float64     // in the order above, products of their units
	Used     int               // rolls used
}

// rollModelSD is the error of a roll beside the motion's own: clutch and gearbox
// drag, wheels that still settle (common practice, no source), m/s².
const rollModelSD = 0.04

// Coast updates what is believed of drag area, rolling resistance, wind and grade
// by the car's clutch-open rolls: one linearised Bayesian step, repeated twice as
// drag goes with the square of wind. Where the rolls cannot tell, the prior stays.
// The principle of separating drag from rolling resistance by speed is that of
// coast-down testing (SAE J1263); a proper coast-down would tell more.
func Coast(b Body, s Surroundings, prior Resistance, rolls []Roll) Resistance {
	mean := [4]float64{prior.DragArea.Value, prior.Rolling.Value, prior.Headwind.Value, prior.Grade.Value}
	sd := [4]float64{prior.DragArea.SD, prior.Rolling.SD, prior.Headwind.SD, prior.Grade.SD}
	x := mean
	var cov [4][4]float64
	for pass := 0; pass < 3; pass++ {
		var h [4][4]float64
		var g [4]float64
		for i := range h {
			h[i][i] = 1 / (sd[i] * sd[i])
			g[i] = (mean[i] - x[i]) * h[i][i]
		}
		bb, ss := b, s
		set := func(x [4]float64) {
			bb.DragArea, bb.Rolling, ss.Headwind, ss.Grade = x[0], x[1], x[2], x[3]
		}
		for _, r := range rolls {
			set(x)
			f := bb.FreeDecel(ss, r.V)
			var j [4]float64
			for i, d := range [4]float64{0.01, 0.001, 0.1, 0.001} {
				y := x
				y[i] += d
				set(y)
				j[i] = (bb.FreeDecel(ss, r.V) - f) / d
			}
			w := 1 / (r.SD*r.SD + rollModelSD*rollModelSD)
			e := r.Accel - f
			w *= 5 / (4 + e*e*w) // a roll that does not fit loses weight (Student, 4 degrees)
			for a := range j {
				for c := range j {
					h[a][c] += w * j[a] * j[c]
				}
				g[a] += w * j[a] * e
			}
		}
		cov = invert4(h)
		for a := range x {
			for c := range x {
				x[a] += cov[a][c] * g[c]
			}
		}
	}
	out := Resistance{Cov: cov, Used: len(rolls)}
	est := func(i int) quantity.Estimate {
		return quantity.Estimate{Value: x[i], SD: math.Sqrt(cov[i][i])}
	}
	out.DragArea, out.Rolling, out.Headwind, out.Grade = est(0), est(1), est(2), est(3)
	return out
}

// invert4 inverts a symmetric positive matrix by Gauss and Jordan.
func invert4(m [4][4]float64) [4][4]float64 {
	var inv [4][4]float64
	for i := range inv {
		inv[i][i] = 1
	}
	for i := 0; i < 4; i++ {
		d := m[i][i]
		for k := 0; k < 4; k++ {
			m[i][k] /= d
			inv[i][k] /= d
		}
		for r := 0; r < 4; r++ {
			if r == i {
				continue
			}
			f := m[r][i]
			for k := 0; k < 4; k++ {
				m[r][k] -= f * m[i][k]
				inv[r][k] -= f * inv[i][k]
			}
		}
	}
	return inv
}

// Root is a lower-triangular square root of the covariance (Cholesky): moving the
// four parts by each of its columns in turn and adding the squared changes of a
// result gives the result's variance.
func (r Resistance) Root() [4][4]float64 {
	var l [4][4]float64
	for i := 0; i < 4; i++ {
		for j := 0; j <= i; j++ {
			sum := r.Cov[i][j]
			for k := 0; k < j; k++ {
				sum -= l[i][k] * l[j][k]
			}
			if i == j {
				l[i][i] = math.Sqrt(math.Max(sum, 0))
			} else if l[j][j] > 0 {
				l[i][j] = sum / l[j][j]
			}
		}
	}
	return l
}
