package health

import (
	"math"

	"traplight/internal/car"
	"traplight/internal/pass"
)

// Load is what the engine was asked for, related to its size: what wears it.
type Load struct {
	CrankPower    float64 // W, the pass's peak
	PerCylinder   float64 // W
	PerVolume     float64 // W/m³ of displacement
	MeanEffective float64 // Pa, brake mean effective pressure 4πT/V at that peak (Heywood 1988, section 2.7)
}

// LoadOf gives the specific load of a pass; ok is false when the power or the
// engine's size is not known.
func LoadOf(p *pass.Pass, s *car.Sheet) (l Load, ok bool) {
	if p == nil || s == nil || p.Power == nil || s.Displacement == 0 || s.Cylinders == 0 || p.Power.EngineSpeed <= 0 {
		return l, false
	}
	l.CrankPower = p.Power.PeakWheel.Value / (1 - s.LossShare.Value)
	if c := p.Power.Crank; c != nil {
		l.CrankPower = c.Value
	}
	l.PerCylinder = l.CrankPower / float64(s.Cylinders)
	l.PerVolume = l.CrankPower / s.Displacement
	l.MeanEffective = 4 * math.Pi * l.CrankPower / p.Power.EngineSpeed / s.Displacement
	return l, l.CrankPower > 0
}
