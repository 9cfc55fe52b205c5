package health

import (
	"math"
	"slices"

	"traplight/internal/car"
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
	Chance float64 `json:"chance"`       // 1, of so much on a steady car in any of the relations
}

// Trends gives each relation's course over passes in the order given (clear or
// not, the newest last). Relations with fewer than three passes are left out.
//
// A drift is told from a step, and either is named only where it would come up on
// a steady car with a chance under 1 in 100, all relations counted: see courseOf.
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
	settle(out)
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
	// A pass scatters by its wander, and its offset is not known exactly.
	scale := 0.0
	for _, sd := range t.SD {
		scale += sd * sd / float64(n)
	}
	c := courseOf(t.Offset, math.Sqrt(scale+sq(s.terms[0].wander)))
	t.Course, t.Size, t.Chance = c.kind, c.size, c.chance
	if c.kind == "step" {
		t.At = t.Passes[c.at]
	}
	return t, true
}

// settle names a course only where it would be rare among so many relations.
func settle(ts []Trend) {
	for i := range ts {
		t := &ts[i]
		t.Chance = min(1, t.Chance*float64(len(ts)))
		if t.Chance > courseAlarm {
			t.Course, t.At, t.Size = "steady", "", 0
		}
	}
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
