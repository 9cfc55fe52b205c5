package health

import (
	"math"
	"slices"

	"traplight/internal/car"
	"traplight/internal/num/stats"
	"traplight/internal/pass"
	"traplight/internal/physics/compressor"
)

// Load is what the engine was asked for, related to its size: what wears it.
type Load struct {
	CrankPower    float64 `json:"crank_power_w"`               // W, the pass's peak
	CrankSD       float64 `json:"crank_power_sd_w"`            // W; 0 unknown
	PerCylinder   float64 `json:"power_per_cylinder_w"`        // W
	PerVolume     float64 `json:"power_per_displacement_wpm3"` // W/m³
	MeanEffective float64 `json:"mean_effective_pressure_pa"`  // Pa, brake mean effective pressure 4πT/V at that peak (Heywood 1988, section 2.7)
	EngineSpeed   float64 `json:"highest_engine_speed_rads"`   // rad/s, at full throttle
	PistonSpeed   float64 `json:"mean_piston_speed_mps"`       // m/s, 2·stroke·turns at that speed (Heywood 1988, section 2.2)
	StrokeGuessed bool    `json:"stroke_taken_equal_to_bore"`  // the sheet tells neither bore nor stroke
}

// LoadOf gives the specific load of a pass; ok is false when the power or the
// engine's size is not known.
func LoadOf(p *pass.Pass, s *car.Sheet) (l Load, ok bool) {
	if p == nil || s == nil || p.Power == nil || s.Displacement == 0 || s.Cylinders == 0 || !(p.Power.EngineSpeed > 0) {
		return l, false
	}
	l.CrankPower, l.CrankSD = p.Power.PeakWheel.Value/(1-s.LossShare.Value), p.Power.PeakWheel.SD/(1-s.LossShare.Value)
	if c := p.Power.Crank; c != nil {
		l.CrankPower, l.CrankSD = c.Value, c.SD
	}
	l.PerCylinder = l.CrankPower / float64(s.Cylinders)
	l.PerVolume = l.CrankPower / s.Displacement
	l.MeanEffective = compressor.MeanPressure(l.CrankPower/p.Power.EngineSpeed, s.Displacement)
	l.EngineSpeed = highestSpeed(p)
	var stroke float64
	stroke, l.StrokeGuessed = strokeOf(s)
	l.PistonSpeed = 2 * stroke * l.EngineSpeed / (2 * math.Pi)
	return l, l.CrankPower > 0
}

// highestSpeed is the highest engine speed at full throttle, rad/s, lone samples
// left out; that of peak power where the pass has no series.
func highestSpeed(p *pass.Pass) float64 {
	var w []float64
	if f := p.Force; f != nil {
		for i, full := range f.FullThrottle {
			if full && i < len(f.EngineSpeed) && f.EngineSpeed[i] > 0 {
				w = append(w, f.EngineSpeed[i])
			}
		}
	}
	if len(w) < 20 {
		return p.Power.EngineSpeed
	}
	slices.Sort(w)
	return w[len(w)-3]
}

// strokeOf is the stroke, m: the sheet's, else what displacement and bore leave, else
// that of a cylinder as long as wide.
func strokeOf(s *car.Sheet) (m float64, guessed bool) {
	switch {
	case s.Stroke > 0:
		return s.Stroke, false
	case s.Bore > 0:
		return 4 * s.Displacement / (float64(s.Cylinders) * math.Pi * s.Bore * s.Bore), false
	}
	return SquareBore(s.Displacement, s.Cylinders), true
}

// Loads is the specific load of the earlier passes.
type Loads struct {
	Passes  int  `json:"passes"`
	Middle  Load `json:"middle"`  // median of each figure
	Highest Load `json:"highest"` // of each figure, not all in one pass
}

// PastLoads sums up the loads that the earlier passes bore; nil when none is known.
func PastLoads(past []Summary) *Loads {
	out := &Loads{}
	figures := func(l *Load) []*float64 {
		return []*float64{&l.CrankPower, &l.PerCylinder, &l.PerVolume, &l.MeanEffective, &l.EngineSpeed, &l.PistonSpeed}
	}
	all := make([][]float64, len(figures(&Load{})))
	for i := range past {
		l := past[i].Load
		if l == nil {
			continue
		}
		out.Passes++
		out.Middle.StrokeGuessed, out.Highest.StrokeGuessed = l.StrokeGuessed, l.StrokeGuessed
		for k, v := range figures(l) {
			all[k] = append(all[k], *v)
		}
	}
	if out.Passes == 0 {
		return nil
	}
	middle, highest := figures(&out.Middle), figures(&out.Highest)
	for k, x := range all {
		*middle[k], *highest[k] = stats.Median(x), slices.Max(x)
	}
	return out
}
