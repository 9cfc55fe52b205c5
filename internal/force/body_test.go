package force

import (
	"math"
	"testing"

	"traplight/internal/reftest"
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

// TestTractionLimit holds the ceiling against the worked examples of traction-limited cars with
// a locked differential (Gillespie, Fundamentals of Vehicle Dynamics (1992), ch. 2; inputs and
// answers in pounds and inches from memory).
func TestTractionLimit(t *testing.T) {
	const lb, in = 0.45359237 * G, 0.0254
	for _, c := range []struct {
		ax                          Axle
		front, rear, height, length float64 // lb, lb, in, in
		want                        float64 // lb
	}{
		{Front, 1950, 1150, 19, 105, 1087.0},
		{Rear, 2100, 1850, 21, 108, 1304.2},
	} {
		total := c.front + c.rear
		b := &Body{Mass: total * lb / G, FrontShare: c.front / total, CGHeight: c.height * in, Wheelbase: c.length * in, Radius: 12.59 * in, Driven: c.ax}
		if got := b.CeilingTorque(Surroundings{}, 0.62, 0) / b.Radius / lb; math.Abs(got/c.want-1) > 1e-4 {
			t.Errorf("axle %d: %.1f lb, published %.1f", c.ax, got, c.want)
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

// coast lets a car roll with the clutch open for t, s, from speed v, m/s, by fourth-order
// Runge-Kutta steps of 0.01 s.
func coast(b *Body, s Surroundings, v, t float64) (after, way float64) {
	const h = 0.01
	for range int(math.Round(t / h)) {
		k1 := b.FreeDecel(s, v)
		k2 := b.FreeDecel(s, v+h/2*k1)
		k3 := b.FreeDecel(s, v+h/2*k2)
		k4 := b.FreeDecel(s, v+h*k3)
		way += h*v + h*h/6*(k1+k2+k3)
		v += h / 6 * (k1 + 2*k2 + 2*k3 + k4)
	}
	return v, way
}

// TestCoastDown holds the rolling car against coasts under f0 + f1·v + f2·v² (the form of SAE
// J2263) that were integrated elsewhere: references/coastdown.csv (140 N, 1.5 N/(m/s) and 0.42
// N/(m/s)², 1545 kg), where a head wind makes the middle term, and a closed form (150 N, 0, 0.4,
// 1500 kg: from 80 to 20 m/s in 102.977414 s and 4065.2468 m).
func TestCoastDown(t *testing.T) {
	make := func(f0, f1, f2, mass float64) (*Body, Surroundings) {
		drag, wind, rolling := f2, 0.0, f0
		for range 50 { // rolling resistance rises with speed squared too
			drag = f2 - rollingRise*rolling
			wind = f1 / (2 * drag)
			rolling = f0 - drag*wind*wind
		}
		b := &Body{Mass: mass - 40, JDriven: 2.5, JUndriven: 1.5, Radius: math.Sqrt(0.1), DragArea: 2 * drag / 1.2, FrontShare: 0.6, Wheelbase: 2.6}
		b.Rolling = rolling / (b.Mass * G)
		return b, Surroundings{Density: 1.2, Headwind: wind}
	}
	b, s := make(150, 0, 0.4, 1500)
	if v, way := coast(b, s, 80, 102.97); math.Abs(v-20-0.007414*0.2067) > 1e-4 || math.Abs(way+20*0.007414-4065.2468) > 1e-2 {
		t.Errorf("%.5f m/s after %.4f m", v, way)
	}
	rows := reftest.Rows(t, "coastdown.csv")
	b, s = make(140, 1.5, 0.42, 1545)
	v := rows[0].Num(t, "v_m_s")
	for i := 1; i < len(rows); i++ {
		v, _ = coast(b, s, v, rows[i].Num(t, "t_s")-rows[i-1].Num(t, "t_s"))
		if want := rows[i].Num(t, "v_m_s"); math.Abs(v-want) > 1e-6 {
			t.Fatalf("after %g s: %.8f m/s, table %.8f", rows[i].Num(t, "t_s"), v, want)
		}
	}
}
