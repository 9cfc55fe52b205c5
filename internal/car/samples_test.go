package car

import (
	"math"
	"path/filepath"
	"testing"

	"traplight/internal/quantity"
	"traplight/internal/reftest"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.9g, want %.9g ± %.2g", what, got, want, tol)
	}
}

// The simulated sheets and notes that lie beside the repository are read without a
// word, and every figure lands in SI.
func TestSampleSheets(t *testing.T) {
	dir := reftest.Path(t, "logs")
	files, err := filepath.Glob(filepath.Join(dir, "car_*.toml"))
	if err != nil || len(files) == 0 {
		t.Skip("no sample sheets")
	}
	for _, f := range files {
		s, err := LoadSheet(f)
		if err != nil {
			t.Errorf("%v", err)
			continue
		}
		if len(s.Notes) > 0 || s.StrictErr() != nil {
			t.Errorf("%s: notes %q, strict %v", s.File, s.Notes, s.StrictErr())
		}
		if len(s.Gears) != len(s.UsualBoost) || len(s.UsualShiftSpeed) != len(s.Gears)-1 {
			t.Errorf("%s: lists by gear do not fit", s.File)
		}
		for _, e := range []quantity.Estimate{s.Mass, s.DragArea, s.RollingResist, s.Wheelbase, s.CGHeight, s.FrontWeightShare, s.LossShare, s.EngineInertia, s.DrivenInertia, s.TyreRadius, s.UndrivenRadius} {
			if !(e.Value > 0 && e.SD > 0 && e.SD < 0.6*e.Value) {
				t.Errorf("%s: estimate %+v", s.File, e)
			}
		}
	}
	s, err := LoadSheet(filepath.Join(dir, "car_marlin.toml"))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "mass", s.Mass.Value, 1243, 0)
	near(t, "mass SD", s.Mass.SD, 12.43, 1e-9)
	near(t, "radius", s.TyreRadius.Value, 0.331*0.976, 1e-12)
	near(t, "injectors", s.InjectorFlow, 11.47e-3/60, 1e-12)
	near(t, "injector pressure", s.InjectorFlowPress, 3.5e5, 1e-9)
	near(t, "boost", s.UsualBoost[2], 170e3, 1e-9)
	near(t, "shift", s.UsualShiftSpeed[0], 7500*math.Pi/30, 1e-9)
	near(t, "displacement", s.Displacement, 3.2e-3, 1e-12)
	near(t, "cold pressure", s.UsualColdPressure, 1.6e5, 1e-9)
	if s.Driven != FrontDriven || s.Fuel != "E85" || s.Cylinders != 6 || s.SlipCut || s.TyreSize != "26.0x9.5-16 drag radial" {
		t.Errorf("sheet: %+v", s)
	}
}

func TestSampleNotes(t *testing.T) {
	path := reftest.Path(t, "logs", "passes.toml")
	n, err := LoadNotes(path)
	if err != nil {
		t.Fatal(err)
	}
	if len(n.Notes) > 0 || n.StrictErr() != nil {
		t.Errorf("notes %q, strict %v", n.Notes, n.StrictErr())
	}
	p := n.For("/some/where/C01_otter_two_passes.csv", 1)
	if p == nil {
		t.Fatal("the second pass of c01 was not found")
	}
	near(t, "temperature", p.Weather.AirTemp, 301.35, 1e-9)
	near(t, "pressure", p.Weather.Pressure, 98560, 1e-9)
	near(t, "humidity", p.Weather.Humidity, 0.35, 1e-12)
	near(t, "headwind", p.Weather.Headwind, -1.0, 0)
	near(t, "slip quarter", p.Slip.Marks["1/4 mile"], 12.349, 0)
	near(t, "slip trap", p.Slip.Trap, 149.50*0.44704, 1e-9)
	if p.Nitrous == nil || *p.Nitrous || n.For("c01_otter_two_passes.csv", 2) != nil || n.For("x.csv", 0) != nil {
		t.Error("pass lookup or nitrous")
	}
	q := n.PlannedByID("e01-q1")
	if q == nil || n.After(q) != n.For("e01_tern.csv", 0) {
		t.Fatal("planned pass e01-q1")
	}
	near(t, "boost change", q.BoostAdd[2], 15e3, 1e-9)
	near(t, "planned wind", n.WeatherFor(q).Headwind, -1.2, 0)
	if q.HasOtherChanges || !math.IsNaN(q.ColdPressure) || q.AfterIndex != -1 {
		t.Errorf("planned: %+v", q)
	}
	if s := n.StripFor(p); s.Length != 804.672 || s.TrapWindow != 20.1168 {
		t.Errorf("strip: %+v", s)
	}
}
