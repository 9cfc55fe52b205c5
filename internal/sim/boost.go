package sim

import "math"

// Boost is the air path; see the package comment.
type Boost struct {
	Rate       float64   // 1/s, k
	Work       float64   // 1, τ
	Swallow    float64   // 1, κ
	FlowLoss   float64   // 1, σ
	Friction   float64   // 1, f
	Decay      float64   // 1/s, with the throttle shut
	Lifted     bool      // throttle shut in shifts
	ShiftHeat  float64   // 0–1, turbine work left in a shift with the throttle held
	Gate       float64   // 1/s, c
	GateLag    float64   // 1/s, inverse of the wastegate's lag
	Offset     []float64 // Pa by gear, settled boost over its target; nil means none
	Settled    []float64 // Pa by gear, by which a boost that is at its target reads over it; nil means none
	Floor      float64   // Pa gauge, boost that the wastegate's spring holds at the least, whatever the target; 0 unknown
	Over       float64   // Pa, by which the boost control overshoots after a rise
	OverTime   float64   // s, in which the overshoot dies away; 0 means none
	Unlimited  bool      // no wastegate at all
	NoCharger  bool      // naturally aspirated: head stays 0
	MaxHead    float64   // 1, beyond which the compressor is not believed; 0 means 2
	Fill       float64   // s, in which the reference flow fills the intake's volumes to the reference pressure; 0 leaves filling out
	GateMargin float64   // Pa below target at which the wastegate begins; 0 means none
}

// ReferenceFlow is an engine's air flow, kg/s, at the reference speed, pressure and charge
// temperature, of volumetric efficiency, 1, and displacement, m³.
func ReferenceFlow(volumetric, displacement float64) float64 {
	const gasAir = 287.05 // J/(kg·K)
	return volumetric * displacement / 2 * RefSpeed / (2 * math.Pi) * RefPressure / (gasAir * RefCharge)
}

// Nitrous is a system that opens while boost is below its target.
type Nitrous struct {
	Power float64 // W at the crank while open; 0 none
	Feed  float64 // W by which the exhaust grows, in terms of the crank power that would bring as much exhaust
	Below float64 // Pa below target at which it opens
	Gears []int   // nil means after every shift, for the boost to recover, not in the first gear
}

// openBand is the pressure, Pa, over which nitrous goes from open to shut: its pulsing
// at the end, seen as a mean.
const openBand = 2e3

// In tells whether it may open in a gear of a pass that began in gear first.
func (n *Nitrous) In(gear, first int) bool {
	if n.Gears == nil {
		return gear > first
	}
	for _, g := range n.Gears {
		if g == gear {
			return true
		}
	}
	return false
}

// Pressure is the manifold pressure, Pa absolute, at full throttle for the
// barometer, Pa absolute, and head, 1.
func Pressure(barometer, head float64) float64 {
	x := 1 + head
	return barometer * x * x * x * math.Sqrt(x)
}

// Head is the inverse of Pressure, 1; both pressures in Pa absolute.
func Head(barometer, pressure float64) float64 {
	return math.Pow(max(pressure, 0.05*barometer)/barometer, 1/headPower) - 1
}

// overRise is the rise of head that loads the whole overshoot, 1.
const overRise = 0.06

// OverHead is the overshoot, 1, as head at the barometer, Pa absolute, and target
// head, 1.
func (b *Boost) OverHead(barometer, head float64) float64 {
	if b.OverTime <= 0 {
		return 0
	}
	return b.Over * (1 + head) / (headPower * Pressure(barometer, head))
}

// Settling is the rate, 1/s, at which the overshoot dies at a head, 1, over the
// target: it begins when boost comes near.
func (b *Boost) Settling(over float64) float64 {
	if b.OverTime <= 0 {
		return 0
	}
	return min(1, max(0, 1+over/settleBand)) / b.OverTime
}

// settleBand is how near its target boost must come, as head, for the overshoot to
// begin to die, 1.
const settleBand = 0.02

// Load is the overshoot, 1, after entering a gear with head and target head, 1,
// when it was old and is over at most, 1.
func Load(old, over, head, target float64) float64 {
	return max(old, over*min(1, max(0, (target-head)/overRise)))
}

// Flow is the engine's air flow in units of the reference flow, 1, at engine
// speed, rad/s, manifold pressure, Pa absolute, and charge temperature, K.
func Flow(speed, pressure, chargeTemp float64) float64 {
	return speed / RefSpeed * pressure / RefPressure * RefCharge / chargeTemp
}

// Rise is dh/dt with the wastegate shut, 1/s, for flow m, head h, engine speed
// over the reference n, turbine flow surplus (1 without nitrous) and heat left in
// the exhaust (1 in gear); all of them pure numbers.
func (b *Boost) Rise(m, h, n, surplus, heat float64) float64 {
	q := b.Swallow * m * surplus
	g := expanded(q)
	hp := max(h, 0)
	rise := b.Rate * (m*(heat*surplus*b.Work*g-h*(1+b.FlowLoss*(n-1))) - b.Friction*hp*math.Sqrt(hp))
	if b.Fill > 0 && n > 0 {
		// the compressor also fills the pipes: dp/dt = 3.5·p/(1+h)·dh/dt, p by flow and speed
		rise /= 1 + b.Rate*hp*b.Fill*headPower*m/n/(1+hp)
	}
	return rise
}

// Ample is the turbine's work with the wastegate shut over what compressor and friction
// need, 1, for flow m, head h and engine speed over the reference n: under 1 that head
// cannot be held.
func (b *Boost) Ample(m, h, n float64) float64 {
	q := b.Swallow * m
	g := expanded(q)
	return b.Work * g / (h*(1+b.FlowLoss*(n-1)) + b.Friction*h*math.Sqrt(h)/m)
}
