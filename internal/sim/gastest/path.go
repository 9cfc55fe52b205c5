package gastest

import (
	"errors"
	"math"

	"traplight/internal/num/ode"
	"traplight/internal/physics/compressor"
	"traplight/internal/physics/fuel"
	"traplight/internal/physics/nozzle"
)

// Common practice, no source.
const (
	pulses        = 0.04  // 1, of turbine work that pulses add in an undivided housing
	pulsesDivided = 0.12  // 1, in a divided one
	nitrousChill  = 290e3 // J/kg that liquid from a bottle at 20 °C takes to reach the charge's temperature
	surgeFlow     = 0.3   // 1, of the flow at pressure ratio 1, below which the compressor's power falls no further
	// kg of air that a kg of nitrous takes the place of: by molecules, not by mass
	nitrousSpace = 28.96e-3 / fuel.NitrousMolarMass
)

// State is where the gas path stands.
type State struct {
	Before  float64 // Pa absolute, before the throttle
	Plenum  float64 // Pa absolute
	Exhaust float64 // Pa absolute, before the turbine
	Rotor   float64 // rad/s
	Gate    float64 // 0–1
	Integ   float64 // 1, of the wastegate's control
}

// Flows is what goes on in a state.
type Flows struct {
	Compressor  float64 // kg/s, all of them together
	Throttle    float64 // kg/s
	Air         float64 // kg/s into the cylinders
	Fuel        float64 // kg/s
	Nitrous     float64 // kg/s
	Turbine     float64 // kg/s, all of them together
	Wastegate   float64 // kg/s
	Bypass      float64 // kg/s
	Outlet      float64 // K, behind the compressor
	Charge      float64 // K, in the plenum
	ExhaustTemp float64 // K, before the turbine
	CompPower   float64 // W, all of them together
	TurbPower   float64 // W
	Indicated   float64 // N·m, before friction and pumping
	Torque      float64 // N·m at the crank
	Heat        float64 // W set free in the cylinders
}

// through is the orifice law, kg/s, made linear within 3 % of equal pressures, where its
// slope would run away; backwards when the pressures are the other way round.
func through(area, up, down, tUp, tDown, gamma, gas float64) float64 {
	if down > up {
		return -through(area, down, up, tDown, tUp, gamma, gas)
	}
	const edge = 0.97
	if r := down / up; r > edge {
		return nozzle.MassFlow(area, up, edge*up, tUp, gamma, gas) * (1 - r) / (1 - edge)
	}
	return nozzle.MassFlow(area, up, down, tUp, gamma, gas)
}

