package force

import (
	"math"
	"testing"
)

func sample(ax Axle) (*Body, Surroundings) {
	return &Body{Mass: 1400, DragArea: 0.65, Rolling: 0.013, FrontShare: 0.55, CGHeight: 0.48, Wheelbase: 2.6,
		JDriven: 2.4, JUndriven: 2.2, Radius: 0.32, Growth: 3e-6, Driven: ax, LiftFront: 0.02, LiftRear: 0.03}, Surroundings{1.2, 2, 0.001}
}

// TestPowerBalance: hub torque times wheel speed is the work on mass, wheels,
// air, tyres and height at once (conservation of energy, without slip).
func TestPowerBalance(t *testing.T) {
	for _, ax := range []Axle{Front, Rear, All} {
		b, s := sample(ax)
		if ax == All {
			b.JUndriven = 0
		}
		b.Growth = 0
		v, a := 55.0, 4.2
		w, dw := v/b.Radius, a/b.Radius
		kinetic := b.Mass*v*a + (b.JDriven+b.JUndriven)*w*dw
		losses := b.Drag(s, v)*v + b.RollingAt(v)*b.Mass*G*v + b.Mass*G*s.Grade*v
		if got, want := b.HubTorque(s, v, a, dw)*w, kinetic+losses; math.Abs(got-want) > 1e-9*want {
			t.Errorf("axle %d: hub power %g W, books say %g W", ax, got, want)
		}
	}
}

// TestTractionLimit holds the ceiling against the closed form of the traction
// limit with solid axle and no aerodynamic terms: Gillespie, Fundamentals of
// Vehicle Dynamics (1992), ch. 2: Fx = mu·W·(b/L)/(1 + mu·h/L) driven in front,
// mu·W·(c/L)/(1 − mu·h/L) driven at the rear.
func TestTractionLimit(t *testing.T) {
	for _, c := range []struct {
		ax   Axle
		sign float64
	}{{Front, 1}, {Rear, -1}} {
		b, _ := sample(c.ax)
		b.DragArea, b.LiftFront, b.LiftRear, b.Rolling, b.JDriven, b.JUndriven, b.Growth = 0, 0, 0, 0, 0, 0, 0
		mu := 1.3
		want := mu * b.Mass * G * b.drivenShare() / (1 + c.sign*mu*b.CGHeight/b.Wheelbase) * b.Radius
		if got := b.CeilingTorque(Surroundings{}, mu, 0); math.Abs(got-want) > 1e-9*want {
			t.Errorf("axle %d: %g N·m, closed form %g", c.ax, got, want)
		}
	}
}

// TestCeilingIsConsistent: at the ceiling torque the used grip is mu.
func TestCeilingIsConsistent(t *testing.T) {
	for _, ax := range []Axle{Front, Rear, All} {
		b, s := sample(ax)
		h := b.CeilingTorque(s, 1.1, 40)
		// find a from h by bisection
		lo, hi := -20.0, 40.0
		for i := 0; i < 100; i++ {
			m := (lo + hi) / 2
			if b.HubTorque(s, 40, m, m/b.RadiusAt(40)) < h {
				lo = m
			} else {
				hi = m
			}
		}
		if mu := b.TyreForce(s, 40, lo) / b.DrivenLoad(s, 40, lo); math.Abs(mu-1.1) > 1e-9 {
			t.Errorf("axle %d: used grip %g at the ceiling", ax, mu)
		}
	}
}

func TestFreeDecel(t *testing.T) {
	b, s := sample(Rear)
	a := b.FreeDecel(s, 60)
	if h := b.HubTorque(s, 60, a, a/b.RadiusAt(60)); math.Abs(h) > 1e-6*b.Mass {
		t.Errorf("hub torque %g N·m with the clutch open", h)
	}
}
