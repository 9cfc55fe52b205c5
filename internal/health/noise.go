package health

import (
	"math"

	"traplight/internal/num/stats"
)

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

// larger is how many times larger than the model makes it Z comes out where the
// rows' noise makes a share, 1, of the variance: only that part was seen too small.
// On a first pass the table says it of the whole.
func (m *model) larger(share float64) float64 {
	if m.passes == 0 {
		return m.excess
	}
	return math.Sqrt(1 + share*(m.excess*m.excess-1))
}

// rowPrecision is the inverse variance that a row carries once the correlation
// of its neighbours is allowed for, in the normal equations of a digest.
func (m *model) rowPrecision() float64 {
	rho := math.Exp(-block * cell / m.corr)
	return (1 - rho) / (1 + rho) / (m.noise * m.noise)
}

// Degrees of freedom granted to the rows' noise, of which there are rows by the hundred,
// few of them independent: where a law of physics makes the relation; and where it does
// not, when how much larger Z comes out than noise makes it is known to about a seventh
// (1/(2·0.14²)). Wild relations have none but the passes'.
const (
	lawFreedom = 60.0
	rowFreedom = 25.0
)

// freedom is the number of degrees of freedom behind the SD of a size of whose
// variance the rows' noise makes a share, 1 (Satterthwaite 1946, Biometrics
// Bulletin 2, 110–114, from memory).
func (m *model) freedom(share float64) float64 {
	if m.rowDF <= m.df {
		return m.df
	}
	return 1 / (share*share/m.rowDF + (1-share)*(1-share)/m.df)
}
