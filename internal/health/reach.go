package health

import (
	"math"

	"traplight/internal/quantity"
)

// Beyond the conditions in which a car was ever seen its relations may bend. There
// a slope of its own, not known, opens at the edge of what was seen, so that doubt
// grows with the distance and for nonlinear relations as for straight ones.

// reach is what a model has seen: the range of each column over the earlier passes.
type reach struct {
	low, high []float64 // by column, unit of the column
	bends     []bend
}

// bend is one further column of a look: how far a column is beyond its edge.
type bend struct {
	col  int // the look's column; -1 the charge temperature
	up   bool
	edge float64
	sd   float64 // of the slope's change there
	by   int     // the look's column that it grows with; 0 none
}

// bendShare is by which share of what a slope may differ between cars it may change
// beyond the conditions seen (set by hand).
const bendShare = 0.5

// conditions are the terms whose range counts: what crew and weather choose, not
// what a fault alters.
var conditions = map[string]bool{
	"boost": true, "boost²": true, "air": true, "air²": true, "speed": true, "speed²": true, "speed and boost": true,
	"pressure ratio": true, "pressure ratio²": true, "pressure ratio³": true, "charge temperature": true,
	"v²": true, "grip": true, "grip²": true, "rise": true, "rise slow": true, "work": true, "work²": true,
}

// colder are the terms that count only below what was seen: an engine that starts colder than
// ever is the crew's doing, one that grows hotter may be a fault's.
var colder = map[string]bool{"coolant temperature": true, "oil temperature": true}

// chargeBends is by how much a watch that has no column for it may move for each 10 K
// of charge hotter than any seen, standard deviation, unit of the watch: the computer
// takes ignition back and adds fuel there (common practice, no source).
var chargeBends = map[string]float64{
	"torque over air": 0.025, "exhaust temperature": 15, "knock level": 0.12, "lambda": 0.006, "injectors over air": 0.008, "fuel flow over air": 0.008,
	"boost course": 2e3, "boost rise": 5e3, "back-pressure": 0.01, "oil pressure": 5e3,
}

// A start hotter than any before by more than hotStart, tens of kelvin, makes what the
// radiator carries off, and what cold water it sends back, unknown by startBend times
// what they may differ by between cars, for each 10 K (set by hand: a thermostat opens in some 15 K, common practice, no source).
const (
	hotStart  = 0.15
	startBend = 1.25
)

// seen gathers the range of each column over the digests; nil for none.
func seen(ds []*digest, p int) *reach {
	r := &reach{low: filled(p, math.Inf(1)), high: filled(p, math.Inf(-1))}
	any := false
	for _, d := range ds {
		if d == nil || len(d.Low) != p {
			continue
		}
		any = true
		for j := range p {
			r.low[j], r.high[j] = min(r.low[j], d.Low[j]), max(r.high[j], d.High[j])
		}
	}
	if !any {
		return nil
	}
	return r
}

// rangeOf is the smallest and the largest of each column of a pass's rows.
func (r *rowset) rangeOf() (low, high []float64) {
	low, high = filled(r.P, math.Inf(1)), filled(r.P, math.Inf(-1))
	for i := range r.Y {
		for j := range r.P {
			v := r.X[i*r.P+j]
			low[j], high[j] = min(low[j], v), max(high[j], v)
		}
	}
	return low, high
}

// blindBends is how many times more the slope of torque over boost may change beyond what
// was seen where no ignition angle is logged, 1: there the computer takes some degrees back,
// at close to 2 % of torque each (common practice, no source).
const blindBends = 2.5

// find lists the bends that the look's rows need: those beyond an edge by more than
// a twentieth of the range seen.
func (r *reach) find(l *look, f *frame, hottest float64) {
	const slack = 0.05
	low, high := l.rows.rangeOf()
	for j, t := range l.terms {
		if t.name == atLaunch && high[j] > r.high[j]+hotStart {
			for k, u := range l.terms {
				if u.name == "still air" || u.name == "wind" {
					r.bends = append(r.bends, bend{col: j, up: true, edge: r.high[j], sd: startBend * u.sd, by: k})
				}
			}
		}
		below := colder[t.name]
		if j == 0 || !conditions[t.name] && !below {
			continue
		}
		w, sd := r.high[j]-r.low[j], bendShare*t.sd
		if l.id == "torque over air" && t.name == "boost" && f.set.First(quantity.IgnitionAngle) == nil {
			sd *= blindBends
		}
		if high[j] > r.high[j]+slack*w && !below {
			r.bends = append(r.bends, bend{col: j, up: true, edge: r.high[j], sd: sd})
		}
		if low[j] < r.low[j]-slack*w {
			r.bends = append(r.bends, bend{col: j, edge: r.low[j], sd: sd})
		}
	}
	const least = 3.0 // K
	if sd := byWatch(chargeBends, l.id); sd > 0 && hottest > 0 && f.chargeKnown() && f.topAtFull(f.charge) > hottest+least {
		r.bends = append(r.bends, bend{col: -1, up: true, edge: hottest, sd: sd / 10})
	}
}

// reaching is the look with a further column for every bend.
func (l *look) reaching(f *frame, r *reach) *look {
	if r == nil || len(r.bends) == 0 {
		return l
	}
	out := *l
	out.reach = r
	out.terms = append([]term(nil), l.terms...)
	out.feats = append([][]float64(nil), l.feats...)
	for _, b := range r.bends {
		x := f.charge
		name := "charge"
		if b.col > 0 {
			x, name = l.feats[b.col-1], l.terms[b.col].name
		}
		out.terms = append(out.terms, term{name + " beyond what was seen", 0, b.sd, b.sd / 3})
		out.feats = append(out.feats, apply(f.n, func(i int) float64 {
			v := max(b.edge-x[i], 0)
			if b.up {
				v = max(x[i]-b.edge, 0)
			}
			if b.by > 0 {
				v *= l.feats[b.by-1][i]
			}
			return v
		}))
	}
	out.rows = f.collect(out.mask, out.y, out.load, out.feats...)
	return &out
}

// reaching is the model with the slopes beyond what was seen in it.
func (m *model) reaching(r *reach) *model {
	if r == nil || len(r.bends) == 0 {
		return m
	}
	p := len(m.coef)
	n := p + len(r.bends)
	out := *m
	out.center, out.coef, out.wander = append([]float64(nil), m.center...), append([]float64(nil), m.coef...), append([]float64(nil), m.wander...)
	out.cov = make([]float64, n*n)
	for i := range p {
		copy(out.cov[i*n:i*n+p], m.cov[i*p:i*p+p])
	}
	for k, b := range r.bends {
		i := p + k
		out.center, out.coef, out.wander = append(out.center, 0), append(out.coef, 0), append(out.wander, b.sd)
		out.cov[i*n+i] = b.sd * b.sd
	}
	return &out
}
