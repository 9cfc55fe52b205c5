package airpath

import (
	"math"

	"traplight/internal/dictionary"
	"traplight/internal/pass"
	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// Peaks of the back-pressure ratio are means over this long, s: pulses of single
// cylinders and the sensor's noise go with it.
const peakWidth = 0.1

// ratioTrace is the mean of all turbine inlet pressures over the manifold
// pressure, both absolute, at the first one's samples; empty without both.
func ratioTrace(set *dictionary.Set, m *boost) trace.Trace {
	all := set.All(quantity.ExhaustPressure)
	if m == nil || len(all) == 0 {
		return trace.Trace{}
	}
	var out trace.Trace
	for i, t := range all[0].Trace.T {
		man, ok := m.gauge.At(t)
		abs := man - m.offset + m.baro.Value
		if !ok || abs < 5e3 {
			continue
		}
		sum, n := all[0].Trace.V[i], 1.0
		for _, c := range all[1:] {
			if v, ok := c.Trace.At(t); ok {
				sum += v
				n++
			}
		}
		out.T = append(out.T, t)
		out.V = append(out.V, sum/n/abs)
	}
	return out
}

// backPressure fills in the ratio by gear and at peak power and how fast the
// turbine inlet pressure rises with boost.
func backPressure(p *pass.Pass, set *dictionary.Set, m *boost, a *pass.AirPath) []string {
	r := ratioTrace(set, m)
	if r.Len() == 0 {
		if m != nil {
			return []string{"no back-pressure ratio: no channel for turbine inlet pressure"}
		}
		return nil
	}
	for i := range p.Gears {
		g := &p.Gears[i]
		if v, ok := meanOver(r, g.FullThrottle); ok {
			g.MeanBackPressure = &v
		}
		if v, ok := peakOver(r, g.FullThrottle, peakWidth); ok {
			g.MaxBackPressure = &v
		}
		if v, ok := peakOver(r, m.loaded(g.FullThrottle), peakWidth); ok {
			g.LoadedBackPressure = &v
		}
	}
	if p.Power != nil {
		if v, ok := r.Mean(p.Power.At-0.05, p.Power.At+0.05, r.LongestGap()); ok {
			p.Power.BackPressureRatio = &v
		}
	}
	growth(p, set, m, a)
	return nil
}

// loadedShare is the share of a gear's highest absolute pressure, 1, from which on boost counts as up;
// common practice, no source.
const loadedShare = 0.85

// loaded are the windows of one gear from where boost is up. While it rises the wastegate is shut and
// the turbine works to spin the rotor up: that asks for much before the turbine against little in the
// manifold, with every turbo, and is soon over. What a limit of the ratio guards, exhaust that stays in
// the cylinders and a housing that is used up, is a matter of full load.
func (m *boost) loaded(windows []pass.Window) (out []pass.Window) {
	high := math.Inf(-1)
	for _, w := range windows {
		for _, v := range m.gauge.Slice(w.From, w.To).V {
			high = max(high, v-m.offset+m.baro.Value)
		}
	}
	for _, w := range windows {
		x := m.gauge.Slice(w.From, w.To)
		for i, v := range x.V {
			if v-m.offset+m.baro.Value >= loadedShare*high {
				out = append(out, pass.Window{From: x.T[i], To: w.To})
				break
			}
		}
	}
	return out
}

// growth regresses the logarithm of turbine inlet pressure on those of manifold
// pressure and engine speed over steady blocks at full throttle.
func growth(p *pass.Pass, set *dictionary.Set, m *boost, a *pass.AirPath) {
	rpm := set.First(quantity.EngineSpeed)
	exh := set.First(quantity.ExhaustPressure)
	if rpm == nil || exh == nil {
		return
	}
	const block = 0.3 // s
	var rows [][3]float64
	var y []float64
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, g := range p.Gears {
		for _, w := range g.FullThrottle {
			for from := w.From; from+block <= w.To; from += block {
				man, slope, n := line(m.gauge.Slice(from, from+block))
				abs := man - m.offset + m.baro.Value
				// Spinning up, the wastegate is shut and the turbine works against the
				// rotor: that is not the housing.
				if n < 5 || math.Abs(slope) > 0.15*abs {
					continue
				}
				pe, _, ne := line(exh.Trace.Slice(from, from+block))
				sp, _, ns := line(rpm.Trace.Slice(from, from+block))
				if ne < 3 || ns < 3 || pe <= 0 || sp <= 0 || man < leastBoost {
					continue
				}
				rows = append(rows, [3]float64{1, math.Log(abs), math.Log(sp)})
				y = append(y, math.Log(pe))
				lo, hi = min(lo, abs), max(hi, abs)
			}
		}
	}
	// The answer needs boost levels well apart.
	if len(rows) < 12 || hi < 1.3*lo {
		return
	}
	beta, sd, ok := leastSquares3(rows, y)
	if !ok || sd[1] > 0.5 {
		return
	}
	a.BackPressureGrowth = &quantity.Estimate{Value: beta[1], SD: sd[1]}
	a.BackPressureFrom, a.BackPressureTo = lo, hi
}

// leastSquares3 solves an ordinary regression of three columns; sd are the
// coefficients' standard deviations from the residuals, blocks of one gear hanging
// together counted by doubling them.
func leastSquares3(x [][3]float64, y []float64) (beta, sd [3]float64, ok bool) {
	var a [3][3]float64
	var b [3]float64
	for i, r := range x {
		for j := range 3 {
			b[j] += r[j] * y[i]
			for k := range 3 {
				a[j][k] += r[j] * r[k]
			}
		}
	}
	inv, ok := invert3(a)
	if !ok {
		return beta, sd, false
	}
	for j := range 3 {
		for k := range 3 {
			beta[j] += inv[j][k] * b[k]
		}
	}
	s := 0.0
	for i, r := range x {
		e := y[i] - beta[0]*r[0] - beta[1]*r[1] - beta[2]*r[2]
		s += e * e
	}
	s /= float64(len(x) - 3)
	for j := range 3 {
		sd[j] = 2 * math.Sqrt(max(s*inv[j][j], 0))
	}
	return beta, sd, true
}

func invert3(a [3][3]float64) (inv [3][3]float64, ok bool) {
	c := func(i, j int) float64 {
		i1, i2, j1, j2 := (i+1)%3, (i+2)%3, (j+1)%3, (j+2)%3
		return a[i1][j1]*a[i2][j2] - a[i1][j2]*a[i2][j1]
	}
	det := a[0][0]*c(0, 0) + a[0][1]*c(0, 1) + a[0][2]*c(0, 2)
	scale := math.Abs(a[0][0] * a[1][1] * a[2][2])
	if !(math.Abs(det) > 1e-13*scale) {
		return inv, false
	}
	for i := range 3 {
		for j := range 3 {
			inv[j][i] = c(i, j) / det
		}
	}
	return inv, true
}
