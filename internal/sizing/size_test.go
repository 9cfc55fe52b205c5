package sizing

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"flag"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"traplight/internal/car"
	"traplight/internal/physics/compressor"
	"traplight/internal/physics/turbomap"
	"traplight/internal/quantity"
)

var update = flag.Bool("update", false, "rewrite the golden texts")

func mustSheet(t testing.TB, name string) *car.Sheet {
	t.Helper()
	s, err := car.LoadSheet(name)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func mustMap(t testing.TB) *turbomap.Compressor {
	t.Helper()
	f, err := os.Open("testdata/map.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	m, err := turbomap.ReadCompressor("map.csv", f)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// full is a request with everything stated.
func full(t testing.TB) Request {
	strip := car.DefaultStrip()
	strip.ShutDown, strip.Elevation = 1100, 120
	return Request{Sheet: mustSheet(t, "testdata/plover.toml"), Strip: strip, Map: mustMap(t), Draws: 40}
}

func mustSize(t testing.TB, q Request) *Result {
	t.Helper()
	r, err := Size(context.Background(), q)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// TestGolden shows the whole answer in both worlds; -update rewrites, review reads.
func TestGolden(t *testing.T) {
	q := full(t)
	q.Housings = []*turbomap.Turbine{housingOf(t, "small", 9e-4), housingOf(t, "large", 20e-4)}
	r := mustSize(t, q)
	for _, w := range []struct {
		file  string
		world quantity.World
	}{{"plover.us.txt", quantity.Imperial}, {"plover.metric.txt", quantity.Metric}} {
		var b bytes.Buffer
		if err := r.WriteText(&b, w.world); err != nil {
			t.Fatal(err)
		}
		golden(t, w.file, b.Bytes())
		if bytes.Contains(b.Bytes(), []byte("NaN")) || bytes.Contains(b.Bytes(), []byte("Inf")) {
			t.Errorf("%s: a number that is none", w.file)
		}
	}
	b, err := json.MarshalIndent(r, "", "  ")
	if err != nil {
		t.Fatal(err)
	}
	golden(t, "plover.json", append(b, '\n'))
	again, err := json.MarshalIndent(mustSize(t, q), "", "  ")
	if err != nil || !bytes.Equal(b, again) {
		t.Errorf("the same request gave other bytes (%v)", err)
	}
}

func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s has changed; read the difference and rewrite it with -update:\n%s", path, firstDifference(got, want))
	}
}

func firstDifference(a, b []byte) string {
	x, y := strings.Split(string(a), "\n"), strings.Split(string(b), "\n")
	for i := range x {
		if i >= len(y) || x[i] != y[i] {
			other := ""
			if i < len(y) {
				other = y[i]
			}
			return "got  " + x[i] + "\nwant " + other
		}
	}
	return "the end is missing"
}

func TestWhatIsMissing(t *testing.T) {
	for _, r := range []struct {
		name   string
		change func(q *Request)
		want   error
		text   string
	}{
		{"target", func(q *Request) { q.Sheet.Target = 0 }, ErrNoTarget, ""},
		{"gears", func(q *Request) { q.Sheet.Gears = nil }, ErrNoGears, ""},
		{"engine speed", func(q *Request) { q.Sheet.RevLimit, q.Sheet.UsualShiftSpeed = 0, nil }, ErrNoSpeed, ""},
		{"a unit", func(q *Request) { q.Target = 320 }, nil, "is a unit wrong?"},
		{"sheet", func(q *Request) { q.Sheet = nil }, nil, "no car sheet"},
	} {
		q := full(t)
		r.change(&q)
		_, err := Size(context.Background(), q)
		if err == nil || r.want != nil && !errors.Is(err, r.want) || !strings.Contains(err.Error(), r.text) {
			t.Errorf("%s: %v", r.name, err)
		}
	}
	// A sheet that says little: the parts that need more are absent and say what they need.
	q := Request{Sheet: mustSheet(t, "testdata/bare.toml"), Draws: 40}
	r := mustSize(t, q)
	if r.Engine.Boost != nil || r.Compressor != nil || r.Turbine != nil || r.Fuel.Duty != nil || r.Tyres.Within != nil || r.Stop.TooShort != nil {
		t.Errorf("something was invented: %+v", r)
	}
	missing := strings.Join(r.Missing, "\n")
	for _, w := range []string{"displacement_l", "injectors_total_flow_l_min", "gearbox_torque_nm_by_gear", "speed_symbol", "shut_down_m", "fuel_pressure_base_bar"} {
		if !strings.Contains(missing, w) {
			t.Errorf("%s is not asked for in:\n%s", w, missing)
		}
	}
	// A context that is over ends the work.
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, err := Size(ctx, full(t)); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}

// TestAirBalance: every draw of the air path fulfils the published equations at once.
func TestAirBalance(t *testing.T) {
	for _, withMap := range []bool{true, false} {
		q := full(t)
		if !withMap {
			q.Map = nil
		}
		st := studyOf(t, q)
		for i := range st.breaths {
			b := &st.breaths[i]
			if math.IsNaN(b.air) {
				continue
			}
			// Speed–density (Heywood 2.10).
			near(t, "air", compressor.AirFlow(b.fill, b.manifold, q.Sheet.Displacement, b.speed, b.charge), b.air, 1e-6*b.air)
			// Compressor outlet (Saravanamuttoo, chapter 2) and the work of the shaft.
			near(t, "outlet", compressor.Outlet(b.inlet, b.ratio, b.eta, 1.4), b.outlet, 1e-3)
			near(t, "shaft", b.air*1005*(b.outlet-b.inlet), b.shaft, 1)
			// Air for the fuel: power, efficiency and mixture agree.
			if lambda := b.air / (b.fuel * st.fuel.Stoich.Value); lambda < 0.6 || lambda > 1 {
				t.Errorf("lambda %.3f", lambda)
			}
			if withMap && st.q.Map.Locate(q.Map.Reference.Flow(b.air, b.inlet, b.inletPressure), b.ratio).Region == turbomap.Inside {
				p := st.q.Map.Locate(q.Map.Reference.Flow(b.air, b.inlet, b.inletPressure), b.ratio)
				near(t, "efficiency of the map", b.eta, p.Efficiency, 1e-3)
			}
		}
	}
}

// TestTurnedRound: a schedule that has just the boost which the target asks for makes just
// the power that it asks for.
func TestTurnedRound(t *testing.T) {
	for _, withMap := range []bool{true, false} {
		q := full(t)
		if !withMap {
			q.Map = nil
		}
		r := mustSize(t, q)
		own := *q.Sheet
		own.UsualBoost = slices.Clone(own.UsualBoost)
		top := slices.Max(own.UsualBoost)
		for g := range own.UsualBoost {
			own.UsualBoost[g] *= r.Engine.Boost.Value / top
		}
		q.Sheet = &own
		turned := mustSize(t, q)
		near(t, "boost of the schedule", turned.Engine.Schedule.Boost, r.Engine.Boost.Value, 1)
		// the medians of two figures that hang on the same draws unlike
		near(t, "its power", turned.Engine.Schedule.Power.Value, turned.Power.Crank.Value, 0.04*turned.Power.Crank.Value)
	}
}

// studyOf runs the first steps of Size and hands out the draws.
func studyOf(t *testing.T, q Request) *study {
	t.Helper()
	st, err := begin(&q)
	if err != nil {
		t.Fatal(err)
	}
	if err := st.power(context.Background()); err != nil {
		t.Fatal(err)
	}
	st.breathe()
	return st
}

// TestFuelByHand: injectors by arithmetic. 60 g/s of a fuel of 781 kg/m³ at 85 % duty and the
// rated difference need 60/781/0.85 ml/s.
func TestFuelByHand(t *testing.T) {
	r := mustSize(t, full(t))
	f := r.Fuel
	rho := f.Mass.Value / f.Volume.Value
	if rho < 740 || rho > 820 {
		t.Errorf("density %.0f kg/m³", rho)
	}
	want := f.Volume.Value / f.DutyLimit * math.Sqrt(f.RatedAt/f.Across)
	near(t, "injectors", f.Needed.Value, want, 0.01*want)
	near(t, "each", f.Each.Value*float64(f.Count), f.Needed.Value, 0.01*want)
	near(t, "pump", f.Pump.Value, 1.15*f.Volume.Value, 0.01*f.Pump.Value)
	q := full(t)
	q.Sheet.Nitrous.Flow = 0.04
	more := mustSize(t, q).Fuel
	// 0.04 kg/s of nitrous oxide at lambda 0.8 burn 0.04/(stoich·0.2315/0.3635·0.8) of fuel:
	// fuel.FuelForNitrous, checked in its package.
	near(t, "fuel for nitrous", more.Mass.Value-f.Mass.Value, more.NitrousFuel.Value, 2e-3)
}
