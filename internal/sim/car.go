package sim

import (
	"math"

	"traplight/internal/grip"
)

// Reference state of the engine's flow and charge.
const (
	RefSpeed    = 733.0382858 // rad/s (7000 rpm), engine speed at which n = 1
	RefPressure = 200e3       // Pa absolute
	RefCharge   = 310.0       // K, charge temperature to which torque is referred
	gravity     = 9.80665     // m/s²
	headPower   = 3.5         // γ/(γ−1) of air
	exhExponent = 0.124       // half of (γₑ−1)/γₑ with γₑ = 1.33
	slipFloor   = 2.0         // m/s, below which slip is referred to this speed
)

// Car is the model's parameters. All values are SI.
type Car struct {
	Mass            float64   // kg, with driver and fuel
	DragArea        float64   // m²
	LiftDriven      float64   // m², down-force area at the driven axle
	Rolling         float64   // 1, rolling resistance coefficient
	DrivenShare     float64   // 0–1 of the weight on the driven axle at rest (1 for all-wheel drive)
	Transfer        float64   // 1, cg height over wheelbase; negative for front drive, 0 for all-wheel drive
	EngineInertia   float64   // kg·m²
	DrivenInertia   float64   // kg·m², driven wheels and shafts
	UndrivenInertia float64   // kg·m²
	Ratios          []float64 // 1, overall ratio by gear
	Efficiency      float64   // 0–1, crank to hubs
	Radius          float64   // m, effective rolling radius near standstill
	Growth          float64   // 1/(m/s)², relative growth of the radius per speed squared
	RevLimit        float64   // rad/s; 0 none
	Dump            float64   // 0–1, share of the engine's surplus momentum that a shift gives to the car
	SlipCut         float64   // 1, slip above which electronics cut torque; 0 none
	SlipCutWidth    float64   // 1, slip over that at which half the torque is gone

	Clutch  Clutch
	Tyre    Tyre
	Engine  Engine
	Boost   Boost
	Nitrous Nitrous
}

// Tyre is the longitudinal curve.
type Tyre struct {
	Peak     float64   // 1, peak grip at the reference load
	PeakSlip float64   // 1, of a tyre that creeps; the faster the tyres slide the less (see Fall)
	Shape    float64   // 1, C of the magic formula, above 1
	Fall     float64   // s/m, relative loss of friction by sliding speed
	LoadSens float64   // 1, relative loss of grip per doubling of the load
	RefLoad  float64   // N, load at which Peak holds
	Profile  []float64 // 1, multiplier of grip along the strip at equal steps; nil means 1
	Step     float64   // m, distance between entries of Profile
}

// Engine is torque by speed and charge.
type Engine struct {
	// Speed0 and SpeedStep, rad/s, place the nodes of Gain and Loss.
	Speed0, SpeedStep float64
	Gain              []float64 // N·m/Pa by node, torque per charge pressure
	Loss              []float64 // N·m by node, friction and pumping
	Curve             float64   // 1, relative change of torque per reference pressure of the manifold above it, beyond the charge's density
	ChargeBase        float64   // K, charge over ambient temperature without boost
	ChargeRise        float64   // 1, charge temperature rise over ambient temperature times head, at small head and fullSpeed, with the cooler's core as at the launch
	ChargeFlow        float64   // 1, relative growth of that rise per relative growth of the engine's speed
	Core              Core      // what the charge cooler takes up
	Heat              float64   // 1, relative loss of torque per square of the charge temperature's relative rise over RefCharge, beside the thinner charge
	Spark             Spark     // ignition
	// Law, if set, replaces the tables: crank torque, N·m, at engine speed, rad/s.
	Law func(speed float64) float64
}

// node evaluates a table with uniform nodes at u (in nodes) by the cubic through
// four neighbours (Catmull–Rom), held level beyond the ends.
func node(tab []float64, u float64) float64 {
	n := len(tab)
	if n == 0 {
		return 0
	}
	if u != u {
		return u // not a number stays one
	}
	if u <= 0 || n == 1 {
		return tab[0]
	}
	if u >= float64(n-1) {
		return tab[n-1]
	}
	i := int(u)
	f := u - float64(i)
	b, c := tab[i], tab[i+1]
	a, d := b, c
	if i > 0 {
		a = tab[i-1]
	} else {
		a = 2*b - c
	}
	if i+2 < n {
		d = tab[i+2]
	} else {
		d = 2*c - b
	}
	return b + 0.5*f*(c-a+f*(2*a-5*b+4*c-d+f*(3*(b-c)+d-a)))
}

// Torque is the crank torque, N·m, at engine speed, rad/s, and charge pressure
// (see Charge), Pa.
func (e *Engine) Torque(speed, charge float64) float64 {
	if e.Law != nil {
		return e.Law(speed)
	}
	u := (speed - e.Speed0) / e.SpeedStep
	return node(e.Gain, u)*charge - node(e.Loss, u)
}

