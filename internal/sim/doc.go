// Package sim runs a car down a strip: a mean-value model of engine, boost,
// gearbox, tyre and body, integrated from the moment the launch clutch has
// closed to the line, with shifts, marks and the trap located as events.
//
// The state is kept small so that thousands of passes can be run: distance,
// speed, wheel speed of the driven tyres, three of the air path and the warmth of the
// charge cooler's core.
//
// # Boost
//
// The rotor's kinetic energy is carried as the compressor's head
// h = (p₂/p₁)^((γ−1)/γ) − 1, which by Euler's equation is proportional to the
// square of the rotor's speed while the work coefficient stays (checked on
// logged shaft speeds between 44 000 and 99 000 rpm: 4.0e-5 to 4.3e-5 of head per
// 1000 rpm squared). Its power balance is
//
//	dh/dt = k·[ m·(τ·g(π) − h·(1 + σ·(n−1))) − f·h^1.5 ] − z
//
// with m the engine's air flow in units of a reference flow, π the expansion
// ratio by the ellipse law π² = 1 + (κ·m)², g = 1 − π^(−(γₑ−1)/γₑ) the turbine's
// specific work, τ the ratio of turbine to compressor work at full expansion,
// σ the loss of compressor efficiency with engine speed n (of a reference), f bearing
// and windage loss and k the inverse of the rotor's inertia. The
// wastegate takes the excess z, which follows with a lag what would make
// dh/dt = c·(h_target − h). A control that has to find its wastegate position
// overshoots: after a rise its effective target stands over the set one by an amount
// that dies away once boost has come near (state five). With the throttle shut h decays at a rate of its own.
//
// # Engine
//
// Crank torque = V(ω)·q·(1 + κ·(q/q₀ − 1)) − L(ω), q the manifold pressure
// referred to a reference charge temperature. V, L come from the car's own log.
//
// # Tyre
//
// Longitudinal force by a magic formula in slip with peak grip, slip of the peak
// and shape; grip falls with load, and load moves with the force itself. The
// wheel with engine and gearbox behind it is a state of its own, so that
// wheelspin, flare and early shifts come out.
//
// Sources: mean-value models as in L. Eriksson, L. Nielsen,
// "Modeling and Control of Engines and Drivelines" (Wiley 2014) (turbo power
// balance, ellipse law for the turbine; from memory); H. B. Pacejka, "Tyre and Vehicle Dynamics"
// (magic formula); T. D. Gillespie, "Fundamentals of Vehicle Dynamics" (1992),
// chapter 2 (effective inertia, load transfer).
//
// # Clutch
//
// A pass begins where the launch clutch has closed; Runner.Launch runs the slip before
// that. A shift gives the engine's surplus momentum to the car at once; what the gearbox
// sees meanwhile is worked out beside it (Bite).
//
// What it leaves out: a clutch that slips in gear under load, pitch, tyre heat within the
// pass. docs/car-model.md has the formulas, the checks and what they measured.
package sim
