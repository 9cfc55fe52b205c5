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

// aloneAlarm is the evidence from which a finding is made on a first pass, whose
// spreads are wider to begin with: see docs/health.md for the false alarms.
const aloneAlarm = 4.0

// alarm is the evidence from which a finding is made.
func (j *judge) alarm() float64 {
	if len(j.past) == 0 {
		return aloneAlarm
	}
	return usualAlarm
}

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
	m.excess = usualAlone
	for _, w := range roughAlone {
		if (role{watch: w.id}).covers(l.id) {
			m.excess = w.times
		}
	}
}

// undisturbed scans a first pass once more under the noise that its rows have with what was
// found taken out, and gives what tells more: residuals about a curve that a fault has bent
// are that fault's own size, and hid it behind themselves.
func (l *look) undisturbed(o *observation) *observation {
	if l.whole || o.hit.Z == 0 {
		return o
	}
	r := *l.rows
	r.Y = o.lifted(o.hit).Y
	d := l.digestRows(&r)
	if d == nil {
		return o
	}
	m := *o.model
	if m.alone(d, l); m.noise >= o.model.noise {
		return o
	}
	for _, w := range roughLifted {
		if (role{watch: w.id}).covers(l.id) {
			m.excess = w.times
		}
	}
	if c := observe(l, &m); c.evidence > o.evidence {
		return c
	}
	return o
}

// usualAlone is how much larger than noise makes it Z comes out on a first pass, 1,
// where nothing else is said in roughAlone.
const usualAlone = 1.1

// roughAlone lists the relations whose curves the columns catch only roughly while
// this one pass bends them: about a fifth of the largest Z met on healthy first passes
// of invented cars (docs/health.md).
var roughAlone = []struct {
	id    string
	times float64
}{
	{"exhaust temperature", 4}, {"driven pair", 2.2}, {"engine over wheels", 2.3}, {"boost over target", 2.8}, {"boost course", 4},
	{"coolant pressure", 3.6}, {"coolant heat", 2.3}, {"coolant swell", 4}, {"oil pressure", 2.6}, {"oil heat", 1.8}, {"gearbox heat", 1.8}, {"fuel heat", 1.8}, {"ignition", 2.4},
	{"charge heat", 2.3}, {"compressor heat", 1.5}, {"cooler water heat", 1.6}, {"oil pressure at idle", 2}, {"rolling radius", 1.8}, {"back-pressure", 1.8}, {"boost rise", 3},
	{"turbo speed", 1.3}, {"engine over road", 1.5}, {"wastegate", 1.3}, {"fuel flow over air", 1.4}, {"tyre slip", 1.3}, {"exhaust apart", 1.2}, {"bottle use", 1.8},
}

// roughLifted is roughAlone for those that come out larger still once what was found is
// taken out of the noise: as much larger as the 0.98 quantile of |Z| did on 400 healthy first
// passes of invented cars and the open logs (docs/health.md).
var roughLifted = []struct {
	id    string
	times float64
}{
	{"boost over target", 3.2}, {"compressor heat", 2.4}, {"cooler water heat", 2.2}, {"turbo speed", 1.6}, {"wastegate", 1.9}, {"torque over air", 1.25}, {"lambda apart", 1.8},
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
