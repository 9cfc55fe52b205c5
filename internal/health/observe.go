package health

import (
	"math"

	"traplight/internal/num/changepoint"
	"traplight/internal/num/stats"
)

// observation is a look with what its scan found.
type observation struct {
	*look
	model    *model
	hit      changepoint.Hit
	z        float64 // 1, as a normal deviate once few passes and usual peaks are allowed for
	evidence float64 // natural logarithm of the odds for a disturbance against none; 0 when none
	start    float64 // s, run clock, from when it can be seen
	blind    bool    // the channel itself is known to be wrong
	beside   float64 // evidence of movement together with the strongest watch, natural logarithm of odds
	besideTo float64 // direction of that movement
	first    float64 // evidence of the scan alone, likewise
	said     string  // a limit that was passed, in words; "" none
	grave    bool    // that limit forbids to go on
	warned   bool    // that limit is no slight one to pass
	ruled    bool    // the size is that limit's, not measured against the history
	prepared prepared
}

// prepared is a watch's rows made ready for a scan under its model.
type prepared struct {
	rows  *rowset
	model *model
	k     *changepoint.Scanner
	ok    bool
}

// ready is readyRows of the watch's own rows, kept.
func (o *observation) ready() (*changepoint.Scanner, bool) {
	if p := &o.prepared; p.rows != o.rows || p.model != o.model {
		*p = prepared{rows: o.rows, model: o.model}
		p.k, p.ok = readyRows(o.rows, o.model)
	}
	return o.prepared.k, o.prepared.ok
}

const (
	// most is the largest say of one watch, in natural logarithm of odds, so that
	// one channel never outvotes all others.
	most = 14.0
	// usualAlarm is the evidence from which a finding is made: see docs/health.md for
	// the false alarms measured with it.
	usualAlarm = 4.5
)

// observe scans a look under its model.
func observe(l *look, m *model) *observation {
	c := *l
	c.rows = l.rows.centred(m.center)
	o := &observation{look: &c, model: m}
	k, ok := o.ready()
	if !ok {
		return o
	}
	h, ok := o.scan(k)
	if !ok {
		return o
	}
	if w, ok := o.anchored(h); ok {
		h = w
	}
	o.weigh(h)
	o.fromStart(k)
	o.first = o.evidence
	return o
}

func (o *observation) scan(k *changepoint.Scanner) (changepoint.Hit, bool) {
	if o.whole {
		return k.At(o.shapes[0], 0)
	}
	h, _, ok := k.Scan(o.shapes)
	if ok && o.onOneRow(h) {
		h, _, ok = k.Scan(lastingOf(o.shapes))
	}
	return h, ok
}

// onOneRow says that a passing disturbance would rest on a single row, where readings
// before and after it are left out: nothing bears it out.
func (o *observation) onOneRow(h changepoint.Hit) bool {
	t := o.rows.T
	return h.Shape.Last > 0 && (h.At+1 >= len(t) || t[h.At+1]-t[h.At] >= h.Shape.Last)
}

// lastingOf are the shapes that do not pass.
func lastingOf(in []shape) (out []shape) {
	for _, s := range in {
		if s.Last == 0 {
			out = append(out, s)
		}
	}
	return out
}

// besides measures how every quiet watch moved at the very time and in the very
// shape of the strongest disturbance: one look instead of a scan's many, so that
// less says more.
func besides(obs []*observation) {
	var top *observation
	for _, o := range obs {
		if o.rows != nil && !o.whole && (top == nil || o.evidence > top.evidence) {
			top = o
		}
	}
	if top == nil || top.evidence < 2 {
		return
	}
	for _, o := range obs {
		if o == top || o.rows == nil || o.whole || o.model == nil {
			continue
		}
		h, ok := o.sizeAt(top)
		if !ok || math.Abs(h.Size) < o.small/2 {
			continue
		}
		z := stats.AsNormal(h.Size/(h.SD*math.Sqrt(o.model.excess)), o.model.df)
		o.beside, o.besideTo = max(0, min(4, z*z/2-1.5)), math.Copysign(1, h.Size)
	}
}

// moved is the watch's evidence and direction for attribution.
func (o *observation) moved() (evidence, sign float64) {
	if o.beside > o.evidence {
		return o.beside, o.besideTo
	}
	return o.evidence, o.sign()
}

