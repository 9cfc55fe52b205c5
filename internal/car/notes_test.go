package car

import (
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func mustNotes(t testing.TB, text string) *Notes {
	t.Helper()
	n, err := ParseNotes("n.toml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return n
}

func TestNotes(t *testing.T) {
	n, err := LoadNotes("testdata/notes_all.good.toml")
	if err != nil {
		t.Fatal(err)
	}
	p := n.For("/elsewhere/p1.CSV", 0)
	if p == nil || p.ID != "p1" || n.ByID("p1") != p {
		t.Fatalf("p1: %+v", p)
	}
	s, known := n.FindStrip(p)
	if !known || !s.RolloutSure {
		t.Fatalf("strip: %+v", s)
	}
	near(t, "trap", s.TrapWindow, 40.2336, 1e-9)
	near(t, "rollout", s.Rollout, 11.5*0.0254, 1e-12)
	near(t, "grade", s.Grade, 0.001, 1e-12)
	near(t, "shut-down", s.ShutDown, 1100, 0)
	if e := n.EventFor(p); e == nil || e.PassesLeft != 3 || e.From != "2031-05-17" {
		t.Errorf("event: %+v", e)
	}
	w := p.Weather
	near(t, "air", w.AirTemp, 298.15, 1e-9)
	// Standard setting at 1000 ft: 97716.6 Pa (1976 table, trust A); 29.92 inHg is
	// 101320.8 Pa.
	near(t, "station pressure", w.Pressure, 97716.6-4.2, 3)
	// Dew point 15 °C at 25 °C: 1705.68/3169.7 (ASHRAE and Wagner-Pruss, A).
	near(t, "humidity", w.Humidity, 1705.68/3169.7, 2e-4)
	// Wind of 10 mph 30° off the nose of a run to the east, from the right.
	near(t, "headwind", w.Headwind, 4.4704*math.Cos(math.Pi/6), 1e-9)
	near(t, "crosswind", w.Crosswind, 4.4704*0.5, 1e-9)
	near(t, "gust", w.Gust, 6.7056, 1e-9)
	near(t, "headwind SD", w.HeadwindS, math.Hypot(math.Hypot(0.7, 0.2*4.4704), 2.2352/3), 1e-9)
	near(t, "boost", p.BoostTarget[1], 20*6894.757293, 1e-3)
	near(t, "cold", p.ColdPressure, 20*6894.757293, 1e-3)
	near(t, "mass", p.MassAdd, 22*0.45359237, 1e-12)
	near(t, "launch", p.LaunchSpeed, 4500*math.Pi/30, 1e-9)
	near(t, "eighth", p.Slip.Marks["1/8 mile"], 7.9, 0)
	near(t, "eighth, speed", p.Slip.Speed["1/8 mile"], 112.3*0.44704, 1e-9)
	near(t, "trap", p.Slip.Trap, 190.25*0.44704, 1e-9)
	if p.Inspected == "" || p.When != "2031-05-17T10:21:00" || *p.Nitrous {
		t.Errorf("%+v", p)
	}
	q := n.For("p1.csv", 1)
	near(t, "tail wind", q.Weather.Headwind, -2, 1e-9)
	if !math.IsNaN(q.Slip.Trap) || q.Nitrous != nil || q.BoostTarget != nil || !math.IsNaN(q.Weather.Gust) {
		t.Errorf("figures that nobody gave: %+v", q)
	}
	// Nobody said which strip that pass was on; there is but one.
	if s := n.StripFor(q); s.ID != "north" {
		t.Errorf("strip of the second pass: %+v", s)
	}
	pl := n.PlannedByID("next")
	if pl == nil || n.After(pl) != p || pl.HasOtherChanges {
		t.Fatalf("planned: %+v", pl)
	}
	want := []string{"boost_target_kpa_by_gear", "shift_rpm_add", "tyre_cold_bar", "mass_add_kg", "cda_add_m2", "launch_rpm", "wind_mps", "wind_from_deg", "air_temp_c"}
	if diff := cmp.Diff(want, pl.UnderstoodKeys); diff != "" {
		t.Error(diff)
	}
	pw := n.WeatherFor(pl)
	near(t, "planned wind", pw.Headwind, -2, 1e-9)
	near(t, "planned air", pw.AirTemp, 300.15, 1e-9)
	near(t, "pressure as before", pw.Pressure, w.Pressure, 0)
	if s := n.StripForPlan(pl); s.ID != "north" {
		t.Errorf("strip of the plan: %+v", s)
	}
}

func TestFit(t *testing.T) {
	s := mustSheet(t, "name=\"Plover\"\n[driveline]\ngears=[3,2,1.5]\n")
	n := mustNotes(t, `
[[pass]]
file = "a.csv"
car = "plover"
boost_target_kpa_by_gear = 100
shift_rpm_aim = [7000]
[[pass]]
file = "b.csv"
car = "test"
boost_target_kpa_by_gear = [1, 2, 3, 4]
[[pass]]
file = "c.csv"
car = "dunlin"
boost_target_kpa_by_gear = [1, 2, 3, 4]
[[planned]]
id = "x"
after = "a.csv"
boost_add_kpa_by_gear = [5, 0]
`)
	notes := n.Fit(s)
	if len(notes) != 1 || notes[0] != "n.toml line 7: 4 boost targets for a gearbox with 3 gears; the last are not used." {
		t.Errorf("%q", notes)
	}
	for i, want := range [][]float64{{1e5, 1e5, 1e5}, {1e3, 2e3, 3e3}, {1e3, 2e3, 3e3, 4e3}} {
		if diff := cmp.Diff(want, n.Passes[i].BoostTarget); diff != "" {
			t.Error(diff)
		}
	}
	if len(n.Passes[0].ShiftAim) != 2 {
		t.Errorf("%v", n.Passes[0].ShiftAim)
	}
	if diff := cmp.Diff([]float64{5e3, 0, 0}, n.Planned[0].BoostAdd); diff != "" {
		t.Error(diff)
	}
}

func TestSlipForms(t *testing.T) {
	n := mustNotes(t, `
[[strip]]
id = "short"
length_m = 402.336
[[pass]]
file = "a.csv"
slip_reaction_s = 0.512
slip_1320ft_s = 11.2
slip_1320ft_mph = 131.2
ethanol_pct = 83
driver = "the owner"
track_temp_f = 95
`)
	s := n.Passes[0].Slip
	near(t, "quarter", s.Marks["1/4 mile"], 11.2, 0)
	near(t, "trap from the mark at the line", s.Trap, 131.2*0.44704, 1e-9)
	near(t, "reaction", s.Reaction, 0.512, 0)
	near(t, "ethanol", n.Passes[0].Ethanol, 0.83, 1e-12)
	near(t, "track", n.Passes[0].TrackTemp, 308.15, 1e-9)
	if n.StrictErr() != nil || len(n.Notes) > 0 {
		t.Errorf("%v %q", n.StrictErr(), n.Notes)
	}
}

// TestSameTypo tells a key that is wrong in many places once.
func TestSameTypo(t *testing.T) {
	text := ""
	for range 40 {
		text += "[[pass]]\nfile = \"a.csv\"\nair_temp_cc = 20\n"
	}
	n, err := ParseNotes("n.toml", []byte(strings.ReplaceAll(text, "file", "id")+"[[planned]]\nid = \"q\"\nshift_rpm_ad = 100\n"))
	if err != nil {
		t.Fatal(err)
	}
	want := []string{
		`n.toml lines 3, 6, 9 and 37 more: "air_temp_cc" in [[pass]] is not a known key and was not read; the nearest known key is "air_temp_c".`,
		`n.toml line 123: "shift_rpm_ad" in [[planned]] is not a known key and was not read; the nearest known key is "shift_rpm_add".`,
	}
	if d := cmp.Diff(want, n.Notes); d != "" {
		t.Error(d)
	}
	if err := n.StrictErr(); err == nil || !strings.Contains(err.Error(), "(also in line 6, 9, 12 and 36 more)") {
		t.Errorf("strict: %v", err)
	}
}
