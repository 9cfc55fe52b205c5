package health

import (
	"math/rand/v2"
	"strings"
	"testing"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/pass"
	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// idleLog is an engine that idles for 15 s, runs from 20 to 40 s, and idles hot from
// 60 to 90 s: made up, without motion. after alters what is logged then.
func idleLog(seed uint64, after func(q quantity.Name, v float64) float64) Record {
	r := rand.New(rand.NewPCG(seed, 6))
	level := map[quantity.Name]float64{quantity.EngineSpeed: 105, quantity.Throttle: 0, quantity.ManifoldPressure: 40e3, quantity.OilPressure: 190e3,
		quantity.CoolantPressure: 60e3, quantity.BatteryVoltage: 13.8, quantity.BottlePressure: 6e6, quantity.OilTemperature: 360, quantity.CoolantTemperature: 355}
	noise := map[quantity.Name]float64{quantity.EngineSpeed: 2, quantity.ManifoldPressure: 1e3, quantity.OilPressure: 3e3, quantity.CoolantPressure: 1e3, quantity.BatteryVoltage: 0.03, quantity.BottlePressure: 1e4}
	set := &dictionary.Set{}
	for _, q := range []quantity.Name{quantity.EngineSpeed, quantity.Throttle, quantity.ManifoldPressure, quantity.OilPressure, quantity.CoolantPressure, quantity.BatteryVoltage, quantity.BottlePressure, quantity.OilTemperature, quantity.CoolantTemperature} {
		wander := noise[q] * r.NormFloat64()
		var x trace.Trace
		for i := range 1800 {
			t := float64(i) * 0.05
			v := level[q] + wander + noise[q]*r.NormFloat64()
			switch {
			case t > 16 && t < 55 && q == quantity.EngineSpeed:
				v = 600
			case t > 16 && t < 55 && q == quantity.OilPressure:
				v += 260e3
			case t > 16 && t < 55 && q == quantity.Throttle:
				v = 1
			case t > 60:
				v = after(q, v)
			}
			x.T, x.V = append(x.T, t), append(x.V, v)
		}
		set.Channels = append(set.Channels, dictionary.Channel{Name: string(q), Quantity: q, Trace: x, RateHz: 20, Confidence: 1})
	}
	lift := 40.0
	return Record{Name: "made up", Set: set, Pass: &pass.Pass{Launch: quantity.Estimate{Value: 20}, Lift: &lift}, Clear: true}
}

// An engine that idles before the pass and after it is compared with how it idled
// about its earlier passes: oil, coolant, charging, bottle, speed and vacuum.
func TestIdleAfterThePass(t *testing.T) {
	sheet := &car.Sheet{RevLimit: 800}
	same := func(_ quantity.Name, v float64) float64 { return v }
	only := func(q quantity.Name, by float64) func(quantity.Name, float64) float64 {
		return func(c quantity.Name, v float64) float64 {
			if c == q {
				return v + by
			}
			return v
		}
	}
	var past []Summary
	for i := range 6 {
		past = append(past, Summarise(idleLog(uint64(i), same), sheet))
	}
	for _, id := range []string{"oil pressure at idle 2", "coolant pressure 2", "bottle pressure 2", "idle voltage", "idle voltage 2", "idle speed", "idle speed 2", "idle vacuum", "idle vacuum 2"} {
		if past[0].Digests[id] == nil {
			t.Errorf("nothing kept of %q", id)
		}
	}
	for _, c := range []struct {
		name  string
		after func(quantity.Name, float64) float64
		want  Kind
		says  string
	}{
		{"nothing changed", same, "", ""},
		{"hot oil thin", only(quantity.OilPressure, -90e3), OilSupply, "oil pressure at idle after the pass"},
		{"coolant pressure stays up", only(quantity.CoolantPressure, 70e3), CoolantPressure, "coolant pressure that stays at idle after the pass"},
		{"no charging", only(quantity.BatteryVoltage, -1.6), Electrical, "charging voltage at idle after the pass"},
		{"idles too fast, the throttle shut", only(quantity.EngineSpeed, 60), BoostLeak, "engine speed at idle after the pass"},
		{"idles too fast, the throttle a little open", func(q quantity.Name, v float64) float64 {
			switch q {
			case quantity.EngineSpeed:
				v += 60
			case quantity.Throttle:
				v += 0.035
			}
			return v
		}, Throttle, "engine speed at idle after the pass"},
		{"less vacuum", only(quantity.ManifoldPressure, 25e3), BoostLeak, "manifold pressure at idle after the pass"},
		{"bottle empty", only(quantity.BottlePressure, -3e6), Nitrous, "bottle pressure at idle after the pass"},
	} {
		res := ScreenAgainst(idleLog(77, c.after), past, sheet, Options{Units: quantity.Metric})
		if c.want == "" {
			if len(res.Findings) > 0 {
				t.Errorf("%s: %s", c.name, res.Findings[0].Evidence)
			}
			continue
		}
		if len(res.Findings) == 0 || res.Findings[0].Kind != c.want || !strings.Contains(strings.ToLower(res.Findings[0].Evidence), c.says) {
			t.Errorf("%s: want %q", c.name, c.want)
			for _, f := range res.Findings {
				t.Errorf("   got %s: %s", f.Kind, f.Evidence)
			}
		}
	}
}

// How the car was started stands beside the usual, and what is not usual is marked.
func TestStartAgainstTheUsual(t *testing.T) {
	sheet := &car.Sheet{RevLimit: 800}
	same := func(_ quantity.Name, v float64) float64 { return v }
	var past []Summary
	for i := range 4 {
		past = append(past, Summarise(idleLog(uint64(i), same), sheet))
	}
	cold := idleLog(9, same)
	for i, v := range cold.Set.First(quantity.OilTemperature).Trace.V {
		cold.Set.First(quantity.OilTemperature).Trace.V[i] = v - 25
	}
	res := ScreenAgainst(cold, past, sheet, Options{})
	for _, a := range res.Start {
		if a.Usual == nil || a.Unusual != (a.Quantity == quantity.OilTemperature) {
			t.Errorf("%+v", a)
		}
	}
	if len(res.Start) != 3 {
		t.Errorf("%d readings at the start, want 3", len(res.Start))
	}
}
