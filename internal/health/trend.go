package health

import (
	"math"
	"slices"

	"traplight/internal/car"
	"traplight/internal/num/changepoint"
	"traplight/internal/num/robust"
	"traplight/internal/num/stats"
)

// Trend is one relation over the passes, at matched conditions.
type Trend struct {
	What   string    `json:"what"`
	Unit   string    `json:"unit"` // SI unit, or "log ratio"
	Passes []string  `json:"passes"`
	Offset []float64 `json:"offset"` // departure of each pass from the mean of all, in Unit
	SD     []float64 `json:"sd"`     // same unit
	// Course is "steady", "drift" (slowly, pass after pass) or "step" (between two
	// passes).
	Course string  `json:"course"`
	At     string  `json:"at,omitempty"` // first pass after a step
	Size   float64 `json:"size"`         // of the step, or of the drift from first to last, in Unit
	Chance float64 `json:"chance"`       // 1, of so much on a steady car
}

// Trends gives each relation's course over passes in the order given (clear or
// not, the newest last). Relations with fewer than three passes are left out.
//
// Drift is told from a step by their likelihoods with equal numbers of
// coefficients: a line over the pass number against two levels.
func Trends(passes []Summary, sheetSpecs map[string]Spec) []Trend {
	ids := map[string]bool{}
	for _, s := range passes {
		for id := range s.Digests {
			ids[id] = true
		}
	}
	var order []string
	for id := range ids {
		if _, ok := sheetSpecs[id]; ok {
			order = append(order, id)
		}
	}
	slices.Sort(order)
	var out []Trend
	for _, id := range order {
		if t, ok := trend(id, sheetSpecs[id].spec, passes); ok {
			out = append(out, t)
		}
	}
	return out
}

// Spec names a relation for Trends; see Specs.
type Spec struct{ spec spec }

// Specs gives the relations that a pass's channels allow.
func Specs(r Record, sheet *car.Sheet) map[string]Spec {
	out := map[string]Spec{}
	for _, l := range newFrame(r, sheet).watches() {
		out[l.id] = Spec{l.spec}
	}
	return out
}

func trend(id string, s spec, passes []Summary) (Trend, bool) {
	t := Trend{What: s.title, Unit: s.measure.si()}
	var ds []*digest
	for _, p := range passes {
		if d := p.Digests[id]; d != nil && len(d.XY) == len(s.terms) {
			ds = append(ds, d)
			t.Passes = append(t.Passes, p.Name)
		}
	}
	n := len(ds)
	if n < 3 {
		return t, false
	}
	m := s.learn(ds, nil)
	for _, d := range ds {
		o, sd := d.centred(m.center).offset(m)
		t.Offset = append(t.Offset, o)
		t.SD = append(t.SD, sd)
	}
	t.Course, t.Chance = "steady", 1
	if n < 5 {
		return t, true
	}
	// Noise of a pass: the wander, and the offset's own uncertainty.
	var x []float64
	scale := 0.0
	for i := range n {
		x = append(x, 1, float64(i))
		scale += t.SD[i] * t.SD[i] / float64(n)
	}
	sd := math.Sqrt(scale + s.terms[0].wander*s.terms[0].wander)
	fit, err := robust.Regress(x, t.Offset, 2, robust.Config{})
	if err != nil {
		return t, true
	}
	flat, line := 0.0, 0.0
	mean := stats.Median(t.Offset)
	for i, v := range t.Offset {
		flat += sq((v - mean) / sd)
		line += sq((v - fit.Coef[0] - fit.Coef[1]*float64(i)) / sd)
	}
	step := math.Inf(1)
	b, ok := changepoint.Single(t.Offset, 0.2)
	if ok {
		step = 0
		for i, v := range t.Offset {
			l := b.Before
			if i >= b.At {
				l = b.After
			}
			step += sq((v - l) / sd)
		}
		step += 2 * math.Log(float64(n)) // the place is searched for
	}
	gain := flat - min(line, step)
	t.Chance = min(1, float64(n)*math.Erfc(math.Sqrt(max(gain, 0)/2)))
	if t.Chance > 0.01 {
		return t, true
	}
	if line <= step {
		t.Course, t.Size = "drift", fit.Coef[1]*float64(n-1)
	} else {
		t.Course, t.Size, t.At = "step", b.After-b.Before, t.Passes[b.At]
	}
	return t, true
}

func sq(x float64) float64 { return x * x }

// offset is a pass's departure from the model at its own mean conditions, with
// its standard deviation, in the watch's unit.
func (d *digest) offset(m *model) (v, sd float64) {
	p := len(m.coef)
	// Column means are the first row of XᵀX over its first element.
	n := d.XX[0]
	v = d.XY[0] / n
	for j := range p {
		v -= d.XX[j] / n * m.coef[j]
	}
	return v, math.Sqrt(1 / (m.rowPrecision() * n))
}

// si is the unit of a watch in SI.
func (m measure) si() string {
	switch m {
	case ofPressure:
		return "Pa"
	case ofTemperature:
		return "K"
	case ofShare:
		return "log ratio"
	case ofSpeed:
		return "rad/s"
	case ofAngle:
		return "rad"
	case ofVoltage:
		return "V"
	case ofVelocity:
		return "m/s"
	case ofRate:
		return "Pa/s"
	case ofAcceleration:
		return "m/s²"
	}
	return "1"
}
