package sizing

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"traplight/internal/physics/compressor"
	"traplight/internal/physics/nozzle"
	"traplight/internal/physics/turbomap"
)

func mustHousing(t testing.TB, name, text string) *turbomap.Turbine {
	t.Helper()
	h, err := turbomap.ReadTurbine(name, strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return h
}

// TestTurbineWork: a published expansion. Ratio 2.5, efficiency 0.68, 1200 K, γ 1.33, cp
// 1150 J/(kg·K): 190.831 kJ/kg (references/turbo.md, computed).
func TestTurbineWork(t *testing.T) {
	h := hot{flow: 1, temperature: 1200, outlet: 100e3, eff: 0.68, shaft: 190831}
	near(t, "flow through", h.through(2.5, 0.68), 1, 1e-4)
	near(t, "least ratio", h.least(), 2.5, 1e-3)
	h.shaft = 1200 * 1150 // more than all its heat
	if !math.IsInf(h.least(), 1) {
		t.Error("it makes work of nothing")
	}
}

// housingOf is a turbine that swallows as an orifice of that effective area, m².
func housingOf(t testing.TB, name string, area float64) *turbomap.Turbine {
	var b strings.Builder
	b.WriteString("# reference_temperature_k = 288.15\n# reference_pressure_kpa = 101.325\nexpansion ratio,corrected flow [kg/s]\n")
	for x := 1.02; x < 7; x *= 1.01 {
		w := nozzle.MassFlow(area, 101325, 101325/x, 288.15, compressor.GammaGas, compressor.GasExhaust)
		b.WriteString(strings.Join([]string{num(x), num(w)}, ",") + "\n")
	}
	return mustHousing(t, name, b.String())
}

func num(x float64) string {
	b, _ := json.Marshal(x)
	return string(b)
}

// TestHousing: a housing of exactly the area that a back-pressure ratio asks for gives that
// ratio, and passes the same share by its wastegate.
func TestHousing(t *testing.T) {
	steps := 0
	for seed := range uint64(6) {
		q := full(t)
		q.Draws, q.Seed = 1, seed // one case, so that all medians are of it
		r := mustSize(t, q)
		if r.Turbine == nil {
			continue // that case does not reach the target
		}
		for _, step := range r.Turbine.Steps {
			if step.Area == nil {
				continue
			}
			steps++
			q.Housings = []*turbomap.Turbine{housingOf(t, "made to measure", step.Area.Value)}
			h := mustSize(t, q).Turbine.Housings[0]
			if h.Ratio == nil {
				t.Fatalf("%+v for %+v", h, step)
			}
			near(t, "back-pressure ratio", h.Ratio.Value, step.Ratio, 2e-3*step.Ratio)
			near(t, "wastegate share", h.Gate.Value, step.Share.Value, 2e-3)
			if h.Threshold.Value > r.Engine.Speed.Value {
				t.Errorf("ratio %.2f: full boost from %.0f rad/s, beyond peak power at %.0f", step.Ratio, h.Threshold.Value, r.Engine.Speed.Value)
			}
		}
	}
	if steps < 8 {
		t.Errorf("only %d steps were possible", steps)
	}
	q := full(t)
	// A larger housing lowers the pressure and comes later; a huge one never does.
	q.Housings = []*turbomap.Turbine{housingOf(t, "a", 8e-4), housingOf(t, "b", 10e-4), housingOf(t, "c", 100e-4)}
	h := mustSize(t, q).Turbine.Housings
	if !(h[1].Ratio.Value < h[0].Ratio.Value && h[1].Threshold.Value > h[0].Threshold.Value) {
		t.Errorf("%+v\n%+v", h[0], h[1])
	}
	if h[2].Enough > 0.05 || h[2].Ratio != nil {
		t.Errorf("a huge housing drives the compressor: %+v", h[2])
	}
}
