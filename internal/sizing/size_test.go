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
	"strings"
	"testing"

	"traplight/internal/car"
	"traplight/internal/physics/compressor"
	"traplight/internal/physics/nozzle"
	"traplight/internal/physics/straight"
	"traplight/internal/physics/turbomap"
	"traplight/internal/quantity"
	"traplight/internal/reftest"
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

func mustHousing(t testing.TB, name, text string) *turbomap.Turbine {
	t.Helper()
	h, err := turbomap.ReadTurbine(name, strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return h
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

// TestStopping holds the way and the energy to published figures: 200 mph at 0.4, 0.5, 0.6 g
// without reaction 1018.9, 815.1, 679.3 m; 1600 kg at 200 mph 6.40 MJ (references/safety.md, A).
func TestStopping(t *testing.T) {
	v := 200 * 0.44704
	for g, want := range map[float64]float64{0.4: 1018.9, 0.5: 815.1, 0.6: 679.3} {
		near(t, "way", straight.StoppingDistance(v, g*gravity), want, 0.06)
	}
	near(t, "energy", StoppingEnergy(1600, v, 5, 0, 0)/1e6, 6.40, 0.006)
	// With drag: the work of the brakes, added up in small steps.
	const mass, a, k, roll = 1600.0, 4.9, 0.4, 200.0
	sum, step := 0.0, 0.01
	for u := v; u > 0; u -= a * step {
		sum += math.Max(0, mass*a-k*u*u-roll) * u * step
	}
	near(t, "work of the brakes", StoppingEnergy(mass, v, a, k, roll)/sum, 1, 2e-3)
	if StoppingEnergy(1600, v, 0.1, 0.5, 100) != 0 {
		t.Error("brakes that do negative work")
	}
	q := full(t)
	r := mustSize(t, q)
	near(t, "way at 0.5 g with a second of reaction", r.Stop.Steps[1].Distance.Value, straight.StoppingDistance(r.Tyres.Speed.Value/(1+usualSlip), 0.5*gravity)+r.Tyres.Speed.Value/(1+usualSlip), 20) // the reaction's own median moves a little
	q.Strip.ShutDown = 500
	if s := mustSize(t, q).Stop; s.TooShort == nil || *s.TooShort < 0.95 {
		t.Errorf("500 m stop it: %v", s.TooShort)
	}
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

func TestGearing(t *testing.T) {
	q := full(t)
	r := mustSize(t, q)
	for g := 1; g < len(q.Sheet.Gears); g++ {
		near(t, "rev drop", *r.Gearing.Gears[g].Drop, 1-q.Sheet.Gears[g]/q.Sheet.Gears[g-1], 1e-12)
		if a := r.Gearing.Gears[g].After; a != nil {
			near(t, "engine speed after", a.Value, q.Sheet.UsualShiftSpeed[g-1]*q.Sheet.Gears[g]/q.Sheet.Gears[g-1], 0.03*a.Value)
		}
	}
	// A gearbox that is weaker is passed more often.
	weak := full(t)
	weak.Sheet.Limits.GearboxTorque = []float64{300}
	if o := mustSize(t, weak).Gearing.Gears[3].Over; o == nil || *o < 0.99 {
		t.Errorf("a gearbox for 300 N·m holds: %v", o)
	}
}

// TestMoreIsMore: a faster target needs more of everything, a better informed sheet narrows.
func TestMoreIsMore(t *testing.T) {
	q := full(t)
	slow := mustSize(t, q)
	q.Target = slow.Target * 1.05
	fast := mustSize(t, q)
	for what, pair := range map[string][2]*Figure{
		"wheel power": {slow.Power.Wheel, fast.Power.Wheel}, "air": {slow.Engine.Air, fast.Engine.Air}, "boost": {slow.Engine.Boost, fast.Engine.Boost},
		"fuel": {slow.Fuel.Mass, fast.Fuel.Mass}, "way to stop": {slow.Stop.Distance, fast.Stop.Distance}, "line": {slow.Fuel.Bore, fast.Fuel.Bore},
	} {
		if pair[1].Value <= pair[0].Value {
			t.Errorf("%s: %g for the faster, %g for the slower", what, pair[1].Value, pair[0].Value)
		}
		if !(pair[0].Low <= pair[0].Value && pair[0].Value <= pair[0].High) {
			t.Errorf("%s: %+v", what, pair[0])
		}
	}
	q = full(t)
	q.Measured = &Measured{Efficiency: &quantity.Estimate{Value: 0.31, SD: 0.005}, Fill: &quantity.Estimate{Value: 0.95, SD: 0.01}}
	known := mustSize(t, q)
	if known.Engine.Boost.High-known.Engine.Boost.Low >= slow.Engine.Boost.High-slow.Engine.Boost.Low {
		t.Errorf("measured efficiency does not narrow the boost: %+v, %+v", known.Engine.Boost, slow.Engine.Boost)
	}
}

// TestOutOfReach: grip or gears that end before are told as that, not as a power.
func TestOutOfReach(t *testing.T) {
	q := full(t)
	q.Target = 118
	r := mustSize(t, q)
	if r.Power.OutOfReach < 0.5 || r.Power.Wheel != nil && !r.Power.Wheel.AtLeast {
		t.Errorf("%+v", r.Power)
	}
	q = full(t)
	q.Sheet.FinalDrive *= 1.6
	r = mustSize(t, q)
	if r.Power.OutOfReach < 0.9 || r.Power.OutOfGears < 0.9*r.Power.OutOfReach {
		t.Errorf("short gears: %+v", r.Power)
	}
	var b bytes.Buffer
	if err := r.WriteText(&b, quantity.Metric); err != nil || !strings.Contains(b.String(), "No power reaches this speed") {
		t.Errorf("%v\n%s", err, b.String())
	}
}

// TestOwnPasses: what the car has shown sets the level and narrows it.
func TestOwnPasses(t *testing.T) {
	q := full(t)
	blind := mustSize(t, q)
	w := blind.Power.Wheel.Value
	nan := math.NaN()
	own := OwnRun{Trap: q.Sheet.Target * 0.99, Length: 804.672, Window: 20.1168, Wheel: quantity.Estimate{Value: 0.97 * w, SD: 0.01 * w}, Grade: nan,
		Weather: car.Weather{AirTemp: 298, Pressure: 99900, Humidity: 0.5, Headwind: 0, HeadwindS: 0.8, Crosswind: nan, Gust: nan}}
	q.Measured = &Measured{Passes: 1, Runs: []OwnRun{own}}
	r := mustSize(t, q)
	near(t, "power", r.Power.Wheel.Value, w, 0.03*w)
	if a, b := r.Power.Wheel.High-r.Power.Wheel.Low, blind.Power.Wheel.High-blind.Power.Wheel.Low; a > 0.8*b {
		t.Errorf("a pass just short of the target narrows %.0f only to %.0f W", b, a)
	}
	near(t, "more power", r.Power.Own.More.Value, r.Power.Wheel.Value/(0.97*w)-1, 2e-3)
	// A pass that nothing explains is told, not believed.
	q.Measured.Runs[0].Wheel.Value = 0.3 * w
	r = mustSize(t, q)
	if !strings.Contains(strings.Join(r.Notes, " "), "cannot be explained") {
		t.Errorf("%q", r.Notes)
	}
	near(t, "power all the same", r.Power.Wheel.Value, w, 0.02*w)
}

// TestAgainstTruth runs the method for the trap speeds of the open reference passes, whose
// independent model tells the true peak power: the bounds of nine in ten must hold.
func TestAgainstTruth(t *testing.T) {
	logs := reftest.Path(t, "logs")
	notes, err := car.LoadNotes(filepath.Join(logs, "passes.toml"))
	if err != nil {
		t.Skip(err)
	}
	files, _ := filepath.Glob(filepath.Join(logs, "*.truth.json"))
	n, held, heldCrank := 0, 0, 0
	var ratios []float64
	for _, f := range files {
		var truth struct {
			Car    string
			Passes []struct {
				Index int
				Trap  *struct {
					Mean float64 `json:"v_mean_66ft"`
				}
				Peak *struct {
					Power float64
					Crank float64 `json:"crank_power"`
				} `json:"peak_hub_power"`
				Faults []any
			}
		}
		text, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal(text, &truth); err != nil {
			t.Fatal(err)
		}
		s := mustSheet(t, filepath.Join(logs, "car_"+strings.ToLower(truth.Car)+".toml"))
		for _, p := range truth.Passes {
			note := notes.For(strings.Replace(filepath.Base(f), ".truth.json", ".csv", 1), p.Index)
			if p.Trap == nil || p.Peak == nil || note == nil || len(p.Faults) > 0 {
				continue
			}
			with := *s
			with.UsualBoost = note.BoostTarget
			r := mustSize(t, Request{Sheet: &with, Weather: &note.Weather, Target: p.Trap.Mean, Draws: 40})
			n++
			if w := r.Power.Wheel; p.Peak.Power >= w.Low && p.Peak.Power <= w.High {
				held++
			}
			if c := r.Power.Crank; p.Peak.Crank >= c.Low && p.Peak.Crank <= c.High {
				heldCrank++
			}
			ratios = append(ratios, r.Power.Wheel.Value/p.Peak.Power)
		}
	}
	if n == 0 {
		t.Skip("no truth to hold against")
	}
	t.Logf("%d passes: wheel power within the bounds %d, crank power %d; over truth %.3f", n, held, heldCrank, ratios)
	if 10*held < 8*n || 10*heldCrank < 8*n {
		t.Errorf("of %d passes the bounds hold %d (wheel) and %d (crank)", n, held, heldCrank)
	}
}

func BenchmarkSize(b *testing.B) {
	q := full(b)
	for b.Loop() {
		mustSize(b, q)
	}
}
