package health

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"traplight/internal/dictionary"
	"traplight/internal/pass"
	"traplight/internal/quantity"
)

// signal is a channel of 50 readings a second over 20 s: a slow course with
// noise, printed in steps.
func signal(r *rand.Rand, noise, step float64) *dictionary.Channel {
	c := &dictionary.Channel{Name: "oil", Quantity: quantity.OilPressure, RateHz: 50, Resolution: step}
	for i := range 1000 {
		v := 4e5 + 5e4*math.Sin(float64(i)/90) + noise*r.NormFloat64()
		c.Trace.T = append(c.Trace.T, float64(i)*0.02)
		c.Trace.V = append(c.Trace.V, math.Round(v/step)*step)
	}
	return c
}

func span() *pass.Pass {
	lift := 19.0
	return &pass.Pass{Launch: quantity.Estimate{Value: 1}, Lift: &lift}
}

func check(c *dictionary.Channel, usual float64) []broken {
	u := map[string]float64{}
	if usual > 0 {
		u[c.Name] = usual
	}
	return selfCheck(&dictionary.Set{Channels: []dictionary.Channel{*c}}, span(), u)
}

func TestSelfCheckFindsWhatIsBroken(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 3))
		at := rapid.IntRange(250, 700).Draw(t, "at")
		mode := rapid.SampledFrom([]string{"stuck", "noisy", "jumps", ""}).Draw(t, "mode")
		c := signal(r, 2500, 500)
		for i := at; i < 1000; i++ {
			switch mode {
			case "stuck":
				c.Trace.V[i] = c.Trace.V[at-1]
			case "noisy":
				c.Trace.V[i] += 25e3 * r.NormFloat64()
			case "jumps":
				if i%40 == 0 {
					c.Trace.V[i] -= 2e5
				}
			}
		}
		got := check(c, 2500)
		if mode == "" {
			if len(got) != 0 {
				t.Fatalf("healthy channel condemned: %+v", got)
			}
			return
		}
		if len(got) != 1 || got[0].mode != mode {
			t.Fatalf("%s from %.2f s: found %+v", mode, float64(at)*0.02, got)
		}
		late := 1.0
		if mode == "stuck" {
			late = 0.1 // a reading may equal the one before by chance
		}
		if off := got[0].from - float64(at)*0.02; off < -late || off > 1 {
			t.Fatalf("%s: start off by %.2f s", mode, off)
		}
	})
}

// An end stop that is reached again and again is no fault; neither is a slow
// temperature in coarse steps.
func TestSelfCheckLeavesEndStopsAlone(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	c := signal(r, 2500, 500)
	for i := range c.Trace.V {
		c.Trace.V[i] = min(c.Trace.V[i], 4.2e5)
	}
	if got := check(c, 0); len(got) != 0 {
		t.Errorf("end stop: %+v", got)
	}
	slow := &dictionary.Channel{Name: "water", Quantity: quantity.CoolantTemperature, RateHz: 10, Resolution: 1}
	for i := range 200 {
		slow.Trace.T = append(slow.Trace.T, float64(i)*0.1)
		slow.Trace.V = append(slow.Trace.V, math.Round(353+float64(i)/40))
	}
	if got := check(slow, 0); len(got) != 0 {
		t.Errorf("slow temperature: %+v", got)
	}
	if got := without(&dictionary.Set{Channels: []dictionary.Channel{*slow}}, nil); got.Channels[0].Trace.Len() != 200 {
		t.Errorf("nothing broken, but cut")
	}
}
