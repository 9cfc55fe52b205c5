package health

import (
	"math"

	"traplight/internal/num/changepoint"
	"traplight/internal/num/stats"
)

// term is a column of a watch's model with what is known of it before any pass
// of the car was seen. Units: that of the watch's reading over the column's.
type term struct {
	name   string
	mean   float64 // over cars
	sd     float64 // between cars
	wander float64 // from pass to pass on a healthy car, standard deviation
}

// spec is what is known of a watch beforehand. Its figures are common practice
// and physics, wide on purpose; the car's own passes narrow them.
type spec struct {
	id      string
	title   string // as in a sentence: "fuel pressure over manifold pressure"
	measure measure
	terms   []term
	noise   float64 // standard deviation of a 0.2 s row, unit of the watch
	corr    float64 // s, correlation time of that noise
	// small is the size below which a departure does not matter; visible the size
	// at which it can be seen and from which a finding starts; unit of the watch.
	small, visible float64
	delay          float64 // s, usual delay of the sensor, taken off start times
	shapes         []changepoint.Shape
	whole          bool // only a departure of the whole pass is looked for
	// rough is how much larger Z comes out than noise makes it while only this one
	// pass bends the curves, 1; 0 means 1.3.
	rough float64
	// least is a floor under how much larger Z comes out than noise makes it, for
	// relations that the columns catch only roughly, 1; 0 means 1.
	least float64
	// lawful relations are laws of physics between readings whose noise is known: how
	// far they stray follows from the rows, of which there are many, and not from
	// the few passes.
	lawful bool
	// largest is the size beyond which a departure cannot be, unit of the watch: few
	// rows far from the history's can be bent to anything; 0: no bound.
	largest    float64
	channels   []string // names of the channels read
	quantities []string // their quantities, for sensor faults and sentences
}

// The shapes of disturbance that watches look for by default.
var (
	step    = changepoint.Shape{}
	byLoad  = changepoint.Shape{ByLoad: true}
	ramp3   = changepoint.Shape{Rise: 3}
	rampAll = changepoint.Shape{Rise: 8}
	dip     = changepoint.Shape{Last: 0.6}
	bout    = changepoint.Shape{Last: 2}
	usual   = []changepoint.Shape{step, byLoad, ramp3, dip, bout}
	slow    = []changepoint.Shape{step, ramp3, rampAll}
)

// Columns other than the constant are taken from their centre, the middle of the
// conditions seen, so that a pass's wander is what it is there: a slope may wander
// without moving the level.
type model struct {
	center []float64 // by column, unit of the column; 0 for the constant
	coef   []float64 // mean over passes
	cov    []float64 // p×p: of the mean and of the next pass's wander together
	wander []float64 // SD by term, pass to pass
	noise  float64   // SD of a row, unit of the watch
	corr   float64   // s
	rough  float64   // how many times noise the loose rows scatter, 1 or more
	passes float64   // effective number of passes it rests on
	df     float64   // degrees of freedom behind the passes' spreads
	rowDF  float64   // degrees of freedom behind the rows' noise
	excess float64   // 1 or more: how much larger Z is here than noise makes it
}

// Strength of the prior on spreads, in passes' worth.
const (
	priorPasses = 4.0
	priorRows   = 40.0
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
	var cov []float64
	for range 6 {
		cov = s.coefficients(m, used, weight)
		s.spreads(m, used, weight)
	}
	for _, w := range weight {
		m.passes += w
	}
	m.df = 2*priorPasses + m.passes
	m.rowDF = m.df
	if s.lawful {
		m.rowDF = max(m.df, rowFreedom)
	}
	m.excess = max(s.pooledExcess(m, used), s.least)
	for j := range p {
		cov[j*p+j] += m.wander[j] * m.wander[j]
	}
	m.cov = cov
	return m
}

