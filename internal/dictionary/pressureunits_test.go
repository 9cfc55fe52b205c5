package dictionary

import (
	"fmt"
	"math"
	"testing"

	"traplight/internal/logfile"
	"traplight/internal/quantity"
)

// TestPressureUnitsThatLie: manifold, fuel and turbine inlet pressure in one unit and told in
// another are found by the regulator, by one another and behind the closed throttle; a pump
// that gives out, a wastegate that hangs open and gauges that are told right stay as they are.
func TestPressureUnitsThatLie(t *testing.T) {
	const baro, step = 100.0, 350.0 // kPa
	units := map[string]float64{"kPa": 1, "bar": 100, "psi": 6.894757}
	try := func(name string, boost float64, fuelAt func(open float64) float64, real, told [3]string, vacuum [3]bool) {
		l, open := aPull()
		engine, throttle := make([]float64, len(open)), make([]float64, len(open))
		cols := make([][]float64, 3)
		for i, x := range open {
			engine[i], throttle[i] = 1500+5000*x+float64(i%7), 100*x
			manifold := 35 - baro + boost*x // kPa over the barometer
			for k, v := range []float64{manifold, step + manifold + fuelAt(x), 8 + 1.3*max(0, manifold)} {
				if vacuum[k] {
					v += baro
				}
				cols[k] = append(cols[k], math.Round(1e4*v/units[real[k]])/1e4)
			}
		}
		l.Columns = []logfile.Column{{Name: "Engine speed", Unit: "rpm", Values: engine}, {Name: "Throttle position", Unit: "%", Values: throttle}, l.Columns[1],
			{Name: "Manifold pressure", Unit: told[0], Values: cols[0]}, {Name: "Fuel pressure", Unit: told[1], Values: cols[1]}, {Name: "Exhaust manifold pressure", Unit: told[2], Values: cols[2]}}
		set, err := Identify(l, Options{FuelBase: step * 1e3, Barometer: baro * 1e3})
		if err != nil {
			t.Fatal(err)
		}
		for k, q := range []quantity.Name{quantity.ManifoldPressure, quantity.FuelPressure, quantity.ExhaustPressure} {
			c := set.First(q)
			if c == nil {
				t.Errorf("%s: no %s", name, q)
				continue
			}
			const at = 1200 // open
			want := cols[k][at] * units[real[k]]
			if vacuum[k] {
				want -= baro
			}
			if quantity.KeptAbsolute(q) {
				want += baro
			}
			if got, _ := near(c.Trace, 12, 0.1); math.Abs(got/1e3-want) > 1 {
				t.Errorf("%s: %s is %.1f kPa, want %.1f; unit %s; notes %q", name, q, got/1e3, want, c.Unit, set.Notes)
			}
		}
	}
	right := func(float64) float64 { return 0 }
	gauges := [3]bool{}
	kPa := [3]string{"kPa", "kPa", "kPa"}
	as := func(manifold, fuel, back string) [3]string { return [3]string{manifold, fuel, back} }
	told := as("kPa gauge", "kPa", "kPa gauge")
	try("all right", 265, right, kPa, told, gauges)
	for _, boost := range []float64{120, 265, 400} {
		b := fmt.Sprintf(" at %g kPa", boost)
		try("manifold in psi"+b, boost, right, as("psi", "kPa", "kPa"), told, gauges)
		try("fuel in psi"+b, boost, right, as("kPa", "psi", "kPa"), told, gauges)
		try("turbine inlet in psi"+b, boost, right, as("kPa", "kPa", "psi"), told, gauges)
		try("manifold from vacuum"+b, boost, right, kPa, told, [3]bool{true, false, false})
		try("turbine inlet from vacuum"+b, boost, right, kPa, told, [3]bool{false, false, true})
	}
	try("manifold in bar, told psi", 265, right, as("bar", "kPa", "kPa"), as("psi gauge", "kPa", "kPa gauge"), gauges)
	try("a pump that gives out", 265, func(x float64) float64 { return -220 * x }, kPa, told, gauges)
	try("a pump that gives out early", 265, func(x float64) float64 { return -265*x - 60*x*x }, kPa, told, gauges)
	try("a wastegate that hangs open", 90, right, kPa, told, gauges)
}