// Flows works out a state's flows, temperatures, powers and torque.
func (p *Path) Flows(s State, in Input) Flows {
	var f Flows
	n, e, t := p.count(), &p.Engine, &p.Turbo
	// compressor
	ratio := max(1, s.Before/p.Baro)
	w := max(s.Rotor, 1)
	one := max(0, t.Compressor.Flow(w, ratio, p.Ambient, p.Baro))
	eta := t.Compressor.Efficiency(one, ratio)
	f.Compressor = n * one
	f.Outlet = compressor.Outlet(p.Ambient, ratio, max(0.3, eta), compressor.GammaAir)
	// beyond surge the wheel stirs what it cannot deliver
	stirred := surgeFlow * t.Compressor.Flow(w, 1, p.Ambient, p.Baro)
	f.CompPower = n * max(one, stirred) * compressor.CpAir * (f.Outlet - p.Ambient)
	// cooler and throttle
	cold := p.Coolant
	if cold <= 0 {
		cold = p.Ambient
	}
	cool := compressor.Cooled(f.Outlet, cold, p.Cooler)
	lost := p.Core * f.Compressor * f.Compressor * cool / max(s.Before, 1)
	open := p.Throttle * max(0.005, in.Throttle)
	f.Throttle = through(open, max(0.5*s.Before, s.Before-lost), s.Plenum, cool, cool, compressor.GammaAir, compressor.GasAir)
	if s.Before > p.Baro && in.Throttle < 0.3 {
		f.Bypass = through(p.Bypass*(0.3-in.Throttle)/0.3, s.Before, p.Baro, cool, p.Ambient, compressor.GammaAir, compressor.GasAir)
	}
	// cylinders: what is swallowed is air, nitrous and what has evaporated; with nitrous the
	// ignition is drawn back
	spark := e.Late
	if in.Nitrous {
		f.Nitrous = p.Nitrous
		spark += p.NitrousRetard
	}
	all := compressor.AirFlow(e.Volume(in.Speed), s.Plenum, e.Displacement, max(in.Speed, 1), cool)
	f.Charge = cool
	if !in.Cut && e.Lambda > 0 && all > 0 {
		oxygen := max(0, all-nitrousSpace*f.Nitrous)*fuel.AirOxygen + f.Nitrous*fuel.NitrousOxygen
		f.Fuel = oxygen / fuel.AirOxygen / (e.Stoich * e.Lambda)
		f.Charge -= (e.Evaporated*f.Fuel*e.Latent + f.Nitrous*nitrousChill) / (all * compressor.CpAir)
		f.Charge = max(220, f.Charge)
	}
	all *= cool / f.Charge
	f.Air = max(0, all-nitrousSpace*f.Nitrous)
	oxygen := f.Air*fuel.AirOxygen + f.Nitrous*fuel.NitrousOxygen
	gone := f.Air + f.Nitrous
	f.ExhaustTemp = f.Charge + 60
	if !in.Cut && e.Lambda > 0 {
		f.Fuel = oxygen / fuel.AirOxygen / (e.Stoich * e.Lambda)
		gone += f.Fuel
		burnt := e.LHV * released(e.Lambda)
		f.Heat = f.Fuel*burnt + f.Nitrous*fuel.NitrousHeat
		fed := f.Nitrous * fuel.NitrousOxygen / fuel.AirOxygen / (e.Stoich * e.Lambda) // kg/s of fuel that its oxygen burns
		work := f.Heat - p.NitrousAfter*(fed*burnt+f.Nitrous*fuel.NitrousHeat)
		share := workByMixture(e.Lambda) * workBySpark(spark)
		f.Indicated = e.Indicated * share * work / max(in.Speed, 50)
		late := (1 - e.ToExhaust) * (f.Heat - work)
		f.ExhaustTemp = f.Charge + (e.ToExhaust*f.Heat+late)/max(gone*compressor.CpExhaust, 1e-9) + heatBySpark(spark)
	}
	f.Torque = f.Indicated - (e.Friction+e.FrictionRise*in.Speed+s.Exhaust-s.Plenum)*e.Displacement/(4*math.Pi)
	// turbine and wastegate
	back := p.Baro
	f.Turbine = through(n*t.Area, s.Exhaust, back, f.ExhaustTemp, f.ExhaustTemp, compressor.GammaGas, compressor.GasExhaust)
	f.Wastegate = through(p.Gate.Area*min(1, max(0, s.Gate)), s.Exhaust, back, f.ExhaustTemp, f.ExhaustTemp, compressor.GammaGas, compressor.GasExhaust)
	if expansion := s.Exhaust / back; expansion > 1 && f.Turbine > 0 {
		f.TurbPower = f.Turbine * falling(expansion, f.ExhaustTemp) * t.efficiency(w, expansion, f.ExhaustTemp)
	}
	return f
}

// falling is the work, J/kg, of an ideal expansion of exhaust.
func falling(expansion, temp float64) float64 {
	return compressor.CpExhaust * temp * (1 - math.Pow(expansion, -(compressor.GammaGas-1)/compressor.GammaGas))
}

// efficiency of the turbine by its blade-speed ratio, a parabola about the best, with
// what pulses add.
func (t *Turbo) efficiency(rotor, expansion, temp float64) float64 {
	blade := rotor * t.Wheel / 2 / math.Sqrt(2*max(falling(expansion, temp), 1))
	off := blade/t.BladeRatio - 1
	add := pulses
	if t.Divided {
		add = pulsesDivided
	}
	return t.Turbine * max(0.1, 1-off*off) * (1 + add)
}