// anchored looks again where a scan has taken the disturbed majority of a pass for
// its normal and the healthy rest for the disturbance: the coefficients that the
// hit leaves are then far from what the car's history allows. The second scan
// takes the scatter about the history for noise, so that rows have no power to
// drag the coefficients away.
func (o *observation) anchored(h changepoint.Hit) (w changepoint.Hit, ok bool) {
	if o.whole || h.At == 0 && h.Shape.Last == 0 {
		return w, false
	}
	m, p := o.model, o.rows.P
	k, ready := readyRows(o.lifted(h), m)
	if !ready {
		return w, false
	}
	dep := k.Coef()
	inv := inverse(m.cov, p)
	far := 0.0
	for a := range p {
		for b := range p {
			far += dep[a] * inv[a*p+b] * dep[b]
		}
	}
	if far < 25+2*float64(p) {
		return w, false
	}
	off := make([]float64, o.rows.len())
	rough := o.rows.rough(m.rough)
	for i, y := range o.rows.calm(m) {
		off[i] = y
		for j := range p {
			off[i] -= o.rows.X[i*p+j] * m.coef[j]
		}
		off[i] = math.Abs(off[i])
		if rough != nil {
			off[i] /= rough[i]
		}
	}
	loose := *m
	loose.noise = max(m.noise, stats.MADToSD*stats.Median(off))
	loose.corr = 0.1
	w, _, ok = scanRows(o.rows, o.shapes, &loose)
	if ok && o.onOneRow(w) {
		w, _, ok = scanRows(o.rows, lastingOf(o.shapes), &loose)
	}
	if !ok || w.At == h.At && w.Shape == h.Shape {
		return w, false
	}
	// The place is found so; how telling it is, the true noise says.
	k, _ = o.ready()
	if sure, fine := k.At(w.Shape, w.At); fine && sure.Size*w.Size > 0 {
		w.SD, w.Z, w.Noise = sure.SD, sure.Z, sure.Noise
		return w, true
	}
	return w, true
}

// lifted gives the rows with a disturbance taken out.
func (o *observation) lifted(h changepoint.Hit) *rowset {
	r := *o.rows
	r.Y = o.rows.calm(o.model)
	of := r.ofLoad(h.Shape)
	for i := h.At; i < r.len(); i++ {
		dt := r.T[i] - r.T[h.At]
		if h.Shape.Last > 0 && dt >= h.Shape.Last {
			break
		}
		v := h.Size
		if h.Shape.Rise > 0 {
			v *= min(1, (dt+h.Shape.Rise/8)/h.Shape.Rise)
		}
		r.Y[i] -= v * of(i)
	}
	return &r
}

// reached is the largest departure that the disturbance's shape came to in this
// pass, in the watch's unit: a ramp may end early, and one in proportion to the
// load is largest where the load is.
func (o *observation) reached() float64 {
	h, r := o.hit, o.rows
	if r == nil || h.At >= r.len() || o.said != "" && o.model == nil {
		return h.Size
	}
	top, of := 0.0, r.ofLoad(h.Shape)
	for i := h.At; i < r.len(); i++ {
		dt := r.T[i] - r.T[h.At]
		if h.Shape.Last > 0 && dt >= h.Shape.Last {
			break
		}
		v := 1.0
		if h.Shape.Rise > 0 {
			v = min(1, (dt+h.Shape.Rise/8)/h.Shape.Rise)
		}
		top = max(top, v*of(i))
	}
	return h.Size * min(top, 3)
}

// came is what people are told of the size: a rise that had not ended with the pass came only
// so far, unit of the watch.
func (o *observation) came() float64 {
	if r := o.reached(); o.hit.Shape.Rise > 0 && math.Abs(r) < math.Abs(o.hit.Size) {
		return r
	}
	return o.hit.Size
}

// fromFirst says that the disturbance is there from the first row on and stays, at whatever load.
func (o *observation) fromFirst() bool {
	return o.hit.At == 0 && o.hit.Shape.Last == 0 && o.hit.Shape.Beyond == 0
}

// sign is the direction of the disturbance.
func (o *observation) sign() float64 { return math.Copysign(1, o.hit.Size) }
