package turbomap

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"

	"traplight/internal/physics/compressor"
	"traplight/internal/physics/nozzle"
	"traplight/internal/quantity"
)

// Turbine is a swallowing line: the corrected flow that one turbine in one housing
// passes over its expansion ratio, all speeds taken together.
type Turbine struct {
	Name      string
	Reference compressor.Reference
	Told      []string // what was assumed on reading, a sentence each

	flow, eff curve   // over the expansion ratio
	first     float64 // 1, lowest expansion ratio told
	last      float64 // 1, highest
}

var turbineRoles = []role{
	{name: "corrected flow", words: []string{"flow", "durchsatz", "debit"}, dims: []quantity.Dimension{quantity.DimMassFlow}, need: true},
	{name: "efficiency", words: []string{"eff", "eta", "wirkungsgrad"}, dims: []quantity.Dimension{quantity.DimNumber, quantity.DimShare}},
	{name: "expansion ratio", words: []string{"ratio", "er", "pr"}, dims: []quantity.Dimension{quantity.DimNumber, quantity.DimShare}, need: true},
}

// ReadTurbine reads a swallowing line from CSV text: expansion ratio (inlet total to
// outlet static), corrected flow, and efficiency where it is known. Points of several speeds
// may stand mixed: those of one expansion ratio within 1 % are averaged. Without reference
// lines 288.15 K and 101.325 kPa are taken and told. What cannot be read is an error with its line.
func ReadTurbine(name string, in io.Reader) (*Turbine, error) {
	s, err := readSheet(name, in, turbineRoles)
	if err != nil {
		return nil, err
	}
	t := &Turbine{Name: name, Reference: compressor.ReferenceStandard}
	kelvin, haveT := s.settings["reference_temperature"]
	pascal, haveP := s.settings["reference_pressure"]
	switch {
	case haveT != haveP:
		return nil, &Error{name, 0, "state both # reference_temperature_k and # reference_pressure_kpa, or neither"}
	case haveT:
		if kelvin < 250 || kelvin > 1400 || pascal < 80e3 || pascal > 110e3 {
			return nil, &Error{name, 0, fmt.Sprintf("a reference state of %.1f K and %.1f kPa is not one of a turbine map: is a unit wrong?", kelvin, pascal/1e3)}
		}
		t.Reference = compressor.Reference{Temperature: kelvin, Pressure: pascal}
	default:
		t.Told = append(t.Told, fmt.Sprintf("%s states no reference; 288.15 K and 101.325 kPa are taken.", name))
	}
	type point struct{ ratio, flow, eff float64 }
	var pts []point
	for i, r := range s.column["expansion ratio"] {
		p := point{r, s.column["corrected flow"][i], math.NaN()}
		if e := s.column["efficiency"]; len(e) > 0 {
			p.eff = e[i]
			if p.eff > 1.5 && p.eff <= 100 {
				p.eff /= 100
			}
		}
		switch {
		case !(p.ratio > 1 && p.ratio < 10):
			return nil, &Error{name, s.line[i], fmt.Sprintf("an expansion ratio of %g is not possible", p.ratio)}
		case !(p.flow > 0):
			return nil, &Error{name, s.line[i], "the flow must be positive"}
		case p.eff <= 0 || p.eff > 0.95:
			return nil, &Error{name, s.line[i], fmt.Sprintf("an efficiency of %g is not possible", p.eff)}
		}
		pts = append(pts, p)
	}
	slices.SortStableFunc(pts, func(a, b point) int { return cmp.Compare(a.ratio, b.ratio) })
	var x, flow, ex, eff []float64
	for i := 0; i < len(pts); {
		j := i
		var r, w, e, ne float64
		for ; j < len(pts) && pts[j].ratio < pts[i].ratio*1.01; j++ {
			r += pts[j].ratio
			w += pts[j].flow
			if !math.IsNaN(pts[j].eff) {
				e += pts[j].eff
				ne++
			}
		}
		n := float64(j - i)
		x, flow = append(x, r/n), append(flow, w/n)
		if ne > 0 {
			ex, eff = append(ex, r/n), append(eff, e/ne)
		}
		i = j
	}
	if len(x) < 2 {
		return nil, &Error{name, 0, "one expansion ratio only; a swallowing line needs two or more"}
	}
	t.flow, t.eff = newCurve(x, flow), newCurve(ex, eff)
	t.first, t.last = x[0], x[len(x)-1]
	return t, nil
}

// Efficiency returns the efficiency, 0–1, at an expansion ratio, 1, held level beyond the
// points; NaN where the file tells none.
func (t *Turbine) Efficiency(ratio float64) float64 { return t.eff.at(ratio) }

// Flow returns the mass flow, kg/s, that the turbine passes at an expansion ratio, 1, from
// inlet temperature, K, and pressure, Pa absolute. Below the lowest ratio told it falls
// as an orifice does, above the highest it stays: a turbine chokes.
func (t *Turbine) Flow(ratio, temperature, pressure float64) float64 {
	if !(ratio > 1) {
		return 0
	}
	w := t.flow.at(ratio)
	if ratio < t.first {
		w *= nozzle.Function(1/ratio, compressor.GammaGas) / nozzle.Function(1/t.first, compressor.GammaGas)
	}
	return t.Reference.TrueFlow(w, temperature, pressure)
}

// Beyond says whether an expansion ratio, 1, lies above all points of the file.
func (t *Turbine) Beyond(ratio float64) bool { return ratio > t.last*1.001 }
