package forecast_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"traplight/internal/car"
	"traplight/internal/fitcar"
	"traplight/internal/fitcar/fitcartest"
	"traplight/internal/forecast"
	"traplight/internal/sim/simtest"
)

// on is the pass plain on a strip of its own, m long.
func on(t *testing.T, m *fitcar.Model, length float64) *forecast.Next {
	t.Helper()
	notes := &car.Notes{Strips: []car.Strip{{ID: "other", Length: length, TrapWindow: 20, Grade: math.NaN()}}}
	p := plain()
	p.Strip = "other"
	n, err := forecast.Prepare(m, notes, p)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// A model that is 4 % too strong in every gear is set right by the record wherever the record
// goes: at the quarter mile, which its passes went through, as at their own line. Beyond it
// stands on the model, says so, and is less sure.
func TestOtherLength(t *testing.T) {
	sound := model(t)
	strong := *sound
	lift := func(mem fitcar.Member) fitcar.Member {
		mem.Scale, mem.Residual = slices.Clone(mem.Scale), slices.Clone(mem.Residual)
		for g := range mem.Scale {
			mem.Scale[g] *= 1.04
		}
		for k := range mem.Residual {
			mem.Residual[k] = math.NaN()
			if was, _, _, ok := strong.MissedAt(&mem, k, sound.Passes[k].Obs.Length, sound.Passes[k].Obs.Window); ok {
				mem.Residual[k] = was
			}
		}
		return mem
	}
	strong.Mean = lift(sound.Mean)
	strong.Members = nil
	for _, mem := range sound.Members {
		strong.Members = append(strong.Members, lift(mem))
	}
	run := func(m *fitcar.Model, n *forecast.Next) forecast.Spread {
		r, err := forecast.Run(t.Context(), m, n, forecast.Options{Draws: 200})
		if err != nil {
			t.Fatal(err)
		}
		return r.Trap
	}
	var half forecast.Spread
	for _, length := range []float64{402.336, 804.672} {
		a, b := run(sound, on(t, sound, length)), run(&strong, on(t, &strong, length))
		if math.Abs(b.Mean/a.Mean-1) > 0.003 {
			t.Errorf("over %.0f m: %.2f m/s by the fit, %.2f by a stronger one that missed the record", length, a.Mean, b.Mean)
		}
		half = a
	}
	mile := on(t, sound, 1609.344)
	told := func(n *forecast.Next) bool {
		return slices.ContainsFunc(n.Notes, func(s string) bool { return strings.Contains(s, "stands on the model") })
	}
	if told(on(t, sound, 402.336)) || told(on(t, sound, 804.672)) || !told(mile) {
		t.Error("what lies beyond the record is not told, or told where nothing does")
	}
	if a, b := half, run(sound, mile); b.SD/b.Mean < 1.2*a.SD/a.Mean {
		t.Errorf("a mile is foretold to %.2f %%, the half mile that was run to %.2f %%", 100*b.SD/b.Mean, 100*a.SD/a.Mean)
	}
}

// Grip of a strip on which the car was never run is in doubt, and told.
func TestOtherStrip(t *testing.T) {
	m := *model(t)
	m.Passes = slices.Clone(m.Passes)
	for k := range m.Passes {
		o := *m.Passes[k].Obs
		o.Strip = "home"
		m.Passes[k].Obs = &o
	}
	n := on(t, &m, 804.672)
	if !slices.ContainsFunc(n.Notes, func(s string) bool { return strings.Contains(s, `"other"`) }) {
		t.Errorf("a strip that is not in the record is not told: %q", n.Notes)
	}
	grip := func(n *forecast.Next) float64 {
		parts, err := forecast.Parts(t.Context(), &m, n, 60)
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range parts {
			if p.Name == "grip" {
				return p.SD
			}
		}
		return 0
	}
	home := *n
	home.Strip = "home"
	if a, b := grip(&home), grip(n); b < 1.3*a {
		t.Errorf("grip is worth %.3f m/s at home, %.3f on another strip", a, b)
	}
}

// A shorter final drive that brings the car to the line on a limiter which no log shows is foretold
// as surely as it is known where that holds the engine: 5 of 850 rad/s.
func TestUnseenLimiter(t *testing.T) {
	runs, err := fitcartest.Record(2, 1, simtest.InventedPass().Target)
	if err != nil {
		t.Fatal(err)
	}
	sheet := *fitcartest.Sheet()
	sheet.FinalDrive *= 1.3
	m, err := fitcar.Fit(t.Context(), &sheet, fitcartest.Observations(runs), fitcar.Options{Members: 4})
	if err != nil {
		t.Fatal(err)
	}
	n, err := forecast.Prepare(m, nil, plain())
	if err != nil {
		t.Fatal(err)
	}
	r, err := forecast.Run(t.Context(), m, n, forecast.Options{Draws: 200})
	if err != nil {
		t.Fatal(err)
	}
	if most := 855 / (sheet.Gears[4] * 1.3) * 0.33; r.Trap.Mean > most {
		t.Fatalf("%.1f m/s at the trap, over what the limiter allows, %.1f", r.Trap.Mean, most)
	}
	if rel := r.Trap.SD / r.Trap.Mean; rel < 0.0055 {
		t.Errorf("trap speed ± %.2f %%", 100*rel)
	}
}
