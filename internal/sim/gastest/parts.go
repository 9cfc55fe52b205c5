package gastest

import "traplight/internal/physics/compressor/compressortest"

// Engine is the piston engine and what it burns.
type Engine struct {
	Displacement float64 // m³
	Volumetric   float64 // 1, volumetric efficiency at Best speed
	Best         float64 // rad/s, of the best volumetric efficiency
	Width        float64 // rad/s from Best at which a quarter of it is lost; 0: the same everywhere
	Stoich       float64 // kg of air per kg of fuel
	LHV          float64 // J/kg, of the fuel
	Latent       float64 // J/kg, heat that the fuel takes to evaporate
	Evaporated   float64 // 0–1, share of the fuel that evaporates before the valves close
	Lambda       float64 // 1
	Late         float64 // rad, of ignition after the best spark
	Indicated    float64 // 0–1, indicated efficiency of the heat set free, at best mixture and spark
	Friction     float64 // Pa, mean pressure of friction at standstill
	FrictionRise float64 // Pa per rad/s
	ToExhaust    float64 // 0–1, share of the heat set free that leaves with the exhaust
}

// Turbo is one turbocharger.
type Turbo struct {
	Inertia    float64 // kg·m², of the rotor
	Compressor compressortest.Ellipse
	Area       float64 // m², effective flow area of the turbine, both sides of a divided housing together
	Wheel      float64 // m, diameter of the turbine's wheel
	Turbine    float64 // 0–1, highest efficiency of the turbine
	BladeRatio float64 // 1, blade-speed ratio at which it lies
	Mechanical float64 // 0–1, efficiency of the shaft; 0 means 0.97
	Drag       float64 // N·m per rad/s, of the bearings
	Divided    bool    // housing in two halves, fed by cylinders that do not disturb each other
}

// Path is the gas path: engine, Count equal turbochargers in parallel, volumes and valves.
type Path struct {
	Engine   Engine
	Turbo    Turbo
	Count    int     // of turbochargers; 0 means 1
	Pipes    float64 // m³, from the compressor to the throttle with the cooler
	Plenum   float64 // m³, from the throttle to the valves
	Manifold float64 // m³, from the valves to the turbine
	Throttle float64 // m², effective area wide open
	Bypass   float64 // m², effective area of the valve that opens when the throttle is shut
	Cooler   float64 // 0–1, effectiveness of the charge cooler
	Coolant  float64 // K, of air or water at the cooler; 0 means the ambient
	Core     float64 // Pa·s²·K⁻¹·kg⁻²·Pa, pressure lost in the cooler times pressure per flow² and temperature
	Gate     Gate
	Nitrous  float64 // kg/s while it is open
	// NitrousRetard is by how much the ignition is drawn back meanwhile, rad.
	NitrousRetard float64
	// NitrousAfter is the share, 0–1, of the heat of nitrous (of the fuel that its oxygen
	// burns and of its decomposition) that is set free behind the valves.
	NitrousAfter float64
	Ambient      float64 // K
	Baro         float64 // Pa absolute
}

// Gate is the wastegate and its control.
type Gate struct {
	Area     float64 // m², effective, wide open
	Lag      float64 // s
	Gain     float64 // 1/Pa, share of opening by boost over target
	Integral float64 // 1/(Pa·s)
	Spring   float64 // Pa gauge before the turbine at which it is pushed open a tenth; 0 never
}

// Input is what driver and electronics ask for.
type Input struct {
	Speed    float64 // rad/s, engine
	Throttle float64 // 0–1
	Target   float64 // Pa absolute, in the plenum
	Nitrous  bool
	Cut      bool // no combustion
}

func (p *Path) count() float64 {
	if p.Count < 1 {
		return 1
	}
	return float64(p.Count)
}

// Volume is the engine's volumetric efficiency, 1, at engine speed, rad/s.
func (e *Engine) Volume(speed float64) float64 {
	if e.Width <= 0 {
		return e.Volumetric
	}
	u := (speed - e.Best) / e.Width
	return e.Volumetric * max(0.4, 1-0.25*u*u)
}
