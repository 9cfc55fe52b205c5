package health

import (
	"math"
	"math/rand/v2"
	"testing"

	"traplight/internal/dictionary"
	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// firstPass is a made-up pass of 16 s at full load in four gears with 4 s of coasting
// after it and 4 s of idling before; add puts a channel in.
func firstPass(add map[quantity.Name][]func(t, speed, boost float64) float64) *judge {
	const step = cell
	r := rand.New(rand.NewPCG(3, 4))
	f := &frame{set: &source{Set: &dictionary.Set{}}, cols: map[*dictionary.Channel][]float64{}, launch: 0, end: 16, baro: 100e3, ambient: 293, ambientKnown: true, nref: 800}
	for t := -4.0; t < 20; t += step {
		speed, boost, gear, full := 110.0, -60e3, 0, false
		switch {
		case t > 0 && t < 16:
			u := math.Mod(t, 4) / 4
			speed, boost, gear, full = 550+230*u, 150e3*min(1, (u+0.1)*3), 1+int(t/4), true
		case t >= 16:
			speed, boost = 780-60*(t-16), -70e3
		}
		f.t, f.speed, f.boost = append(f.t, t), append(f.speed, speed), append(f.boost, boost)
		f.gear, f.since, f.full = append(f.gear, gear), append(f.since, math.Mod(t+4, 4)), append(f.full, full)
		f.idle, f.running = append(f.idle, t < -0.5), append(f.running, true)
		th := 0.0
		if full {
			th = 1
		}
		f.throttle, f.v, f.charge = append(f.throttle, th), append(f.v, max(0, 5*t)), append(f.charge, 320)
		f.air = append(f.air, max(0.1, (boost+100e3)/250e3*speed/700))
	}
	f.n = len(f.t)
	for q, gs := range add {
		for k, g := range gs {
			x := trace.Trace{T: f.t, V: make([]float64, f.n)}
			for i, t := range f.t {
				v := g(t, f.speed[i], f.boost[i])
				x.V[i] = v * (1 + 1e-4*r.NormFloat64())
			}
			f.set.Channels = append(f.set.Channels, dictionary.Channel{Name: string(q), Quantity: q, Index: k + 1, Trace: x, RateHz: 1 / step, Confidence: 1})
		}
	}
	return &judge{frame: f, opts: Options{Units: quantity.Metric}}
}

// Each rule speaks at what no healthy engine does, near the moment at which that
// begins, and is silent just this side of it.
func TestCommonRules(t *testing.T) {
	type channel = func(t, speed, boost float64) float64
	water := func(leak, from float64) channel {
		return func(t, speed, boost float64) float64 {
			v := 50e3 + 30e3*speed*speed/640e3 + 300*t
			if t >= from {
				v += leak * max(boost, 0)
			}
			return v
		}
	}
	// A radiator that carries off more the hotter it is, until it is blocked.
	warm := func(blocked float64) channel {
		return func(t, _, _ float64) float64 {
			v := 356 + 8*(1-math.Exp(-max(t, 0)/5))
			return v + 2*max(0, t-blocked)
		}
	}
	oil := func(per1000 float64) channel {
		return func(_, speed, _ float64) float64 { return max(120e3, per1000*speed/104.72) }
	}
	// A pressure that a relief valve holds, and that then falls by a share each second, for 2 s.
	fading := func(share, from float64) channel {
		return func(t, speed, _ float64) float64 {
			return min(500e3, 90e3*speed/104.72) * (1 - share*min(2, max(0, t-from)))
		}
	}
	// A pressure in proportion to the speed, at a gauge of so many seconds' lag.
	late := func(lag float64) channel {
		read := 0.0
		return func(_, speed, _ float64) float64 {
			read += (90e3*speed/104.72 - read) * cell / lag
			return read
		}
	}
	// A coolant that rises at a rate, K/s, to 367.9 K at the end.
	rising := func(perSecond float64) channel {
		return func(t, _, _ float64) float64 { return 367.9 - perSecond*(16-min(16, max(0, t))) }
	}
	level := func(x float64) channel { return func(_, _, _ float64) float64 { return x } }
	under := func(by float64) channel {
		return func(_, _, boost float64) float64 {
			if boost > 120e3 {
				return 100e3 - by
			}
			return 100e3
		}
	}
	pipes := func(apart float64) []channel {
		return []channel{level(1000), level(1010), level(1000 + apart), level(990)}
	}
	for _, c := range []struct {
		name string
		q    quantity.Name
		chs  []channel
		want Kind
		from float64  // s; NaN not asked
		sev  Severity // "" not asked
	}{
		{"tight gasket", quantity.CoolantPressure, []channel{water(0.01, 0)}, none, nan(), ""},
		{"leaking gasket", quantity.CoolantPressure, []channel{water(0.12, 0)}, CoolantPressure, 0, ""},
		{"gasket that goes", quantity.CoolantPressure, []channel{water(0.3, 9)}, CoolantPressure, 9, ""},
		{"cooling", quantity.CoolantTemperature, []channel{warm(99)}, none, nan(), ""},
		{"cooling that stops", quantity.CoolantTemperature, []channel{warm(9)}, Overheat, 9, ""},
		{"free inlet", quantity.CompressorInletPressure, []channel{under(4e3)}, none, nan(), ""},
		{"blocked inlet", quantity.CompressorInletPressure, []channel{under(9e3)}, TurboOverspeed, nan(), ""},
		{"even pipes", quantity.ExhaustTemperature, pipes(60), none, nan(), ""},
		{"cold pipe", quantity.ExhaustTemperature, pipes(-170), CylinderDown, nan(), ""},
		{"hot pipe", quantity.ExhaustTemperature, pipes(140), MixtureImbalance, nan(), ""},
		{"blow-by", quantity.CrankcasePressure, []channel{level(6e3)}, none, nan(), ""},
		{"much blow-by", quantity.CrankcasePressure, []channel{level(13e3)}, CrankcasePressure, nan(), ""},
		{"oil", quantity.OilPressure, []channel{oil(65e3)}, none, nan(), ""},
		{"little oil pressure", quantity.OilPressure, []channel{oil(45e3)}, OilSupply, nan(), Subtle},
		{"half the oil pressure", quantity.OilPressure, []channel{oil(38e3)}, OilSupply, nan(), Moderate},
		{"relief valve, warming oil", quantity.OilPressure, []channel{fading(0.006, -9)}, none, nan(), ""},
		{"a pump without relief, a slow gauge", quantity.OilPressure, []channel{late(0.8)}, none, nan(), ""},
		{"oil that fades", quantity.OilPressure, []channel{fading(0.15, 9)}, OilSupply, 9, Moderate},
		{"oil that goes", quantity.OilPressure, []channel{fading(0.25, 9)}, OilSupply, 9, Gross},
		{"a cap that holds", quantity.CoolantPressure, []channel{level(180e3)}, none, nan(), ""},
		{"perhaps from a vacuum", quantity.CoolantPressure, []channel{level(220e3)}, none, nan(), ""},
		{"more than a cap holds", quantity.CoolantPressure, []channel{func(t, _, _ float64) float64 { return 70e3 + 150e3*min(1, max(0, t)) }}, CoolantPressure, nan(), Moderate},
		{"more than that, from a vacuum", quantity.CoolantPressure, []channel{level(310e3)}, CoolantPressure, nan(), Moderate},
		{"warm and still warming", quantity.CoolantTemperature, []channel{rising(1.3)}, none, nan(), ""},
		{"warm and warming fast", quantity.CoolantTemperature, []channel{rising(1.6)}, Overheat, nan(), Subtle},
		{"rich", quantity.Lambda, []channel{level(0.85)}, none, nan(), ""},
		{"lean", quantity.Lambda, []channel{level(0.94)}, MixtureLean, nan(), ""},
		{"cooled charge", quantity.ChargeTemperature, []channel{level(330)}, none, nan(), ""},
		{"uncooled charge", quantity.ChargeTemperature, []channel{level(410)}, ChargeHeat, nan(), ""},
	} {
		got := firstPass(map[quantity.Name][]channel{c.q: c.chs}).common()
		first := math.Inf(1)
		for _, b := range got {
			first = min(first, b.from)
		}
		switch {
		case c.want == none && len(got) > 0:
			t.Errorf("%s: %+v", c.name, got)
		case c.want == none:
		case len(got) == 0 || got[0].kind != c.want || c.sev != "" && got[0].severity != c.sev:
			t.Errorf("%s: %+v, want %s", c.name, got, c.want)
		case !math.IsNaN(c.from) && math.Abs(first-c.from) > 1.6:
			t.Errorf("%s: from %.1f s, want %.1f", c.name, first, c.from)
		}
	}
}

// A relief valve at 400 kPa is no lack of oil on an engine that turns 9700 rpm; at 300 kPa it is.
func TestOilBehindTheReliefValve(t *testing.T) {
	for _, c := range []struct {
		relief float64 // Pa
		found  bool
	}{{400e3, false}, {300e3, true}} {
		j := firstPass(map[quantity.Name][]func(t, speed, boost float64) float64{
			quantity.OilPressure: {func(_, speed, _ float64) float64 { return min(c.relief, 90e3*speed/104.72) }},
		})
		for i := range j.speed {
			j.speed[i] *= 1.3
		}
		if got := j.common(); (len(got) > 0) != c.found {
			t.Errorf("relief valve at %.0f kPa: %+v", c.relief/1e3, got)
		}
	}
}