// pooledNoise is the spread of a row about its own pass's fit, with the prior's
// say, and the time over which it stays correlated.
func (s *spec) pooledNoise(ds []*digest) (noise, corr float64) {
	p := float64(len(s.terms))
	ss, n := priorRows*s.noise*s.noise, priorRows
	rho := math.Exp(-block * cell / max(s.corr, 1e-3))
	cs, cn := 3*rho, 3.0
	for _, d := range ds {
		k := max(d.N-p, 0)
		ss += k * d.Scale * d.Scale
		n += k
		cs += d.Corr
		cn++
	}
	rho = max(0.02, min(0.95, cs/cn))
	return max(math.Sqrt(ss/n), s.noise/4), -block * cell / math.Log(rho)
}

// pooledRough is the loose rows' scatter over the others', with the prior's say.
func pooledRough(ds []*digest) float64 {
	r := []float64{1.5, 1.5}
	for _, d := range ds {
		r = append(r, max(1, d.Rough))
	}
	return stats.Quantile(r, 0.7)
}

// usualPeak is the largest |Z| that a scan finds in pure noise, 1: about the 0.8
// quantile of the largest of some dozens of correlated looks.
const usualPeak = 3.4

// pooledExcess compares the peaks of healthy passes with those of noise. A peak
// was found with its own pass's noise; it is put as what it is under the model's.
func (s *spec) pooledExcess(m *model, ds []*digest) float64 {
	peaks := []float64{1.3 * usualPeak, 1.3 * usualPeak} // the prior's say
	for _, d := range ds {
		own := model{}
		own.noise, own.corr = s.ownNoise(d)
		peaks = append(peaks, d.Peak*math.Sqrt(m.rowPrecision()/own.rowPrecision()))
	}
	return max(1, stats.Quantile(peaks, 0.75)/usualPeak)
}

// rowPrecision is the inverse variance that a row carries once the correlation
// of its neighbours is allowed for, in the normal equations of a digest.
func (m *model) rowPrecision() float64 {
	rho := math.Exp(-block * cell / m.corr)
	return (1 - rho) / (1 + rho) / (m.noise * m.noise)
}

// rowFreedom is the number of degrees of freedom granted to the rows' noise of a
// lawful relation: rows by the hundred, of which few are independent.
const rowFreedom = 60.0

// freedom is the number of degrees of freedom behind the SD of a size of whose
// variance the rows' noise makes a share, 1 (Satterthwaite 1946, Biometrics
// Bulletin 2, 110–114, from memory).
func (m *model) freedom(share float64) float64 {
	if m.rowDF <= m.df {
		return m.df
	}
	return 1 / (share*share/m.rowDF + (1-share)*(1-share)/m.df)
}

// coefficients solves for the car's coefficients with the passes' departures
// integrated out, and returns their covariance.
func (s *spec) coefficients(m *model, ds []*digest, weight []float64) []float64 {
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
	for i, d := range ds {
		// (Ω + A⁻¹)⁻¹ = A − A(A+Ω⁻¹)⁻¹A with A = XᵀX/σ²; and the same for XᵀV⁻¹y.
		a, post := d.posterior(k, m.wander)
		proj := mul(a, post, p)
		for x := range p {
			ly := k * d.XY[x]
			for y := range p {
				v := a[x*p+y]
				for z := range p {
					v -= proj[x*p+z] * a[z*p+y]
				}
				info[x*p+y] += weight[i] * v
				ly -= proj[x*p+y] * k * d.XY[y]
			}
			lin[x] += weight[i] * ly
		}
	}
	cov := inverse(info, p)
	for x := range p {
		m.coef[x] = 0
		for y := range p {
			m.coef[x] += cov[x*p+y] * lin[y]
		}
	}
	return cov
}

// spreads re-estimates the passes' wander and their weights.
func (s *spec) spreads(m *model, ds []*digest, weight []float64) {
	p := len(s.terms)
	k := m.rowPrecision()
	sum, n := make([]float64, p), 0.0
	for i, d := range ds {
		_, post := d.posterior(k, m.wander)
		g := make([]float64, p) // Xᵀ(y − Xb)/σ²
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
		m.wander[j] = max(t.wander/4, math.Sqrt((priorPasses*t.wander*t.wander+sum[j])/(priorPasses+n)))
	}
}
