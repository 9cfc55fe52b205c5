package reconstruct

import (
	"math"
	"testing"

	"traplight/internal/dictionary"
)

// made is a channel of f at 20 readings a second for 20 s.
func made(f func(t float64) float64) *dictionary.Channel {
	c := &dictionary.Channel{RateHz: 20}
	for t := 0.0; t < 20; t += 0.05 {
		c.Trace.T, c.Trace.V = append(c.Trace.T, t), append(c.Trace.V, f(t))
	}
	return c
}

func TestImpossibleFallsAreLeftOut(t *testing.T) {
	run := func(t float64) float64 { return 60 * (1 - math.Exp(-t/6)) }
	hole := made(func(t float64) float64 {
		if t > 8 && t < 9.5 {
			return 0
		}
		return run(t)
	})
	got := withoutGaps(hole)
	for i, v := range got.Trace.V {
		if want := run(got.Trace.T[i]); math.Abs(v-want) > 1e-9 {
			t.Fatalf("%v m/s left at %v s", v, got.Trace.T[i])
		}
	}
	if n := hole.Trace.Len() - got.Trace.Len(); n < 28 || n > 30 {
		t.Errorf("%d readings left out, 29 made", n)
	}
	braking := made(func(t float64) float64 { return math.Max(0, 50-11*math.Max(0, t-8)) })
	if withoutGaps(braking) != braking {
		t.Error("hard braking taken for a fault")
	}
}

// TestReflectionsAreLeftOut: readings that leap away and back go, whether they lie still or jump
// about in between; a noisy receiver and a car that starts, brakes or shifts keep all.
func TestReflectionsAreLeftOut(t *testing.T) {
	run := func(t float64) float64 { return 60 * (1 - math.Exp(-t/6)) }
	for _, jump := range []float64{0, 2} {
		got := withoutLeaps(made(func(t float64) float64 {
			if t > 8 && t < 9.5 {
				return run(t) - 5 + jump*math.Sin(40*t)
			}
			return run(t)
		}))
		for i, v := range got.Trace.V {
			if want := run(got.Trace.T[i]); math.Abs(v-want) > 1e-9 {
				t.Fatalf("%v m/s left at %v s, want %v", v, got.Trace.T[i], want)
			}
		}
	}
	for name, f := range map[string]func(float64) float64{
		"braking": func(t float64) float64 { return math.Max(0, 50-11*math.Max(0, t-8)) },
		"noise":   func(t float64) float64 { return run(t) + 3*math.Sin(97*t) },
		"a step":  func(t float64) float64 { return run(t) + 6*math.Round(math.Min(1, t/20)) },
	} {
		if c := made(f); withoutLeaps(c) != c {
			t.Errorf("%s taken for a reflection", name)
		}
	}
}

func TestAxlesExchanged(t *testing.T) {
	car := func(t float64) float64 { return 70*(1-math.Exp(-t/7)) - 4*math.Max(0, t-16) }
	rolls := made(car)
	spins := made(func(t float64) float64 {
		if t > 16 {
			return car(t)
		}
		return car(t) * (1.02 + 0.2*math.Exp(-t/3))
	})
	span := func(u, d *dictionary.Channel) *signals {
		return &signals{undriven: []*dictionary.Channel{u}, driven: []*dictionary.Channel{d}, start: 0, end: 19.9}
	}
	if span(rolls, spins).swapped() {
		t.Error("axles as they should be taken as exchanged")
	}
	if !span(spins, rolls).swapped() {
		t.Error("exchanged axles not seen")
	}
	// on a wet strip the tyres spin ever more as the gears go up
	wet := made(func(t float64) float64 {
		if t > 16 {
			return car(t)
		}
		return car(t) * (1.05 + 0.025*t)
	})
	if span(rolls, wet).swapped() {
		t.Error("tyres that spin to the end make axles exchanged")
	}
	if !span(wet, rolls).swapped() {
		t.Error("exchanged axles not seen where the tyres spin to the end")
	}
}
