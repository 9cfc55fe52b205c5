package gastest

import (
	"traplight/internal/physics/compressor"
	"traplight/internal/sim"
)

// Lump reduces the path to the two states that whole passes are run with, at a point of
// work: rotor and turbine keep their figures, the intake's volumes become one filling time, the
// exhaust's (a few ms) is left out, the compressor's head per speed squared and both
// efficiencies are those of the point. Equal turbochargers
// in parallel count as one with their inertias and areas together.
func (p *Path) Lump(at Point) sim.Boost {
	n, t := p.count(), &p.Turbo
	head := sim.Head(p.Baro, at.Before)
	parts := Parts{
		Inertia: n * t.Inertia, WorkPerSpeed: head * compressor.CpAir * p.Ambient / (at.Rotor * at.Rotor),
		CompEff: head * p.Ambient / (at.Outlet - p.Ambient), TurbEff: t.efficiency(at.Rotor, at.Exhaust/p.Baro, at.ExhaustTemp),
		ExhaustTemp: at.ExhaustTemp, TurbineArea: n * t.Area, Ambient: p.Ambient, Barometer: p.Baro, Displacement: p.Engine.Displacement,
		Volumetric: p.Engine.Volume(sim.RefSpeed), Volume: p.Pipes + p.Plenum, FuelPerAir: 1 / (p.Engine.Stoich * p.Engine.Lambda),
	}
	return parts.Boost()
}
