package turbomap

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"traplight/internal/physics/compressor"
	"traplight/internal/quantity"
)

// Point is one digitised point of a compressor map.
type Point struct {
	Speed      float64 // rad/s, corrected
	Flow       float64 // kg/s, corrected
	Ratio      float64 // 1, pressure ratio, total to total
	Efficiency float64 // 0–1, isentropic; NaN where the map does not tell
}

// Compressor is a digitised compressor map.
type Compressor struct {
	Name      string
	Reference compressor.Reference
	Points    []Point // by speed, then by flow

	// Speeds are the speed lines, rad/s corrected, from the slowest.
	Speeds []float64
	// Told says what was assumed on reading, a sentence each.
	Told []string

	surge, choke []float64   // kg/s by line
	nodes        []lineShape // by line
	grid         []slice     // by share of the way from surge to choke
	flowLimit    [2]curve    // surge and choke flow over speed
	hasEff       bool
}

// lineShape holds ratio and efficiency over the share along one line.
type lineShape struct{ ratio, eff curve }

// slice holds ratio and efficiency over speed at one share.
type slice struct{ ratio, eff curve }

const shares = 41 // slices from surge to choke

var compressorRoles = []role{
	{name: "corrected speed", words: []string{"speed", "rpm", "drehzahl"}, dims: []quantity.Dimension{quantity.DimRotation, quantity.DimSpeed}, need: true},
	{name: "corrected flow", words: []string{"flow", "durchsatz", "debit"}, dims: []quantity.Dimension{quantity.DimMassFlow, quantity.DimVolumeFlow}, need: true},
	{name: "efficiency", words: []string{"eff", "eta", "wirkungsgrad"}, dims: []quantity.Dimension{quantity.DimNumber, quantity.DimShare}},
	{name: "pressure ratio", words: []string{"ratio", "pr"}, dims: []quantity.Dimension{quantity.DimNumber, quantity.DimShare}, need: true},
}

// ReadCompressor reads a map from CSV text; name serves in messages. Errors are *Error
// with the line.
//
// A volume flow is turned into a mass flow with the density of the reference state.
// Without reference lines the state of SAE J1826 is taken and told.
func ReadCompressor(name string, in io.Reader) (*Compressor, error) {
	s, err := readSheet(name, in, compressorRoles)
	if err != nil {
		return nil, err
	}
	c := &Compressor{Name: name, Reference: compressor.ReferenceJ1826}
	t, haveT := s.settings["reference_temperature"]
	p, haveP := s.settings["reference_pressure"]
	switch {
	case haveT != haveP:
		return nil, &Error{name, 0, "state both # reference_temperature_k and # reference_pressure_kpa, or neither"}
	case haveT:
		if t < 250 || t > 330 || p < 80e3 || p > 110e3 {
			return nil, &Error{name, 0, fmt.Sprintf("a reference state of %.1f K and %.1f kPa is not one of a compressor map: is a unit wrong?", t, p/1e3)}
		}
		c.Reference = compressor.Reference{Temperature: t, Pressure: p}
	default:
		c.Told = append(c.Told, fmt.Sprintf("%s states no reference; 298 K and 100 kPa (SAE J1826) are taken. Were it 302.6 K and 96.17 kPa, another usual one, the map would pass 5 %% more air.", name))
	}
	flows, speeds := s.column["corrected flow"], s.column["corrected speed"]
	eff := s.column["efficiency"]
	if d, ok := s.settings["wheel_diameter"]; ok && d > 0.5 {
		return nil, &Error{name, 0, fmt.Sprintf("a wheel of %.2f m is none of a turbo's", d)}
	}
	for i := range flows {
		pt := Point{Speed: speeds[i], Flow: flows[i], Ratio: s.column["pressure ratio"][i], Efficiency: math.NaN()}
		if len(eff) > 0 {
			pt.Efficiency = eff[i]
			if pt.Efficiency > 1.5 && pt.Efficiency <= 100 {
				pt.Efficiency /= 100
			}
		}
		if text := pt.fault(); text != "" {
			return nil, &Error{name, s.line[i], text}
		}
		c.Points = append(c.Points, pt)
	}
	return c, c.build(s)
}

func (p Point) fault() string {
	switch {
	case !(p.Speed > 0):
		return "the speed must be positive"
	case !(p.Flow > 0):
		return "the flow must be positive"
	case !(p.Ratio >= 0.9 && p.Ratio < 12):
		return fmt.Sprintf("a pressure ratio of %g is not possible", p.Ratio)
	case p.Efficiency <= 0 || p.Efficiency > 0.95:
		return fmt.Sprintf("an efficiency of %g is not possible", p.Efficiency)
	}
	return ""
}

