package plan

import (
	"math"
	"slices"

	"traplight/internal/forecast"
	"traplight/internal/sim"
)

// heat is the gas before the turbine at full throttle as the car's own logs show it,
// through sensors that lag:
//
//	gas = a + b·ln(p/p₀) + c·(n/n₀ − 1) + d·(T − T₀) + e·low(p) + f·∫m·h dt + g·hot(T) + k·nitrous
//	d(reading)/dt = (gas − reading)/τ   (heat transfer to a sheathed couple: first order)
//
// Fuel set free per mass of gas hardly changes at full throttle; what does is the share
// lost to the walls (heat transfer goes with flow to the power 0.8, so the loss per mass
// falls), the charge's own temperature T, which the cooler's core raises by the heat it
// has taken along the pass, and the ignition, which is drawn back for pressure, for hot
// charge, and for knock where the charge is very hot. For a given τ all is linear and fitted with priors; τ is
// averaged over by its posterior.
type heat struct {
	known bool
	theta [heatTerms]float64            // K
	cov   [heatTerms][heatTerms]float64 // K²
	tau   float64                       // s, mean
	top   [heatGears]float64            // by gear, ln of the pressure over p₀ up to which it was read
	slow  float64                       // 1, engine speed over sim.RefSpeed, less 1, down to which it was read
	sigma float64                       // K, of the readings about the fit
	// engine is that by which the charge was worked out for the fit. Another member's charge is
	// hotter or cooler by some kelvin in the passes of the record too, under the same reading.
	engine *sim.Engine
}

// The terms: those of the law, and what each gear has of its own, so that what was read
// in a gear repeats there and only changes are in doubt.
const (
	heatLaw   = 8
	heatGears = 10
	heatTerms = heatLaw + heatGears
)

// Reference state of the terms.
const (
	heatPressure = 250e3 // Pa absolute
	heatLow      = 190e3 // Pa absolute, below which mixture and ignition are another matter
	heatCharge   = 330.0 // K
	heatKnock    = 345.0 // K of charge, above which knock draws the ignition back
)

// Priors of the terms. Pressure, within what was read: some 250 K of the gas are lost to
// the walls, by flow to the power −0.2, so 50 K per e-fold, and the ignition drawn back.
// Charge: itself, and the ignition drawn back 0.1° to 0.2° a kelvin. Common practice, no
// source, where not said otherwise.
var heatPrior = [heatLaw]struct{ mean, sd float64 }{
	{1200, 200}, // K at the reference state
	{225, 90},   // K per e-fold of pressure: the walls, and heatRetard at 250 kPa
	{0, 150},    // K per engine speed's share of 7000 rpm
	{1.5, 0.8},  // K per K of charge
	{0, 100},    // K per e-fold below heatLow
	{3, 4},      // K per s of reference flow at head 1
	{2.5, 2},    // K per K of charge above heatKnock
	{nitrousHeat, nitrousHeatSD},
}

const (
	lagPrior, lagSD = 0.8, 0.7 // s, of a sheathed couple in exhaust gas; 1, of its logarithm
	// Where the log shows the lag with the throttle shut: heat comes to a sheath with about the
	// square root of the flow, and at full throttle five to ten times the gas passes it; what
	// the sheath itself delays stays. So from a third of it to all of it.
	lagFaster, lagFasterSD = 0.5, 0.4 // of ln of the lag
	lagSlower              = 0.1      // of ln, by which it may be slower even so
	heatSensor             = 4.3      // K: IEC 60584-1 class 2 allows 0.75 % of 1000 °C, taken as an even spread (from memory)
	heatThin               = 25.0     // samples that share one error: half a second
	heatNoise              = 3.0      // K, the least
	heatGear               = 6.0      // K, of one gear against the law: mixture and ignition over engine speed
	heatRepeat             = 5.0      // K from pass to pass
	heatMisfit             = 0.6      // 1, of the readings' spread about the fit, what does not average out
	// Beyond the pressure read in a gear: the ignition drawn back by a degree for every 7 to
	// 14 kPa, 4 to 10 K a degree; and the walls.
	heatRetard, heatRetardSD = 0.7e-3, 0.35e-3 // K/Pa
	heatWalls                = 50.0            // K per e-fold
	heatKeep                 = 0.1             // s between points of a pass that are looked at
	// Below the engine speeds that were read: gas gives the walls more of its heat there, some 10 K for
	// 1000 rpm, so that a law that rises downwards, as an ignition map can make it, is not carried on.
	heatSlowSD = 70.0 // K per engine speed's share of sim.RefSpeed
)

// heatState is what the gas depends on at one moment.
type heatState struct {
	pressure float64 // Pa absolute
	speed    float64 // rad/s, engine
	charge   float64 // K
	// barometer, Pa absolute, air, K, and engine tell the charge at other pressures.
	barometer, air float64
	engine         *sim.Engine
	soak           float64 // s, reference flow times head, summed along the pass
	gear           int     // from 0
	fed            bool    // nitrous is on
}

func (q *heatState) row() [heatTerms]float64 {
	x := [heatTerms]float64{1, math.Log(q.pressure / heatPressure), q.speed/sim.RefSpeed - 1, q.charge - heatCharge,
		max(0, math.Log(heatLow/q.pressure)), q.soak, max(0, q.charge-heatKnock), 0}
	if q.fed {
		x[heatLaw-1] = 1
	}
	if q.gear >= 0 && q.gear < heatGears {
		x[heatLaw+q.gear] = 1
	}
	return x
}

