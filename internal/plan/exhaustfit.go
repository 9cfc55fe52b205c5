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
	h := newHeat(ps)
	h.engine = &m.Mean.Car.Engine
	return h
}

// newHeat fits the gas to passes; it is not known from a few readings.
func newHeat(ps []*heatPass) (h heat) {
	count := 0
	low := math.Inf(1)
	for g := range h.top {
		h.top[g] = math.Inf(-1)
	}
	for _, p := range ps {
		count += len(p.at)
		for g, t := range p.top {
			if h.top[g] = max(h.top[g], t); t > math.Inf(-1) {
				low = min(low, t)
			}
		}
	}
	for g, t := range h.top {
		h.top[g] = max(t, low) // a gear that was never read
	}
	if count < 40 {
		return heat{}
	}
	h.slow = slowest(ps)
	h.known = true
	before := lagBefore(ps)
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
			f := fit{tau: before.mid * math.Exp(z*before.sd)}
			var ok bool
			if f.theta, f.cov, f.cost, f.sigma, ok = solveHeat(ps, f.tau, sigma); !ok {
				continue
			}
			f.cost += z*z/2 + before.over(f.tau)
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

// slowest is the engine speed, as its share of sim.RefSpeed less 1, down to which the
// gas was read: a few samples lower are no course.
func slowest(ps []*heatPass) float64 {
	var all []float64
	for _, p := range ps {
		for i := range p.row {
			all = append(all, p.row[i][2])
		}
	}
	return quantile(all, slowShare)
}

const slowShare = 0.02 // 1, of the samples

// lag is what is known of the sensors' lag before the fit: its middle, s, the spread of its
// logarithm, and the most, s, that the logs allow; 0 unknown.
type lag struct{ mid, sd, most float64 }

// lagBefore is what is known of the lag before the fit.
func lagBefore(ps []*heatPass) lag {
	var seen []float64
	for _, p := range ps {
		if p.shut > 0 {
			seen = append(seen, p.shut)
		}
	}
	if len(seen) == 0 {
		return lag{mid: lagPrior, sd: lagSD}
	}
	most := quantile(seen, 0.5)
	return lag{most * math.Exp(-lagFaster), lagFasterSD, most}
}

// over is what a lag, s, beyond the most that the logs allow adds to half the penalised sum
// of squares.
func (l lag) over(tau float64) float64 {
	if l.most == 0 || tau <= l.most {
		return 0
	}
	return sq(math.Log(tau/l.most)/lagSlower) / 2
}

// heatBefore is the prior of a term, K.
func heatBefore(i int) (mean, sd float64) {
	if i >= heatLaw {
		return 0, heatGear
	}
	return heatPrior[i].mean, heatPrior[i].sd
}

// solveHeat fits the terms for one lag, s, by weighted least
// squares with priors; cost is half the penalised sum of squares, sigma the spread of the
// readings, K.
func solveHeat(ps []*heatPass, tau, noise float64) (theta [heatTerms]float64, cov [heatTerms][heatTerms]float64, cost, sigma float64, ok bool) {
	const n = heatTerms
	a := mat.NewSymDense(n, nil)
	b := mat.NewVecDense(n, nil)
	mean := [n]float64{}
	for i := range n {
		m, sd := heatBefore(i)
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
		left, next := 0.0, 0
		for i, r := range p.row {
			if v := p.from[i]; !math.IsNaN(v) {
				f, left = [n]float64{}, v
			}
			for j := range n {
				f[j] += k * (r[j] - f[j])
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
		_, sd := heatBefore(i)
		d := (x.AtVec(i) - mean[i]) / sd
		cost += d * d / 2
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