// NewCompressor makes a map from points; the reference must be stated. The points are
// copied. Points that make no map are an error that says which and why.
func NewCompressor(name string, ref compressor.Reference, points []Point) (*Compressor, error) {
	c := &Compressor{Name: name, Reference: ref, Points: slices.Clone(points)}
	for _, p := range points {
		if text := p.fault(); text != "" {
			return nil, &Error{name, 0, text}
		}
	}
	return c, c.build(nil)
}

// build sorts the points into lines and makes the interpolants.
func (c *Compressor) build(s *sheet) error {
	if s != nil {
		if err := c.units(s); err != nil {
			return err
		}
	}
	slices.SortStableFunc(c.Points, func(a, b Point) int {
		return cmp.Or(cmp.Compare(a.Speed, b.Speed), cmp.Compare(a.Flow, b.Flow))
	})
	for i := 0; i < len(c.Points); {
		j := i + 1
		for j < len(c.Points) && c.Points[j].Speed < c.Points[i].Speed*1.002 {
			c.Points[j].Speed = c.Points[i].Speed
			j++
		}
		line := c.Points[i:j]
		slices.SortStableFunc(line, func(a, b Point) int { return cmp.Compare(a.Flow, b.Flow) })
		if len(line) < 2 || line[len(line)-1].Flow <= line[0].Flow {
			return &Error{c.Name, 0, fmt.Sprintf("the line of %.0f rpm has one point; it needs two or more, from surge to choke", line[0].Speed*30/math.Pi)}
		}
		for k := 1; k < len(line); k++ {
			if line[k].Flow == line[k-1].Flow {
				return &Error{c.Name, 0, fmt.Sprintf("the line of %.0f rpm has two points at one flow", line[0].Speed*30/math.Pi)}
			}
		}
		c.addLine(line)
		i = j
	}
	if len(c.Speeds) < 2 {
		return &Error{c.Name, 0, "there is one speed line only; a map needs two or more"}
	}
	c.flowLimit = [2]curve{newCurve(c.Speeds, c.surge), newCurve(c.Speeds, c.choke)}
	for k := range shares {
		u := float64(k) / (shares - 1)
		ratio, eff := make([]float64, len(c.Speeds)), make([]float64, len(c.Speeds))
		for l, n := range c.nodes {
			ratio[l], eff[l] = n.ratio.at(u), n.eff.at(u)
		}
		c.grid = append(c.grid, slice{newCurve(c.Speeds, ratio), newCurve(c.Speeds, eff)})
	}
	return nil
}

// units turns tip speeds into speeds of rotation and volume flows into mass flows.
func (c *Compressor) units(s *sheet) error {
	if s.tipSpeed {
		d := s.settings["wheel_diameter"]
		if !(d > 0) {
			return &Error{c.Name, 0, "speeds in m/s are those of the wheel's rim; state # wheel_diameter_mm"}
		}
		for i := range c.Points {
			c.Points[i].Speed /= d / 2
		}
	}
	if s.volumeFlow {
		rho := c.Reference.Pressure / (compressor.GasAir * c.Reference.Temperature)
		for i := range c.Points {
			c.Points[i].Flow *= rho
		}
		c.Told = append(c.Told, fmt.Sprintf("%s states volume flows; they are taken at the density of the reference, %.3f kg/m³.", c.Name, rho))
	}
	return nil
}

func (c *Compressor) addLine(line []Point) {
	lo, hi := line[0].Flow, line[len(line)-1].Flow
	var u, r, ue, e []float64
	for _, p := range line {
		x := (p.Flow - lo) / (hi - lo)
		u, r = append(u, x), append(r, p.Ratio)
		if !math.IsNaN(p.Efficiency) {
			ue, e = append(ue, x), append(e, p.Efficiency)
		}
	}
	c.hasEff = c.hasEff || len(e) > 0
	c.Speeds = append(c.Speeds, line[0].Speed)
	c.surge, c.choke = append(c.surge, lo), append(c.choke, hi)
	c.nodes = append(c.nodes, lineShape{newCurve(u, r), newCurve(ue, e)})
}

// HasEfficiency says whether the map tells efficiencies.
func (c *Compressor) HasEfficiency() bool { return c.hasEff }

// Describe says in one sentence what the map is.
func (c *Compressor) Describe() string {
	what := "no efficiency"
	if c.hasEff {
		what = "with efficiency"
	}
	n := len(c.Speeds)
	return fmt.Sprintf("%s: %d points on %d speed lines, %.0f to %.0f rpm, %s, referred to %.1f K and %.1f kPa",
		strings.TrimSuffix(c.Name, ".csv"), len(c.Points), n, c.Speeds[0]*30/math.Pi, c.Speeds[n-1]*30/math.Pi, what, c.Reference.Temperature, c.Reference.Pressure/1e3)
}