// move sets the state to a pressure, Pa absolute, and an engine speed, rad/s, in air of
// temperature, K, and barometer, Pa absolute, dt, s, later.
func (q *heatState) move(e *sim.Engine, air *sim.Air, pressure, speed, dt float64) {
	h := max(0, sim.Head(air.Pressure, pressure))
	q.pressure, q.speed, q.charge = pressure, speed, e.LateCharge(air.Temperature, h)
	q.barometer, q.air, q.engine = air.Pressure, air.Temperature, e
	q.soak += dt * sim.Flow(speed, pressure, q.charge) * h
}

// below is the state at no more than ln of the pressure over heatPressure, top, and with the
// charge of that pressure.
func (q *heatState) below(top float64) heatState {
	out := *q
	if p := heatPressure * math.Exp(top); p < q.pressure {
		out.pressure = p
		if q.engine != nil {
			out.charge = q.engine.LateCharge(q.air, max(0, sim.Head(q.barometer, p)))
		}
	}
	return out
}

// at is the gas, K, at a state, and how far off that may be, K. Beyond the pressure that
// was read in the gear two ways tell the rise, and each counts by its doubt: practice from
// there on, and the law as other gears show it at that pressure, which is doubted by what
// two gears have of their own. Beyond what any gear read there is practice alone. Practice's
// rise is that of the whole engine: the charge, which gets hotter with the pressure, is in it,
// so that the law's charge stays that of the pressure read. An engine speed below those read
// counts as the lowest of them.
func (h *heat) at(q *heatState) (value, sd float64) {
	own := h.top[max(0, min(q.gear, heatGears-1))]
	all := slices.Max(h.top[:])
	beyond := max(0, math.Log(q.pressure/heatPressure)-max(all, own))
	in := q.below(max(all, own))
	read := in.below(own)
	x, low := in.row(), read.row()
	slower := max(0, h.slow-x[2])
	x[2] += slower
	between := max(0, x[1]-own)
	law := 0.0
	for _, i := range [...]int{1, 3, 4, 6} {
		law += h.theta[i] * (x[i] - low[i])
	}
	v := 0.0
	for i := range x {
		value += h.theta[i] * x[i]
		for j := range x {
			v += x[i] * h.cov[i][j] * x[j]
		}
	}
	doubt := 0.0
	if between > 0 {
		rise := heatPressure * math.Exp(own) * math.Expm1(between) // Pa
		a, b := 1/sq(heatRetardSD*rise), 1/(2*heatGear*heatGear)
		value += a / (a + b) * (heatRetard*rise + heatWalls*between - law)
		doubt = 1 / (a + b)
	}
	rise := heatPressure * math.Exp(x[1]) * math.Expm1(beyond) // Pa
	value += heatRetard*rise + heatWalls*beyond
	sd, misfit := heatRetardSD*rise, heatMisfit*h.sigma
	return value, math.Sqrt(max(0, v) + doubt + heatSensor*heatSensor + heatRepeat*heatRepeat + misfit*misfit + sd*sd + sq(heatSlowSD*slower))
}

func sq(x float64) float64 { return x * x }

// nearTop is the share of a gear's highest pressure, 1, from which on the gas is looked
// at: the hottest is where boost has come up.
const nearTop = 0.85

// hottest is the highest gas temperature, K, by gear (from 0) of a simulated pass, and its
// spread, K; NaN in gears that were not used. over is by how much boost exceeds the
// model's, Pa by gear.
func (h *heat) hottest(car *sim.Car, n *forecast.Next, res *sim.Result, over []float64) (value, sd []float64) {
	gears := len(car.Ratios)
	value, sd = make([]float64, gears), make([]float64, gears)
	top := make([]float64, gears)
	for g := range value {
		value[g] = math.NaN()
	}
	for _, q := range res.Points {
		top[q.Gear-1] = max(top[q.Gear-1], q.Boost+n.Air.Pressure+over[q.Gear-1])
	}
	var st heatState
	st.gear = -1
	ramped := n.TargetRise != nil // where boost falls within a gear its end may be the hottest
	last := math.NaN()
	for i := range res.Points {
		q := &res.Points[i]
		dt := 0.0
		if !math.IsNaN(last) {
			dt = q.T - last
		}
		last = q.T
		g := q.Gear - 1
		pressure := q.Boost + n.Air.Pressure + over[g]
		st.move(h.engine, &n.Air, pressure, q.EngineSpeed, dt)
		if pressure < nearTop*top[g] && !(ramped && st.gear == g) {
			continue
		}
		st.gear = g
		st.fed = n.Nitrous && car.Nitrous.In(q.Gear, res.Gears[0].Gear) && q.Boost < n.Target[min(g, len(n.Target)-1)]-car.Nitrous.Below
		if v, s := h.at(&st); !(v <= value[g]) {
			value[g], sd[g] = v, s
		}
	}
	return value, sd
}

// keep is how far apart points of a pass are looked at, s; 0 where nothing asks for them.
func (s *search) keep() float64 {
	if s.heat.known && s.m.Sheet.Limits.MaxExhaustTemp > 0 {
		return heatKeep
	}
	return 0
}
