package gastest

import (
	"math"

	"traplight/internal/physics/compressor"
	"traplight/internal/sim"
)

// Parts is a turbocharger and engine by their physical figures.
type Parts struct {
	Inertia      float64 // kg·m², rotor
	WorkPerSpeed float64 // J/kg per (rad/s)²: compressor's isentropic work over rotor speed squared (ψ·R²)
	CompEff      float64 // 0–1
	TurbEff      float64 // 0–1
	ExhaustTemp  float64 // K, turbine inlet
	TurbineArea  float64 // m², effective flow area of the turbine
	Ambient      float64 // K
	Barometer    float64 // Pa absolute
	Displacement float64 // m³
	Volumetric   float64 // 1, volumetric efficiency
	FuelPerAir   float64 // 1, mass ratio
	Volume       float64 // m³, of pipes, cooler and plenum; 0 leaves their filling out
}

const (
	airCp, exhCp = 1005.0, 1150.0 // J/(kg·K)
	exhR         = 287.0          // J/(kg·K)
)

// Boost maps the parts to the reduced model: rotor energy to head, the turbine's
// swallowing to the ellipse law (Stodola), which is made to pass the flow of a
// choked nozzle of γ = 1.33 (Heywood, appendix C) at an expansion ratio of 2;
// below it the ellipse passes less than a single nozzle, as radial turbines do.
func (p Parts) Boost() sim.Boost {
	cpT := airCp * p.Ambient
	// h·cp·T = ψR²·ω²  and  E = J·ω²/2, so dh/dE = 2·ψR²/(J·cp·T)
	perEnergy := 2 * p.WorkPerSpeed / (p.Inertia * cpT)
	flow := sim.ReferenceFlow(p.Volumetric, p.Displacement)
	choked := 0.67263 / math.Sqrt(exhR) / math.Sqrt(1-0.25) // kg·√K/(s·m²·Pa), γ = 1.33
	return sim.Boost{
		Rate:    perEnergy * flow * cpT / p.CompEff,
		Work:    p.TurbEff * p.CompEff * exhCp * p.ExhaustTemp * (1 + p.FuelPerAir) / cpT,
		Fill:    p.Volume * sim.RefPressure / (compressor.GasAir * sim.RefCharge * flow),
		Swallow: flow * (1 + p.FuelPerAir) * math.Sqrt(p.ExhaustTemp) / (choked * p.TurbineArea * p.Barometer),
	}
}
