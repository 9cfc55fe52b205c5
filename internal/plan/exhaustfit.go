package plan

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"traplight/internal/fitcar"
)

// fitHeat fits the gas to the passes whose logs show it.
func fitHeat(m *fitcar.Model) heat {
	var ps []*heatPass
	for k := range m.Passes {
		if p := newHeatPass(m, k); p != nil {
			ps = append(ps, p)
		}
	}
	return newHeat(ps)
}

// newHeat fits the gas to passes; it is not known from a few readings.
func newHeat(ps []*heatPass) (h heat) {
	count := 0
	h.top = math.Inf(-1)
	for _, p := range ps {
		count += len(p.at)
		h.top = max(h.top, p.top)
	}
	if count < 40 {
		return heat{}
	}
	h.known = true
	type fit struct {
		cost  float64
		theta [heatTerms]float64
		cov   [heatTerms][heatTerms]float64
		tau   float64
		sigma float64
	}
	var fits []fit
	best := math.Inf(1)
	sigma := 2 * heatNoise
	for range 2 { // the readings' spread first, then the terms with it
		fits, best = fits[:0], math.Inf(1)
		for z := -2.5; z <= 2.01; z += 0.25 {
			f := fit{tau: lagPrior * math.Exp(z*lagSD)}
			var ok bool
			if f.theta, f.cov, f.cost, f.sigma, ok = solveHeat(ps, f.tau, sigma); !ok {
				continue
			}
			f.cost += z * z / 2
			best = min(best, f.cost)
			fits = append(fits, f)
		}
		for _, f := range fits {
			if f.cost == best {
				sigma = max(heatNoise, f.sigma)
			}
		}
	}
	sum := 0.0
	for _, f := range fits {
		w := math.Exp(best - f.cost)
		sum += w
		h.tau += w * f.tau
		for i := range h.theta {
			h.theta[i] += w * f.theta[i]
		}
	}
	if sum == 0 {
		return heat{}
	}
	h.tau, h.sigma = h.tau/sum, sigma
	for i := range h.theta {
		h.theta[i] /= sum
	}
	for _, f := range fits {
		w := math.Exp(best-f.cost) / sum
		for i := range h.cov {
			for j := range h.cov {
				h.cov[i][j] += w * (f.cov[i][j] + (f.theta[i]-h.theta[i])*(f.theta[j]-h.theta[j]))
			}
		}
	}
	return h
}

// heatPass is one logged pass: the terms by sample, and what was read where.
type heatPass struct {
	step  float64 // s
	row   [][heatTerms]float64
	shut  []bool // shift or part throttle: the gas there is another
	start float64
	at    []int
	read  []float64
	top   float64
}

func newHeatPass(m *fitcar.Model, k int) *heatPass {
	o := m.Passes[k].Obs
	if o.Exhaust == nil || o.Boost == nil || m.Passes[k].Weight < 0.5 {
		return nil
	}
	p := &heatPass{step: o.Step, start: math.NaN(), top: math.Inf(-1)}
	e := &m.Mean.Car.Engine
	var st heatState
	var speed, pressure float64
	for i := o.Lock; i < len(o.X); i++ {
		if v := o.Engine[i]; !math.IsNaN(v) {
			speed = v
		}
		if v := o.Boost[i]; !math.IsNaN(v) && v > 0 {
			pressure = v
		}
		if speed <= 0 || pressure <= 0 {
			continue
		}
		if math.IsNaN(p.start) {
			if p.start = o.Exhaust[i]; math.IsNaN(p.start) {
				continue
			}
		}
		st.move(e, &o.Air, pressure, speed, o.Step)
		st.fed = o.Nitrous && o.Open != nil && o.Open[i] > 0.5
		p.row = append(p.row, st.row())
		shut := o.Gear[i] == 0 || !o.Full[i]
		p.shut = append(p.shut, shut)
		if !shut {
			p.top = max(p.top, math.Log(pressure/heatPressure))
		}
		if n := len(p.row) - 1; n%5 == 4 && !math.IsNaN(o.Exhaust[i]) {
			p.at, p.read = append(p.at, n), append(p.read, o.Exhaust[i])
		}
	}
	if len(p.at) < 20 {
		return nil
	}
	return p
}

// solveHeat fits the terms and the gas of shifts for one lag, s, by weighted least
// squares with priors; cost is half the penalised sum of squares, sigma the spread of the
// readings, K.
func solveHeat(ps []*heatPass, tau, noise float64) (theta [heatTerms]float64, cov [heatTerms][heatTerms]float64, cost, sigma float64, ok bool) {
	const n = heatTerms + 1 // the last: gas of shifts
	a := mat.NewSymDense(n, nil)
	b := mat.NewVecDense(n, nil)
	mean := [n]float64{}
	for i := range n {
		m, sd := 900.0, 250.0 // K, of shifts
		if i < heatTerms {
			m, sd = heatPrior[i].mean, heatPrior[i].sd
		}
		mean[i] = m
		a.SetSym(i, i, 1/(sd*sd))
		b.SetVec(i, m/(sd*sd))
	}
	weight := 1 / (noise * noise * heatThin / 5) // every fifth sample is looked at
	var rows [][n]float64
	var reads []float64
	for _, p := range ps {
		k := 1 - math.Exp(-p.step/tau)
		var f [n]float64
		left, next := p.start, 0
		for i, r := range p.row {
			for j := range n {
				x := 0.0
				switch {
				case j == heatTerms && p.shut[i]:
					x = 1
				case j < heatTerms && !p.shut[i]:
					x = r[j]
				}
				f[j] += k * (x - f[j])
			}
			left -= k * left
			if next < len(p.at) && p.at[next] == i {
				rows, reads = append(rows, f), append(reads, p.read[next]-left)
				next++
			}
		}
	}
	for i, f := range rows {
		for j := range n {
			b.SetVec(j, b.AtVec(j)+weight*f[j]*reads[i])
			for q := j; q < n; q++ {
				a.SetSym(j, q, a.At(j, q)+weight*f[j]*f[q])
			}
		}
	}
	var ch mat.Cholesky
	if !ch.Factorize(a) {
		return
	}
	var x mat.VecDense
	if ch.SolveVecTo(&x, b) != nil {
		return
	}
	var inv mat.SymDense
	if ch.InverseTo(&inv) != nil {
		return
	}
	ss := 0.0
	for i, f := range rows {
		d := reads[i]
		for j := range n {
			d -= f[j] * x.AtVec(j)
		}
		ss += d * d
	}
	cost, sigma = weight*ss/2, math.Sqrt(ss/float64(len(rows)))
	for i := range n {
		sd2 := 250.0 * 250
		if i < heatTerms {
			sd2 = heatPrior[i].sd * heatPrior[i].sd
		}
		d := x.AtVec(i) - mean[i]
		cost += d * d / sd2 / 2
	}
	cost += math.Log(math.Abs(ch.Det())) / 2 // of the posterior, so that lags compare as evidences
	for i := range theta {
		theta[i] = x.AtVec(i)
		for j := range theta {
			cov[i][j] = inv.At(i, j)
		}
	}
	return theta, cov, cost, sigma, true
}
