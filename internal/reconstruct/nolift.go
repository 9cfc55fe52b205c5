package reconstruct

import (
	"math"

	"traplight/internal/quantity"
)

// noLift works out the trap speed that the car would have had without the lift,
// from the power it had before it: power held, forces as found.
func (k *work) noLift() {
	p := k.p
	if p.Lift == nil || p.Complete || len(p.Gears) == 0 {
		return
	}
	lift := *p.Lift
	i1 := k.g.index(lift - 0.05)
	x, v := k.g.x[i1], k.g.v[i1]
	if x > p.Length || x < 0.5*p.Length || v < 10 {
		return
	}
	power, n := 0.0, 0
	for i := k.g.index(lift - 0.6); i < i1; i++ {
		if k.d.full[i] && k.hub[i] > 0 {
			power += k.hub[i] * k.g.v[i] / k.b.RadiusAt(k.g.v[i])
			n++
		}
	}
	if n < 15 {
		return
	}
	power /= float64(n)
	const dt = 0.002
	var in float64
	t := 0.0
	for x < p.Length && t < 30 {
		r := k.b.RadiusAt(v)
		m := k.b.Mass + (k.b.JUndriven+k.b.JDriven)/(r*r)
		res := k.b.HubTorque(k.sur, v, 0, 0)
		a := (power*r/v - res) / (r * m)
		if x < p.Length-p.TrapWindow && x+v*dt >= p.Length-p.TrapWindow {
			in = t
		}
		x += v*dt + 0.5*a*dt*dt
		v += a * dt
		t += dt
	}
	if t <= in {
		return
	}
	trap := p.TrapWindow / (t - in)
	gain := trap - k.g.v[i1]
	p.TrapIfNoLift = &quantity.Estimate{Value: trap, SD: math.Hypot(0.15*math.Abs(gain), 0.002*trap)}
}