// slopes are the time derivatives of the state.
func (p *Path) slopes(s State, in Input) State {
	f := p.Flows(s, in)
	n, t := p.count(), &p.Turbo
	mech := t.Mechanical
	if mech <= 0 {
		mech = 0.97
	}
	cool := f.Charge
	var d State
	d.Before = compressor.GasAir * f.Outlet / p.Pipes * (f.Compressor - f.Throttle - f.Bypass)
	d.Plenum = compressor.GasAir * cool / p.Plenum * (f.Throttle - f.Air)
	d.Exhaust = compressor.GasExhaust * f.ExhaustTemp / p.Manifold * (f.Air + f.Fuel + f.Nitrous - f.Turbine - f.Wastegate)
	w := max(s.Rotor, 1)
	d.Rotor = ((mech*f.TurbPower-f.CompPower)/n/w - t.Drag*w) / t.Inertia
	over := s.Plenum - in.Target
	want := p.Gate.Gain*over + s.Integ
	if p.Gate.Spring > 0 {
		want = max(want, 0.1+(s.Exhaust-p.Baro-p.Gate.Spring)/p.Gate.Spring)
	}
	if p.Gate.Lag > 0 {
		d.Gate = (min(1, max(0, want)) - s.Gate) / p.Gate.Lag
	}
	// the integral rests while it would only run into its stop
	if d.Integ = p.Gate.Integral * over; s.Integ <= 0 && d.Integ < 0 || s.Integ >= 1 && d.Integ > 0 || want < 0 && d.Integ < 0 {
		d.Integ = 0
	}
	return d
}

func pack(s State, y []float64) {
	y[0], y[1], y[2], y[3], y[4], y[5] = s.Before, s.Plenum, s.Exhaust, s.Rotor, s.Gate, s.Integ
}

func unpack(y []float64) State { return State{y[0], y[1], y[2], y[3], y[4], y[5]} }

// Point is a stored instant.
type Point struct {
	T float64 // s
	State
	Flows
}

// ErrRun says that the parts do not make a gas path that can be run.
var ErrRun = errors.New("gas: the run broke off: a volume, an area or an inertia is not positive, or the pressures run away")

// Run integrates from a state over a time, s, under an input that may change with time,
// s, and keeps a point every step, s.
func (p *Path) Run(s State, input func(t float64) Input, time, step float64) ([]Point, error) {
	for _, v := range []float64{p.Pipes, p.Plenum, p.Manifold, p.Turbo.Inertia, p.Turbo.Area, p.Throttle, p.Baro, p.Ambient} {
		if !(v > 0) {
			return nil, ErrRun
		}
	}
	var y [6]float64
	pack(s, y[:])
	f := func(t float64, y, d []float64) { pack(p.slopes(unpack(y), input(t)), d) }
	sol, err := ode.Solve(f, ode.Span{To: time}, y[:], ode.Config{Keep: step, Longest: 0.02, MaxSteps: 400000,
		Step: ode.PI{Rel: 1e-5, Abs: []float64{20, 20, 20, 1, 1e-4, 1e-4}}})
	if err != nil || sol.Outcome != ode.ReachedEnd {
		return nil, ErrRun
	}
	var out []Point
	for i, t := range sol.T {
		st := unpack(sol.Y[i])
		out = append(out, Point{t, st, p.Flows(st, input(t))})
	}
	return out, nil
}

// Settle runs under a constant input until nothing moves, at most 20 s, and returns the
// last point.
func (p *Path) Settle(s State, in Input) (Point, error) {
	var last Point
	for range 20 {
		pts, err := p.Run(s, func(float64) Input { return in }, 1, 1)
		if err != nil {
			return Point{}, err
		}
		last = pts[len(pts)-1]
		moved := math.Abs(last.Plenum-s.Plenum) + math.Abs(last.Exhaust-s.Exhaust)
		s = last.State
		if moved < 100 {
			break
		}
	}
	return last, nil
}

// Still is the path at rest: everything at the barometer, the rotor idling, rad/s.
func (p *Path) Still(rotor float64) State {
	return State{Before: p.Baro, Plenum: p.Baro, Exhaust: p.Baro, Rotor: rotor}
}
