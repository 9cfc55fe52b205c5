package report

import (
	"traplight/internal/physics/air"
	"traplight/internal/quantity"
)

func (p *printer) power(s *Pass) {
	w := s.Power
	if w == nil || w.PeakWheelW == nil {
		return
	}
	text := "Peak power " + p.with(quantity.DimPower, w.PeakWheelW, w.PeakWheelSDW) + " at the wheels"
	if w.EngineSpeed != nil {
		text += " at " + p.world.Rotation(*w.EngineSpeed)
	}
	if w.Gear != nil {
		text += " in " + ordinal(*w.Gear)
	}
	if w.CrankW != nil {
		text += "; at the crank " + p.with(quantity.DimPower, w.CrankW, w.CrankSDW) + " from the car's motion"
	}
	if w.ByFuelW != nil {
		text += "; at the crank " + p.with(quantity.DimPower, w.ByFuelW, w.ByFuelSDW) + " from the fuel burnt"
	}
	p.say("%s.", text)
	if w.BackPressureRatio != nil {
		p.say("Back pressure there: %.2f times the manifold pressure, both absolute.", *w.BackPressureRatio)
	}
}

// altitude is the density altitude as closely as the density is known.
func (p *printer) altitude(a *Air) string {
	sd := 0.0
	if a.DensitySD != nil && *a.Density > 0 {
		sd = air.AltitudeSD(*a.DensitySD / *a.Density)
	}
	return p.world.Rounded(quantity.DimLength, *a.DensityAltitude, sd)
}

func (p *printer) air(s *Pass) {
	a := s.Air
	if a == nil || a.Density == nil {
		return
	}
	text := "Air " + p.with(quantity.DimDensity, a.Density, a.DensitySD)
	if a.DensityAltitude != nil {
		text += ", as at " + p.altitude(a) + " in the standard atmosphere"
	}
	if a.Source != "" {
		text += " (" + airSource(a.Source) + ")"
	}
	p.say("%s.", text)
	if a.Correction != nil {
		p.say("SAE J1349 would correct by %.3f; shown for comparison, it overstates for a boost-controlled engine.", *a.Correction)
	}
}

func airSource(s string) string {
	switch s {
	case "notes":
		return "from the notes"
	case "log":
		return "from the log"
	}
	return s
}
