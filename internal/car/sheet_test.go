package car

import (
	"errors"
	"math"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

// physical compares what two sheets say of the car, to a relative tolerance.
func physical(tol float64) cmp.Options {
	return cmp.Options{
		cmpopts.IgnoreFields(Sheet{}, "File", "Notes", "Unread", "Read", "Assumed"),
		cmpopts.EquateApprox(tol, tol*1e-3),
		cmpopts.EquateEmpty(),
	}
}

func mustSheet(t testing.TB, text string) *Sheet {
	t.Helper()
	s, err := ParseSheet("car_test.toml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// The same car written in kilograms and in pounds is the same car.
func TestUnitsOfKeys(t *testing.T) {
	var s [2]*Sheet
	for i, name := range []string{"testdata/sheet_metric.good.toml", "testdata/sheet_us.good.toml"} {
		var err error
		if s[i], err = LoadSheet(name); err != nil {
			t.Fatal(err)
		}
	}
	if diff := cmp.Diff(s[0], s[1], physical(1e-8)); diff != "" {
		t.Error(diff)
	}
	// Spot values, from the factors of NIST SP 811 (A).
	m := s[0]
	near(t, "mass SD", m.Mass.SD, 4, 0)
	near(t, "rev limit", m.RevLimit, 8000*math.Pi/30, 1e-9)
	near(t, "target", m.Target, 340/3.6, 1e-12)
	near(t, "exhaust limit", m.Limits.MaxExhaustTemp, 1223.15, 1e-9)
	near(t, "bottle", m.Nitrous.BottlePressure, 55e5-101325, 1e-6)
	near(t, "tyre", m.TyreRadius.Value, 2.09/2/math.Pi, 1e-12)
	near(t, "front tyre", m.UndrivenRadius.Value, 0.976*(8.5*0.0254+0.225*0.45), 1e-9)
	near(t, "gearbox limit held on", m.Limits.GearboxTorque[5], 1200, 0)
	near(t, "one boost for all", m.UsualBoost[5], 220e3, 1e-9)
	near(t, "one shift speed for all", m.UsualShiftSpeed[4], 7600*math.Pi/30, 1e-9)
	near(t, "tyre speed", m.TyreSpeedLimit, 350/3.6, 1e-12)
	if m.Channels["EGT 1"] != "exhaust_temperature[1] °C" || m.BoostSetpoint != "absolute" || !m.Nitrous.Wet {
		t.Errorf("%+v", m)
	}
}

func TestUnreadKeys(t *testing.T) {
	s, err := LoadSheet("testdata/sheet_typos.good.toml")
	if err != nil {
		t.Fatal(err)
	}
	want := []string{
		`sheet_typos.good.toml line 3: "mass_kg" is not a known key and was not read; the nearest known key is "mass_kg" in [body].`,
		`sheet_typos.good.toml line 6: "mas_kg" in [body] is not a known key and was not read; the nearest known key is "mass_kg".`,
		`sheet_typos.good.toml line 7: "wheel_base_m" in [body] is not a known key and was not read; the nearest known key is "wheelbase_m".`,
		`sheet_typos.good.toml line 8: "colour" in [body] is not a known key and was not read.`,
		`sheet_typos.good.toml line 10: "[engne]" is not a known key and was not read; the nearest known key is [engine].`,
	}
	if diff := cmp.Diff(want, s.Notes); diff != "" {
		t.Error(diff)
	}
	strict := s.StrictErr()
	if !errors.Is(strict, ErrUnknownKey) {
		t.Fatalf("strict: %v", strict)
	}
	if first, _, _ := strings.Cut(strict.Error(), "\n"); first != `sheet_typos.good.toml:3: mass_kg: not a known key; the nearest known key is "mass_kg" in [body]` {
		t.Errorf("strict: %s", first)
	}
	if !math.IsNaN(s.Mass.Value) && s.Mass.Value == 1410 {
		t.Error("a misspelt mass was used")
	}
}

// Limits outside what is usual count as not stated until the owner confirms them.
func TestUnusualLimits(t *testing.T) {
	s := mustSheet(t, "[body]\nmass_kg = 2.7\n[limits]\nmax_boost_kpa = 9000\nmax_turbo_rpm = 125000\n")
	if got := s.Limits.Doubtful(); got != "max_boost_kpa = 9000" {
		t.Errorf("doubtful: %q", got)
	}
	if s.Limits.MaxBoost != 0 || s.Limits.MaxTurboSpeed == 0 {
		t.Errorf("taken: %g Pa, %g rad/s", s.Limits.MaxBoost, s.Limits.MaxTurboSpeed)
	}
	s = mustSheet(t, "[limits]\nmax_boost_kpa = 9000\nunusual_confirmed = true\n")
	if got := s.Limits.Doubtful(); got != "" || len(s.Limits.Unusual) != 1 || s.Limits.MaxBoost != 9000e3 {
		t.Errorf("confirmed: %q of %q, %g Pa", got, s.Limits.Unusual, s.Limits.MaxBoost)
	}
}

func TestUnusualFiguresAreTold(t *testing.T) {
	s := mustSheet(t, "[body]\nmass_kg = 2.7\n[tyres]\nsize = \"275/45-17\"\nunloaded_radius_m = 0.38\n[engine]\nbore_mm = 86\nstroke_mm = 86\ncylinders = 6\ndisplacement_l = 3.5\n")
	for _, part := range []string{"mass_kg = 2.7 is unusual", "unloaded_radius says 0.380 m", "give 3 l, but displacement says 3.5 l"} {
		if !strings.Contains(strings.Join(s.Notes, "\n"), part) {
			t.Errorf("no note with %q in %q", part, s.Notes)
		}
	}
	if s.StrictErr() != nil {
		t.Error("an unusual figure is not an unknown key")
	}
}

func TestDefaults(t *testing.T) {
	for _, d := range []Driven{FrontDriven, RearDriven, AllDriven} {
		s := mustSheet(t, "[driveline]\ndriven = \""+string(d)+"\"\n")
		if s.Name != "test" || s.Driven != d || len(s.Notes) > 0 {
			t.Errorf("%+v", s)
		}
		if len(s.Assumed) < 10 {
			t.Errorf("%s: only %d assumptions told: %q", d, len(s.Assumed), s.Assumed)
		}
		if d == AllDriven != (s.UndrivenInertia.Value == 0) {
			t.Errorf("%s: undriven inertia %+v", d, s.UndrivenInertia)
		}
	}
	// Gillespie 1992, chapter 2 example 1 (inputs trust B): engine inertia 0.8 and an
	// axle's wheels 11.0 lbf·in·s², tyre radius 12.59 in: within two standard deviations
	// of what we would assume.
	const lbfInS2 = 0.1129848290
	j, sd := defaultEngineInertia(0)
	near(t, "engine inertia", 0.8*lbfInS2, j, 2*sd)
	j, sd = defaultWheelInertia(12.59*0.0254, 0)
	near(t, "wheel inertia", 11.0*lbfInS2/2, j, 2*sd)
	text := Defaults()
	for _, part := range []string{"[body] mass_kg: 1 %", `driven = "all"`, "rolling_resistance = 0.013 ± 0.003"} {
		if !strings.Contains(text, part) {
			t.Errorf("the defaults do not say %q", part)
		}
	}
}

func TestTyreRadiusSources(t *testing.T) {
	for _, r := range []struct {
		what, text string
		want, sd   float64
	}{
		{"rolling radius", "rolling_radius_m = 0.33", 0.33, 0.33 * 0.005},
		{"with its own spread", "rolling_radius_m = 0.33\nrolling_radius_sd_m = 0.001", 0.33, 0.001},
		{"circumference", "rolling_circumference_m = 2.0", 1 / math.Pi, 0.005 / math.Pi},
		{"unloaded radius", "unloaded_radius_m = 0.34\nsize = \"275/45-17\"", 0.34 * 0.976, 0.34 * 0.976 * 0.012},
		{"size", "size = \"26.0x9.5-16\"", 13 * 0.0254 * 0.976, 13 * 0.0254 * 0.976 * math.Hypot(0.012, 0.012)},
		{"logger", "circumference_set_in_logger_m = 2.0", 1 / math.Pi, 0.025 / math.Pi},
		{"driven axle's own", "size = \"205/55-16\"\nrear_unloaded_radius_m = 0.34", 0.34 * 0.976, 0.34 * 0.976 * 0.012},
		{"nothing", "", 0.325, 0.02},
	} {
		s := mustSheet(t, "[driveline]\ndriven=\"rear\"\n[tyres]\n"+r.text+"\n")
		near(t, r.what, s.TyreRadius.Value, r.want, 1e-9)
		near(t, r.what+", SD", s.TyreRadius.SD, r.sd, 1e-9)
	}
	// The side wall's symbol bounds the speed unless the maker states more.
	s := mustSheet(t, "[tyres]\nsize = \"275/40R18 103Y\"\n")
	near(t, "symbol", s.TyreSpeedLimit, 300/3.6, 1e-9)
	near(t, "symbol as limit", s.Limits.TyreSpeed, 300/3.6, 1e-9)
	s = mustSheet(t, "[tyres]\nsize = \"275/40R18 103Y\"\nspeed_limit_mph = 220\n")
	near(t, "statement", s.Limits.TyreSpeed, 220*0.44704, 1e-9)
}

func TestTwoFinalDrives(t *testing.T) {
	s := mustSheet(t, "[driveline]\ngears=[3.0,2.0,1.4,1.3]\nfinal_drive_by_gear=[4.0,4.0,4.0,3.5]\nprimary_drive=1.5\n")
	for i, want := range []float64{18, 12, 8.4, 6.825} {
		near(t, "overall", s.Gears[i]*s.FinalDrive, want, 1e-12)
	}
}

func TestLatest(t *testing.T) {
	a := &Sheet{Name: "a"}
	b := &Sheet{Name: "b", ValidFrom: "2031-05-01"}
	c := &Sheet{Name: "c", ValidFrom: "2031-05-17 12:00"}
	for _, r := range []struct {
		sheets []*Sheet
		when   string
		want   *Sheet
	}{
		{[]*Sheet{c, a, b}, "2031-05-17 10:21", b},
		{[]*Sheet{c, a, b}, "2031-05-17T12:00:00", c},
		{[]*Sheet{c, a, b}, "2031-05-17", c},
		{[]*Sheet{c, a, b}, "2030-01-01", a},
		{[]*Sheet{c, b}, "2030-01-01", b},
		{[]*Sheet{a, c, b}, "", c},
		{[]*Sheet{a, c, b}, "in May", c},
		{nil, "2031-05-17", nil},
	} {
		if got := Latest(r.sheets, r.when); got != r.want {
			t.Errorf("%s: %+v, want %+v", r.when, got, r.want)
		}
	}
}

func TestDescribe(t *testing.T) {
	text, err := os.ReadFile("testdata/sheet_metric.good.toml")
	if err != nil {
		t.Fatal(err)
	}
	s, err := ParseSheet("plover.toml", text)
	if err != nil {
		t.Fatal(err)
	}
	got := Describe(s, false)
	for _, part := range []string{"Plover: 51 keys read from plover.toml, revision 3, valid from 2031-05-01", "mass_kg = 1410  (± 4)", "cda_m2 = 0.64  (± 0.064)", "Assumed", "[driveline] shift_style: how a shift looks in the log"} {
		if !strings.Contains(got, part) {
			t.Errorf("no %q in\n%s", part, got)
		}
	}
	for _, part := range []string{"usual_boost_kpa_by_gear:", "unloaded_radius_m:", "mass_kg = 1450"} {
		if strings.Contains(got, part) {
			t.Errorf("%q in\n%s", part, got)
		}
	}
}
