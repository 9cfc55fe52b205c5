package reconstruct

import (
	"fmt"
	"math"

	"traplight/internal/num/stats"
	"traplight/internal/quantity"
)

// The two wheels of a driven axle whose readings part: a differential turns the mean of
// its wheels with the engine, whatever each of them does. Where one wheel alone goes with
// the engine by the car's ratios and the mean does not, the other one's sensor is wrong,
// and gears told by the mean would be too. Natural logarithms of speed ratios; common
// practice, no source.
const (
	partedBy    = 0.06 // beyond tyres, corners and a locking differential's play
	partedLeast = 40   // cells
	partedFits  = 0.02 // from a gear's ratio
	partedNear  = 0.08 // that a gear may be off while nothing is known of the tyre's radius
	partedGood  = 0.75 // share of cells in which the good wheel goes with the engine
	partedPoor  = 0.5  // share in which mean and bad wheel may, by chance
	partedSlip  = 0.05 // that tyres may slip where the car's own speed is the measure
)

// onlyGood replaces the readings of a driven wheel that the other one of its axle and the
// engine give the lie, by channel of s.driven on the grid: v, rad/s, and their slopes d, rad/s²;
// circum is the wheels' circumference, m, as the logger has it.
func (s *signals) onlyGood(g *grid, ratios []float64, circum float64, v, d [][]float64) {
	if len(ratios) == 0 {
		return
	}
	for _, axle := range [][2]quantity.Name{{quantity.WheelSpeedFL, quantity.WheelSpeedFR}, {quantity.WheelSpeedRL, quantity.WheelSpeedRR}} {
		at := [2]int{-1, -1}
		for i, c := range s.driven {
			for k := range at {
				if c.Quantity == axle[k] {
					at[k] = i
				}
			}
		}
		switch {
		case at[0] >= 0 && at[1] >= 0:
			if bad := judgeAxle(g, ratios, v[at[0]], v[at[1]]); bad >= 0 {
				x, y := at[bad], at[1-bad]
				for i := range v[x] {
					if math.Abs(math.Log(v[x][i]/v[y][i])) > partedBy/2 && g.v[i] > 12 {
						v[x][i], d[x][i] = v[y][i], d[y][i]
					}
				}
				g.notes = append(g.notes, fmt.Sprintf("%q leaves the axle's other wheel, which goes with the engine: gears and driven wheels are told without it", s.driven[x].Name))
			}
		case max(at[0], at[1]) >= 0 && len(s.undriven)+len(s.sat) > 0:
			x := max(at[0], at[1])
			if k, ok := lone(g, ratios, v[x], math.Log(2*math.Pi/circum)); ok {
				for i := range v[x] {
					if math.Abs(math.Log(v[x][i]/g.v[i])-k) > partedBy/2 && g.v[i] > 12 {
						v[x][i], d[x][i] = math.NaN(), math.NaN()
					}
				}
				g.notes = append(g.notes, fmt.Sprintf("%q leaves the car's speed, with which the engine goes: gears and driven wheels are told without it", s.driven[x].Name))
			}
		}
	}
}

// judgeAxle says which of two wheels' readings, 0 or 1, engine and other wheel give the
// lie; -1 neither.
func judgeAxle(g *grid, ratios, a, b []float64) int {
	var parted []int
	var bias []float64
	off := func(w float64, i int, k float64) float64 { return offGear(g.engine[i]/w, ratios, k) }
	for i := range a {
		if !(g.v[i] > 12) || !(g.engine[i] > 0) || !(a[i] > 0) || !(b[i] > 0) {
			continue
		}
		switch d := math.Abs(math.Log(a[i] / b[i])); {
		case d > partedBy:
			parted = append(parted, i)
		case d < partedBy/2:
			if e := off((a[i]+b[i])/2, i, 0); math.Abs(e) < partedNear {
				bias = append(bias, e)
			}
		}
	}
	if len(parted) < partedLeast || len(bias) < partedLeast {
		return -1
	}
	k := stats.Median(bias)
	share := func(w func(i int) float64) float64 {
		n := 0
		for _, i := range parted {
			if math.Abs(off(w(i), i, k)) < partedFits {
				n++
			}
		}
		return float64(n) / float64(len(parted))
	}
	if share(func(i int) float64 { return (a[i] + b[i]) / 2 }) > partedPoor {
		return -1
	}
	x, y := share(func(i int) float64 { return a[i] }), share(func(i int) float64 { return b[i] })
	switch {
	case x > partedGood && y < partedPoor:
		return 1
	case y > partedGood && x < partedPoor:
		return 0
	}
	return -1
}

// offGear is how far a ratio of engine to wheel is from the nearest gear's, with k
// between them throughout; natural logarithm.
func offGear(q float64, ratios []float64, k float64) float64 {
	best := math.Inf(1)
	for _, r := range ratios {
		if d := math.Log(q/r) - k; math.Abs(d) < math.Abs(best) {
			best = d
		}
	}
	return best
}

// lone says whether the only wheel sensed of an axle, which leaves the car's speed, is
// given the lie by the engine, which goes with the car; and what lies between wheel,
// rad/s, and car, m/s, where they agree, natural logarithm. nominal is the same by the
// circumference that the logger was set to.
func lone(g *grid, ratios, w []float64, nominal float64) (k float64, ok bool) {
	moving := func(i int) bool { return g.v[i] > 12 && g.engine[i] > 0 && w[i] > 0 }
	var apart []float64
	for i := range w {
		if d := math.Log(w[i] / g.v[i]); moving(i) && math.Abs(d-nominal) < partedSlip {
			apart = append(apart, d)
		}
	}
	if len(apart) < partedLeast {
		return 0, false
	}
	k = stats.Quantile(apart, 0.25) // slip only adds
	n, byCar, byWheel := 0, 0, 0
	for i := range w {
		if !moving(i) || math.Abs(math.Log(w[i]/g.v[i])-k) < partedBy+partedSlip {
			continue
		}
		n++
		if e := offGear(g.engine[i]/(g.v[i]*math.Exp(k)), ratios, 0); e > -partedFits && e < partedSlip {
			byCar++
		}
		if math.Abs(offGear(g.engine[i]/w[i], ratios, 0)) < partedFits {
			byWheel++
		}
	}
	// Shifts, in which neither fits, are among the cells.
	return k, n > 2*partedLeast && byCar > n/2 && byCar > 4*byWheel
}
