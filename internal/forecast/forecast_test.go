package forecast_test

import (
	"context"
	"encoding/json"
	"errors"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"traplight/internal/car"
	"traplight/internal/fitcar"
	"traplight/internal/fitcar/fitcartest"
	"traplight/internal/forecast"
	"traplight/internal/physics/air"
	"traplight/internal/sim/simtest"
)

// fitted is the invented car fitted to three of its passes.
var fitted = sync.OnceValues(func() (*fitcar.Model, error) {
	runs, err := fitcartest.Record(3, 1, simtest.InventedPass().Target)
	if err != nil {
		return nil, err
	}
	return fitcar.Fit(context.Background(), fitcartest.Sheet(), fitcartest.Observations(runs), fitcar.Options{Members: 4})
})

func model(t testing.TB) *fitcar.Model {
	t.Helper()
	m, err := fitted()
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// plain is a planned pass that changes nothing.
func plain() *car.Planned {
	nan := math.NaN()
	return &car.Planned{ID: "next", AfterIndex: -1, MinutesLater: 40, ColdPressure: nan, LaunchSpeed: nan,
		Weather: car.Weather{AirTemp: 292, Pressure: 101e3, Humidity: 0.5, Headwind: 0.5, HeadwindS: 0.5, Gust: nan, Crosswind: nan}}
}

func prepare(t testing.TB, m *fitcar.Model, p *car.Planned) *forecast.Next {
	t.Helper()
	n, err := forecast.Prepare(m, &car.Notes{}, p)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// Every planned key moves the trap speed the way physics has it, draw by draw under the
// same luck.
func TestPlannedKeys(t *testing.T) {
	m := model(t)
	mean := func(change func(p *car.Planned)) float64 {
		p := plain()
		change(p)
		d, err := forecast.Draws(t.Context(), m, prepare(t, m, p), forecast.Options{Draws: 24})
		if err != nil {
			t.Fatal(err)
		}
		s := 0.0
		for _, x := range d {
			s += x.Trap / float64(len(d))
		}
		return s
	}
	base := mean(func(*car.Planned) {})
	yes := true
	for _, c := range []struct {
		name     string
		change   func(p *car.Planned)
		min, max float64 // m/s over the base
	}{
		{"more boost in the upper gears", func(p *car.Planned) { p.BoostAdd = []float64{0, 0, 0, 20e3, 20e3} }, 0.2, 3},
		{"less boost, as targets", func(p *car.Planned) { p.BoostTarget = []float64{60e3, 105e3, 165e3, 205e3, 205e3} }, -3, -0.08},
		{"heavier", func(p *car.Planned) { p.MassAdd = 60 }, -3, -0.2},
		{"more drag", func(p *car.Planned) { p.DragAreaAdd = 0.05 }, -1.5, -0.15},
		{"headwind", func(p *car.Planned) { p.Weather.Headwind = 4 }, -2.5, -0.3},
		{"tail wind", func(p *car.Planned) { p.Weather.Headwind = -3 }, 0.3, 2.5},
		{"cooler", func(p *car.Planned) { p.Weather.AirTemp = 280 }, 0.1, 2},
		{"higher barometer", func(p *car.Planned) { p.Weather.Pressure = 103e3 }, 0.02, 2},
		{"nitrous", func(p *car.Planned) { p.Nitrous = &yes }, 0.2, 6},
		{"short shifts", func(p *car.Planned) { p.ShiftAdd = -60 }, -4, -0.2},
		{"a little more engine speed at the launch", func(p *car.Planned) { p.LaunchSpeed = 4900 * math.Pi / 30 }, -0.3, 0.5},
		{"launched near stalling", func(p *car.Planned) { p.LaunchSpeed = 2200 * math.Pi / 30 }, -3, -0.02},
		{"launched as it was", func(p *car.Planned) { p.LaunchSpeed = 4500 * math.Pi / 30 }, 0, 0},
		{"later", func(p *car.Planned) { p.MinutesLater = 600 }, -0.3, 0.3},
	} {
		if d := mean(c.change) - base; d < c.min || d > c.max {
			t.Errorf("%s: %+.2f m/s, want %g to %g", c.name, d, c.min, c.max)
		}
	}
}

// What is less known makes the interval wider, and the middle stays.
func TestUnknownsWiden(t *testing.T) {
	m := model(t)
	run := func(n *forecast.Next) forecast.Spread {
		r, err := forecast.Run(t.Context(), m, n, forecast.Options{Draws: 120})
		if err != nil {
			t.Fatal(err)
		}
		return r.Trap
	}
	known := run(prepare(t, m, plain()))
	p := plain()
	p.Weather = car.Weather{AirTemp: math.NaN(), Pressure: math.NaN(), Humidity: math.NaN(), Headwind: math.NaN()}
	n := prepare(t, m, p)
	if len(n.Notes) < 3 {
		t.Errorf("the missing weather is not told: %q", n.Notes)
	}
	if w := run(n); w.SD <= known.SD || math.Abs(w.Mean-known.Mean) > 1 {
		t.Errorf("unknown weather: %+v, known %+v", w, known)
	}
	p = plain()
	p.BoostAdd = []float64{30e3}
	if w := run(prepare(t, m, p)); w.SD <= known.SD {
		t.Errorf("a boost that was not run: sd %.3f, %.3f without", w.SD, known.SD)
	}
}

// An engine computer that holds absolute pressure gives more boost over a barometer
// that fell, one that holds gauge the same; stated targets are over the barometer of
// the pass to come.
func TestSetPoints(t *testing.T) {
	was := model(t)
	for _, c := range []struct {
		point  string
		target []float64
		want   float64 // Pa gauge in the fifth gear
	}{{"gauge", nil, 235e3}, {"absolute", nil, 238e3}, {"absolute", []float64{200e3}, 200e3}, {"", nil, 235e3}} {
		m := *was
		sheet := *was.Sheet
		sheet.BoostSetpoint = c.point
		m.Sheet = &sheet
		p := plain()
		p.Weather.Pressure, p.BoostTarget = 98e3, c.target
		n := prepare(t, &m, p)
		if got := n.Target[len(n.Target)-1]; math.Abs(got-c.want) > 1 {
			t.Errorf("set-point %q, target %v: %.0f Pa, want %.0f", c.point, c.target, got, c.want)
		}
		if rho, _ := air.Density(292, 98e3, 0.5); math.Abs(n.Air.Density-rho) > 1e-9 {
			t.Errorf("density %.4f, want %.4f", n.Air.Density, rho)
		}
	}
}

// A new sheet: shorter gears, other tyres, another turbo are told and taken.
func TestNewSheet(t *testing.T) {
	runs, _ := fitcartest.Record(2, 1, simtest.InventedPass().Target)
	sheet := fitcartest.Sheet()
	sheet.FinalDrive *= 1.06
	sheet.TyreSize, sheet.Turbo, sheet.Fuel = "slick", "a larger single", "E85"
	for _, r := range runs {
		old := fitcartest.Sheet()
		old.Turbo, old.Fuel = "single", "gasoline"
		r.Obs.Sheet = old
	}
	m, err := fitcar.Fit(t.Context(), sheet, fitcartest.Observations(runs), fitcar.Options{Members: 2})
	if err != nil {
		t.Fatal(err)
	}
	for k, r := range m.Mean.Residual {
		if math.Abs(r) > 0.6 {
			t.Errorf("pass %d with its own gears: the replay misses by %.2f m/s", k, r)
		}
	}
	n := prepare(t, m, plain())
	told := strings.Join(n.Notes, "\n")
	for _, w := range []string{"tyres", "fuel", "turbo", "gearing"} {
		if !strings.Contains(told, w) {
			t.Errorf("a change of %s is not told:\n%s", w, told)
		}
	}
	if r := m.Mean.Car.Ratios[0] / r0(runs); math.Abs(r-1.06) > 1e-9 {
		t.Errorf("first gear by %.3f", r)
	}
	if n.Revision.SpoolSD <= 0 || n.Revision.TorqueSD <= 0 || n.Revision.Grip <= 0 {
		t.Errorf("%+v", n.Revision)
	}
}

func r0(runs []fitcartest.Run) float64 {
	s := runs[0].Obs.Sheet
	return s.Gears[0] * s.FinalDrive
}

// The same input and seed give the same draws, however many work; another seed others.
func TestDeterministic(t *testing.T) {
	m := model(t)
	run := func(seed uint64, workers int) []float64 {
		r, err := forecast.Run(t.Context(), m, prepare(t, m, plain()), forecast.Options{Draws: 40, Seed: seed, Workers: workers})
		if err != nil {
			t.Fatal(err)
		}
		return r.Traps
	}
	one := run(1, 1)
	if !slices.Equal(one, run(1, 2)) {
		t.Error("two workers draw other luck than one")
	}
	if slices.Equal(one, run(2, 1)) {
		t.Error("another seed gives the same draws")
	}
}

// A plan that states what is not understood is refused; so is boost under the barometer.
func TestPrepareRefuses(t *testing.T) {
	m := model(t)
	p := plain()
	p.HasOtherChanges = true
	if _, err := forecast.Prepare(m, &car.Notes{}, p); err == nil || !strings.Contains(err.Error(), "not understood") {
		t.Error(err)
	}
	p = plain()
	p.BoostAdd = []float64{-90e3}
	if _, err := forecast.Prepare(m, &car.Notes{}, p); err == nil || !strings.Contains(err.Error(), "under the barometer") {
		t.Error(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	stop()
	if _, err := forecast.Run(ctx, m, prepare(t, m, plain()), forecast.Options{Draws: 400}); !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
}

// Forecasts are written down in a chain, scored twice, and the scores stretch later
// intervals; a changed file is refused.
func TestRecords(t *testing.T) {
	m := model(t)
	path := filepath.Join(t.TempDir(), "forecasts.jsonl")
	at := time.Date(2034, 5, 6, 10, 0, 0, 0, time.UTC)
	r, err := forecast.Run(t.Context(), m, prepare(t, m, plain()), forecast.Options{Draws: 120})
	if err != nil {
		t.Fatal(err)
	}
	for range 2 {
		a := r.Answer()
		if err := forecast.Append(path, "Invented", []string{"p1.csv#0"}, r, a, at); err != nil {
			t.Fatal(err)
		}
		if a.Hash == "" || a.Recorded != "2034-05-06T10:00:00Z" {
			t.Errorf("%q %q", a.Recorded, a.Hash)
		}
	}
	records, err := forecast.ReadRecords(path)
	if err != nil || len(records) != 2 || records[1].Before != records[0].Hash {
		t.Fatalf("%v: %d records", err, len(records))
	}
	rec, scored := forecast.Find(records, "next")
	if rec == nil || rec.Hash != records[1].Hash || scored {
		t.Fatalf("%+v %v", rec, scored)
	}
	// three standard deviations off: outside, and later intervals grow
	truth := r.Trap.Mean + 3*r.Trap.SD
	s := forecast.ScoreResult(r, truth)
	if s.Inside || math.Abs(s.Error+3*r.Trap.SD) > 0.01 || s.CRPS <= 0 || s.PIT < 0.95 {
		t.Errorf("%+v", s)
	}
	if err := forecast.AppendScore(path, "Invented", &forecast.Scored{Next: "next", Forecast: rec.Hash, Trap: truth, SD: r.Trap.SD, Expected: s, AsRun: &s, AsRunSD: r.Trap.SD}, at); err != nil {
		t.Fatal(err)
	}
	if records, err = forecast.ReadRecords(path); err != nil {
		t.Fatal(err)
	}
	if _, scored := forecast.Find(records, "next"); !scored {
		t.Error("the score is not found")
	}
	expected, asRun := forecast.TrackOf(records, "Invented")
	if want := math.Sqrt((10 + 9.0) / 11); expected.Count != 1 || asRun.Count != 1 || math.Abs(asRun.Widen-want) > 0.01 {
		t.Errorf("%+v %+v, want a factor of %.3f", expected, asRun, want)
	}
	if other, _ := forecast.TrackOf(records, "Other"); other.Count != 0 {
		t.Errorf("another car's track: %+v", other)
	}
	wide, err := forecast.Run(t.Context(), m, prepare(t, m, plain()), forecast.Options{Draws: 120, Track: &asRun})
	if err != nil || math.Abs((wide.Trap.P95-wide.Trap.P05)/(r.Trap.P95-r.Trap.P05)-asRun.Widen) > 1e-6 || math.Abs(wide.Trap.P50-r.Trap.P50) > 1e-9 {
		t.Errorf("%v: %+v after %+v", err, wide.Trap, r.Trap)
	}
	data, _ := os.ReadFile(path)
	if err := os.WriteFile(path, []byte(strings.Replace(string(data), `"mean_mps":`, `"mean_mps":1`, 1)), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := forecast.ReadRecords(path); !errors.Is(err, forecast.ErrChanged) {
		t.Errorf("a changed file is read: %v", err)
	}
}

// The names of the answer's keys are fixed by the design.
func TestAnswerKeys(t *testing.T) {
	m := model(t)
	n := prepare(t, m, plain())
	n.Aim = 85
	r, err := forecast.Run(t.Context(), m, n, forecast.Options{Draws: 40, Ledger: true})
	if err != nil {
		t.Fatal(err)
	}
	data, err := json.Marshal(r.Answer())
	if err != nil {
		t.Fatal(err)
	}
	var a map[string]any
	if err := json.Unmarshal(data, &a); err != nil {
		t.Fatal(err)
	}
	for key, inner := range map[string]string{"trap": "mean_mps sd_mps p05_mps p50_mps p95_mps", "time": "mean_s sd_s p05_s p50_s p95_s",
		"target": "speed_mps chance", "stopping_m": "p50 p95"} {
		o, ok := a[key].(map[string]any)
		for _, k := range strings.Fields(inner) {
			if _, is := o[k].(float64); !ok || !is {
				t.Errorf("%s.%s is missing", key, k)
			}
		}
	}
	for _, k := range []string{"top_speed_mps", "binding", "ledger", "notes", "trap_standard_air_mps"} {
		if _, ok := a[k]; !ok {
			t.Errorf("%s is missing", k)
		}
	}
	if len(r.Ledger) != 10 {
		t.Errorf("%d lines in the ledger", len(r.Ledger))
	}
}

// A forecast of 2,000 draws, the car fitted before.
func BenchmarkForecast(b *testing.B) {
	m := model(b)
	n := prepare(b, m, plain())
	for b.Loop() {
		if _, err := forecast.Run(context.Background(), m, n, forecast.Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

// The same with the fit to three passes.
func BenchmarkForecastWithFit(b *testing.B) {
	runs, err := fitcartest.Record(3, 1, simtest.InventedPass().Target)
	if err != nil {
		b.Fatal(err)
	}
	obs := fitcartest.Observations(runs)
	for b.Loop() {
		m, err := fitcar.Fit(context.Background(), fitcartest.Sheet(), obs, fitcar.Options{})
		if err != nil {
			b.Fatal(err)
		}
		if _, err := forecast.Run(context.Background(), m, prepare(b, m, plain()), forecast.Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
