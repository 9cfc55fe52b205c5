package sim

import "math"

// Core is the metal and the water of the charge cooler. They take up heat during a pass, so
// that boost which was made early makes the charge hotter later on.
type Core struct {
	Take float64 // 1/s, rate at which the reference flow brings it to the compressor's outlet; 0 leaves it as it was at the launch
	Shed float64 // 1/s at coreWind, in proportion to the car's speed, rate at which the wind cools it
	Felt float64 // 1, share of the warmth that torque feels: a sensor in a wall that warms up shows more of it
}

const (
	// wholeRise is the compressor's outlet over ambient temperature times head, at small head, 1:
	// an efficiency of 0.72. Common practice, no source.
	wholeRise = 1.4
	coreWind  = 50.0 // m/s
)

// lift is what heats the charge, 1: head with the compressor's efficiency that falls as it grows.
func lift(head float64) float64 { return head * (1 + effFall*head) }

// CoreSlope is how fast the core's warmth, K of the charge over what it is with the core as at
// the launch, grows, K/s, at a flow, 1 of the reference, an ambient temperature, K, a head, 1,
// and the car's speed, m/s. The charge gives off ε·(T₂ − T_core) per heat capacity of its flow;
// warmth is ε times the core's own rise.
func (e *Engine) CoreSlope(warmth, flow, ambient, head, v float64) float64 {
	k := &e.Core
	if k.Take == 0 {
		return 0
	}
	full := k.Felt * ambient * max(0, wholeRise-e.ChargeRise) * lift(max(0, head))
	return k.Take*max(0, flow)*(full-warmth) - k.Shed*max(0, v)/coreWind*warmth
}

// What a core is like late in a pass: after so many seconds at such a flow, 1 of the reference,
// and speed, m/s.
const lateAfter, lateFlow, lateSpeed = 8.0, 2.0, 60.0

// LateCharge is the temperature in the manifold, K, late in a pass at one boost, at the ambient
// temperature, K, and head, 1.
func (e *Engine) LateCharge(ambient, head float64) float64 {
	t := e.ChargeTemperature(ambient, head, fullSpeed)
	if e.Core.Take == 0 {
		return t
	}
	take, shed := e.Core.Take*lateFlow, e.Core.Shed*lateSpeed/coreWind
	share := take / (take + shed) * (1 - math.Exp(-(take+shed)*lateAfter))
	return t + share*e.Core.Felt*ambient*max(0, wholeRise-e.ChargeRise)*lift(max(0, head))
}

// unfelt is what the sensor shows, K, over what torque feels of a core that is felt with a warmth, K.
func (k *Core) unfelt(warmth float64) float64 {
	if k.Felt <= 0 {
		return 0
	}
	return warmth * (1/k.Felt - 1)
}
