package health

import "math"

// Strength of the prior on spreads, in passes' worth.
const (
	priorPasses  = 4.0
	wanderPasses = 2.0
	priorRows    = 40.0
)

// learn estimates a watch's model from the digests of clear passes by a mixed
// model: coefficients that belong to the car, and a departure of each pass.
// Passes that depart by more than the rest lose weight (t-like weights with four
// degrees of freedom). Expectation–maximisation after Laird and Ware (1982),
// Biometrics 38, 963–974 (from memory), with inverse-gamma priors on variances.
//
// own, the digest of the pass to be judged, gives the centre when there are no
// others; it is not learnt from.
func (s *spec) learn(ds []*digest, own *digest) *model {
	p := len(s.terms)
	m := &model{coef: make([]float64, p), wander: make([]float64, p), noise: s.noise}
	var used []*digest
	for _, d := range ds {
		if d != nil && len(d.XY) == p && d.N >= 4 {
			used = append(used, d)
		}
	}
	m.center = centre(used, own, p)
	for i, d := range used {
		used[i] = d.centred(m.center)
	}
	for j, t := range s.terms {
		m.coef[j], m.wander[j] = t.mean, t.wander
		m.coef[0] += t.mean * m.center[j]
	}
	m.noise, m.corr = s.pooledNoise(used)
	m.rough = pooledRough(used)
	weight := filled(len(used), 1)
	posts := make([][]float64, len(used))
	for i := range posts {
		posts[i] = make([]float64, p*p)
	}
	var cov []float64
	for range 6 {
		cov = s.coefficients(m, used, weight, posts)
		s.spreads(m, used, weight, posts)
	}
	for _, w := range weight {
		m.passes += w
	}
	m.df = priorPasses + m.passes // the prior's say is four passes' worth
	m.rowDF = m.df
	switch {
	case s.lawful:
		m.rowDF = max(m.df, lawFreedom)
	case !s.wild:
		m.rowDF = max(m.df, rowFreedom)
	}
	m.excess = max(s.pooledExcess(m, used), s.least)
	if m.passes > 0 {
		m.spell = s.pooledSpell(used) * (1 + unseenSpells/m.passes)
	}
	for j := range p {
		cov[j*p+j] += m.wander[j] * m.wander[j]
	}
	m.cov = cov
	return m
}

// coefficients solves for the car's coefficients with the passes' departures
// integrated out, and returns their covariance; posts receives that of each pass's
// departure given its rows.
func (s *spec) coefficients(m *model, ds []*digest, weight []float64, posts [][]float64) (cov []float64) {
	p := len(s.terms)
	info, lin := make([]float64, p*p), make([]float64, p)
	for j, t := range s.terms {
		mean, v := t.mean, t.sd*t.sd
		if j == 0 {
			for i, u := range s.terms[1:] {
				mean += u.mean * m.center[i+1]
				v += sq(u.sd * m.center[i+1])
			}
		}
		info[j*p+j] = 1 / v
		lin[j] = mean / v
	}
	k := m.rowPrecision()
	stiff := make([]float64, p) // Ω⁻¹, of a pass's departure
	for j, w := range m.wander {
		stiff[j] = 1 / (w * w)
	}
	a, work := make([]float64, p*p), make([]float64, 2*p)
	for i, d := range ds {
		// With A = XᵀX/σ² and P = (A+Ω⁻¹)⁻¹, the departure's covariance given the rows,
		// (Ω + A⁻¹)⁻¹ = Ω⁻¹ − Ω⁻¹PΩ⁻¹, and XᵀV⁻¹y = Ω⁻¹P·Xᵀy/σ².
		for x, v := range d.XX {
			a[x] = k * v
		}
		for x, v := range stiff {
			a[x*p+x] += v
		}
		post := posts[i]
		invert(post, a, p, work)
		for x, sx := range stiff {
			row, into := post[x*p:x*p+p], info[x*p:x*p+p]
			u, c := 0.0, weight[i]*sx
			for y, v := range row {
				into[y] -= c * v * stiff[y]
				u += v * d.XY[y]
			}
			into[x] += c
			lin[x] += c * u * k
		}
	}
	cov = inverse(info, p)
	for x := range p {
		m.coef[x] = 0
		for y := range p {
			m.coef[x] += cov[x*p+y] * lin[y]
		}
	}
	return cov
}

// spreads re-estimates the passes' wander and their weights.
func (s *spec) spreads(m *model, ds []*digest, weight []float64, posts [][]float64) {
	p := len(s.terms)
	k := m.rowPrecision()
	sum, n := make([]float64, p), 0.0
	g := make([]float64, p) // Xᵀ(y − Xb)/σ²
	for i, d := range ds {
		post := posts[i]
		for x := range p {
			g[x] = k * d.XY[x]
			for y := range p {
				g[x] -= k * d.XX[x*p+y] * m.coef[y]
			}
		}
		maha := 0.0
		for x := range p {
			u := 0.0
			for y := range p {
				u += post[x*p+y] * g[y]
			}
			sum[x] += weight[i] * (u*u + post[x*p+x])
			maha += u * u / (m.wander[x] * m.wander[x])
		}
		n += weight[i]
		const nu = 4
		weight[i] = min(1, (nu+float64(p))/(nu+maha))
	}
	for j, t := range s.terms {
		m.wander[j] = max(t.wander/4, math.Sqrt((wanderPasses*t.wander*t.wander+sum[j])/(wanderPasses+n)))
	}
}
