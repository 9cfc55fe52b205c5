// Package gastest is, for checks, the gas path of a turbocharged engine by its parts:
// intake pipes with charge cooler, throttle and plenum, cylinders, exhaust, one or two
// turbochargers with compressor, turbine and rotor, wastegate under control, bypass, nitrous
// and fuel. It is a mean-value model: what happens within a cycle is averaged.
//
// Where sim.Boost, which is fitted to logs and run by the thousand, lumps the path into
// two states, this one has six, all with a meaning that a part list gives. It tells what the
// lumping costs and what nitrous feeds the exhaust (see the tests and docs/car-model.md); no
// answer to the owner comes from it.
//
// States: pressure before the throttle, in the plenum and before the turbine, rotor
// speed, wastegate, and the integral of its control.
//
//	V/(R·T)·dp/dt = flow in − flow out          (each volume, at its temperature)
//	J·ω·dω/dt = η_m·P_turbine − P_compressor    (each rotor)
//
// Sources: L. Eriksson, L. Nielsen, "Modeling and Control of Engines and Drivelines"
// (Wiley 2014), chapters 7 and 8 (filling and emptying, compressor by ellipse, turbine,
// wastegate; from memory); J. B. Heywood (1988), appendix C (orifices), 2.10 (volumetric
// efficiency); J. Wahlström, L. Eriksson (2011) (compressor's ellipse). What holds only by
// common practice is marked at its constant.
//
// What it leaves out: pulses (a divided housing keeps a stated share of their work),
// waves in the runners, heat stored in walls, surge (the compressor's flow ends at zero).
package gastest
