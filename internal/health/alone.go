package health

import (
	"math"

	"traplight/internal/num/stats"
)

const (
	// ownMost is how many times the usual noise, and the usual time of its
	// correlation, a first pass may claim by its own residuals, 1: what is beyond is
	// the disturbance itself, which must not hide behind its own size.
	ownMost = 1.5
	// ownMostSlow is the same for what warms and cools, whose curves no prior knows
	// before the car has shown them.
	ownMostSlow = 5.0
	slowCorr    = 1.0 // s, correlation time from which a watch is such a one
	// aloneFreedom is the number of degrees of freedom behind a first pass's spreads.
	aloneFreedom = 15.0
)

// alone fits the spreads of a first pass to itself. Curves that only this pass has
// bent are wrong by slowly varying amounts; so the pass's own residuals give noise
// and correlation, within bounds, and only what comes about faster than those
// stands out. What the readings scatter from row to row is always believed.
func (m *model) alone(d *digest, l *look) {
	most := ownMost
	if l.corr >= slowCorr && l.measure == ofTemperature {
		most = ownMostSlow
	}
	rho := max(math.Exp(-block*cell/m.corr), min(0.97, d.Corr))
	m.noise = max(min(d.Scale, most*l.noise), l.noise/2, l.rows.rowToRow())
	m.corr = min(-block*cell/math.Log(rho), most*max(l.corr, block*cell))
	m.df, m.rowDF = aloneFreedom, aloneFreedom
	m.excess = 1.3
	if l.spec.rough > 0 {
		m.excess = l.spec.rough
	}
}

// rowToRow is the noise that the differences of neighbouring rows show, unit of
// the watch: a step or a ramp hardly moves their median.
func (r *rowset) rowToRow() float64 {
	var d []float64
	for i := 1; i < r.len(); i++ {
		if r.T[i]-r.T[i-1] < 1.5*block*cell {
			d = append(d, math.Abs(r.Y[i]-r.Y[i-1]))
		}
	}
	if len(d) < 8 {
		return 0
	}
	return stats.MADToSD * stats.Median(d) / math.Sqrt2
}
