// Package demo makes cars, passes and logs that never were, with the truth
// beside them, for the demonstration and for the benches.
//
// It is the independent physics against which the estimators, the health
// screen, the forecasts and the plans are tested. So it shares no code with
// them (it imports xrand and the standard library only) and is built
// differently on purpose: brush tyres with a sliding-speed dependent friction,
// carcass relaxation and tread heat on a patchy strip; a driveline of four
// inertias with shaft twist, a slipping, heating clutch and dog or synchromesh
// engagement; an engine fed by three gas volumes, a compressor with the
// inertia of its air column, a rotor, a wastegate held by spring, solenoid and
// a controller that overshoots; a fuel rail, charge cooler, fluids and sensors
// with their lags; a driver who scatters; gusts frozen in the air.
//
// All of it is invented: no figure here describes a real car. The tyre's brush
// form, the nozzle and cone laws, and the energy release of fuels are
// textbook; their sources stand in docs/demo.md.
//
// Everything is deterministic: the same car, options and seed give the same
// bytes. Inside the package all values are SI (rad/s for speeds of rotation),
// pressures absolute unless a name or comment says gauge; unexported fields
// follow that rule without repeating it.
package demo