// Indicated is the torque before losses, N·m, at engine speed, rad/s, and charge
// pressure, Pa.
func (e *Engine) Indicated(speed, charge float64) float64 {
	if e.Law != nil {
		return e.Law(speed)
	}
	return node(e.Gain, (speed-e.Speed0)/e.SpeedStep) * charge
}

// effFall is by how much the compressor's heating grows with head, 1: wheels that reach
// 0.75 at a pressure ratio of 2.5 have some 0.66 left at 4.5. Common practice, no source.
const effFall = 0.6

// Charge is the charge pressure, Pa, that makes torque at an engine speed, rad/s, a
// manifold pressure, Pa absolute, and a charge temperature, K, of which core, K, is the warmth of
// the cooler's core that is felt: hot charge is thinner, and the ignition is as late as the
// computer sets it by what its sensor shows.
func (e *Engine) Charge(speed, pressure, temp, core float64) float64 {
	q := e.Dense(pressure, temp)
	if e.Spark.Loss > 0 {
		q *= e.Spark.Efficiency(e.Spark.Set(speed, pressure, temp+e.Core.unfelt(core)))
	}
	return q
}

// Dense is the charge pressure, Pa, at the best ignition. Where the ignition is not known
// hot charge has it drawn back here: the loss goes with the square of the retard, the
// retard with the temperature from some 40 °C on. Curve goes by pressure, not by density: back
// pressure, burnt gas and the retard that pressure asks for are its causes, and air that is
// cooler lessens none of what it brings.
func (e *Engine) Dense(pressure, temp float64) float64 {
	r := temp / RefCharge
	hot := max(0, r-1)
	return pressure / r * (1 - e.Heat*hot*hot) * (1 + e.Curve*(pressure/RefPressure-1))
}

// fullSpeed is the engine speed to which ChargeRise is referred, rad/s (6300 rpm).
const fullSpeed = 0.9 * RefSpeed

// ChargeTemperature is the temperature in the manifold, K, at the ambient one, K, head, 1, and
// engine speed, rad/s, with the cooler's core as at the launch. At one head the faster engine
// asks for more flow: of more flow a cooler takes less of the heat, and a compressor heats it
// more. What more flow by more pressure does is in the head's square.
func (e *Engine) ChargeTemperature(ambient, head, speed float64) float64 {
	passed := e.ChargeRise * max(0.3, 1+e.ChargeFlow*(speed/fullSpeed-1))
	return ambient*(1+passed*lift(head)) + e.ChargeBase
}

// curve is the tyre's used grip over its peak, 1, at slip over slip of peak, x; tab is that of
// curveOf. For C = 1.65 it is Pacejka's formula without the curvature term, whose stiffness is
// then set by the place of the peak: B·s_peak = tan(π/(2C)).
func (t *Tyre) curve(x float64, tab *table) float64 {
	if v, ok := tab.at(x); ok {
		return v
	}
	return math.Sin(t.Shape * math.Atan(math.Tan(math.Pi/(2*t.Shape))*x))
}

// kept is what sliding leaves of the tyre's friction at a slip, 1, and a speed, m/s (Pacejka's
// λ*µ = 1/(1 + λ·Vs), from memory; see package grip, whose curve this is).
func (t *Tyre) kept(slip, v float64) float64 { return 1 / (1 + t.Fall*math.Abs(slip)*v) }

// past tells whether less slip would carry more: the slope of the logarithm of used grip over
// that of slip is negative.
func (t *Tyre) past(slip, v float64) bool {
	if slip <= 0 || slip > t.PeakSlip {
		return slip > 0
	}
	x := math.Tan(math.Pi/(2*t.Shape)) * slip / t.PeakSlip
	sin, cos := math.Sincos(t.Shape * math.Atan(x))
	sliding := t.Fall * slip * v
	return t.Shape*x/(1+x*x)*cos/sin < sliding/(1+sliding)
}

// Top is the slip, 1, at which the tyre carries most at a speed, m/s, and how much that is, 1
// of what it carries creeping.
func (t *Tyre) Top(v float64) (slip, share float64) {
	f := grip.Form{PeakSlip: t.PeakSlip, C: t.Shape, Fall: t.Fall}
	return f.Top(v)
}

func (t *Tyre) profile(x float64) float64 {
	if t.Profile == nil {
		return 1
	}
	u := x / t.Step
	n := len(t.Profile)
	if u != u {
		return u // a step too long may leave every law: the solver tries a shorter one
	}
	if u <= 0 {
		return t.Profile[0]
	}
	if u >= float64(n-1) {
		return t.Profile[n-1]
	}
	i := int(u)
	f := u - float64(i)
	return t.Profile[i]*(1-f) + t.Profile[i+1]*f
}
