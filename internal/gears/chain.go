package gears

import (
	"math"

	"traplight/internal/num/hmm"
)

const (
	stay      = 0.995 // chance per 10 ms to remain in a gear; a pass has a dozen changes in 20 s
	openStay  = 0.96  // chance per 10 ms to remain open
	holdOn    = -9.0  // log factor of leaving a gear while the car pulls
	downShift = -6.0  // log factor of going down a gear during a pass
	minWheel  = 4.0   // rad/s below which the ratio says nothing
)

// model builds the chain: state 0 is open before any gear, 1…g the gears, g+k open
// after gear k, so that the next gear is expected to be the next one up.
func (p *Problem) model(spread float64) *hmm.Model {
	g, n := len(p.Ratios), len(p.Engine)
	states := 2*g + 1
	m := &hmm.Model{Start: make([]float64, states), Group: make([]int, states)}
	k := p.Step / 0.01
	st, op := math.Pow(stay, k), math.Pow(openStay, k)
	for i := 0; i < states; i++ {
		var row []float64
		switch {
		case i == 0:
			m.Start[i] = 0
			row = fromStart(g, op)
		case i <= g:
			m.Start[i] = -3 - float64(i) // a log begins in neutral or a low gear
			m.Group[i] = i
			row = fromGear(g, i, st)
		default:
			m.Start[i] = -20 // a log does not begin within a shift
			row = fromOpen(g, i-g, op)
		}
		m.Transition = append(m.Transition, row)
	}
	for i := 0; i < n; i++ {
		e := p.emission(i, spread)
		for j := 0; j < g; j++ {
			e = append(e, e[0])
		}
		m.Emission = append(m.Emission, e)
	}
	return m
}

// nowhere is a row of a chain of g gears that leads to no state.
func nowhere(g int) []float64 {
	row := make([]float64, 2*g+1)
	for j := range row {
		row[j] = math.Inf(-1)
	}
	return row
}

// fromStart are the log chances of leaving the open state before any gear, in
// which one stays with chance op.
func fromStart(g int, op float64) []float64 {
	row := nowhere(g)
	row[0] = math.Log(op)
	for j := 1; j <= g; j++ {
		row[j] = math.Log(1-op) - 1.5*float64(j) // a pass starts in a low gear
	}
	return row
}

// fromGear are those of leaving a gear, in which one stays with chance st: through
// the open state behind it, hardly ever straight into another.
func fromGear(g, gear int, st float64) []float64 {
	row := nowhere(g)
	row[gear] = math.Log(st)
	row[g+gear] = math.Log(1 - st)
	for j := 1; j <= g; j++ {
		if j == gear {
			continue
		}
		row[j] = math.Log((1 - st) * 1e-3)
		if j < gear {
			row[j] += downShift
		}
	}
	return row
}

// nextGear is the chance of each step from gear to gear in a pass, weighed by hand:
// most shifts go up by one, some find the old gear again. Any other has otherGear.
var nextGear = map[int]float64{1: 0.80, 0: 0.15, 2: 0.03, -1: 0.01}

const otherGear = 0.003

// fromOpen are those of leaving the open state behind a gear.
func fromOpen(g, gear int, op float64) []float64 {
	row := nowhere(g)
	row[g+gear] = math.Log(op)
	for j := 1; j <= g; j++ {
		share, told := nextGear[j-gear]
		if !told {
			share = otherGear
		}
		row[j] = math.Log((1 - op) * share)
	}
	return row
}
