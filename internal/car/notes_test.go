package car

import (
	"errors"
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
	near(t, "headwind SD", w.HeadwindS, math.Hypot(0.7+0.2*4.4704, 2.2352/3), 1e-9)
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

func TestWeatherThatCannotBeResolved(t *testing.T) {
	n := mustNotes(t, `
[[pass]]
file = "a.csv"
altimeter_hpa = 1013
wind_mps = 3
wind_from_deg = 90
dew_point_c = 5

[[pass]]
file = "b.csv"
air_temp_c = 20
dew_point_c = 25
wind_mps = 0

[[pass]]
file = "c.csv"
wind_mps = 4
when = "noon"

[[planned]]
id = "x"
after = "a"
change = "softer springs"

[[planned]]
id = "y"
after = "a.csv"
colder_plugs = true
`)
	a, b, c := n.Passes[0].Weather, n.Passes[1].Weather, n.Passes[2].Weather
	for _, v := range []float64{a.Pressure, a.Headwind, a.HeadwindS, a.Humidity, b.Humidity, c.Headwind} {
		if !math.IsNaN(v) {
			t.Errorf("a figure was invented: %g", v)
		}
	}
	near(t, "still air", b.Headwind, 0, 0)
	want := []string{
		`n.toml line 28: "colder_plugs" in [[planned]] is not a known key and was not read.`,
		`n.toml line 18: when = "noon" is not a date such as 2031-05-17 10:21; it cannot choose the car's sheet.`,
		`n.toml line 2: the altimeter setting needs a [[strip]] with elevation_m; the air pressure is not known.`,
		`n.toml line 2: the dew point needs air_temp; the humidity is not known.`,
		`n.toml line 2: the wind needs the strip's heading_deg; the headwind is not known, only that it is below 3.0 m/s.`,
		`n.toml line 9: the dew point lies above the air temperature; the humidity is not known.`,
		`n.toml line 15: the wind needs wind_from_deg; the headwind is not known, only that it is below 4.0 m/s.`,
	}
	if diff := cmp.Diff(want, n.Notes); diff != "" {
		t.Error(diff)
	}
	if !errors.Is(n.StrictErr(), ErrUnknownKey) {
		t.Error("strict reading lets an unknown key pass")
	}
	for _, id := range []string{"x", "y"} {
		if p := n.PlannedByID(id); !p.HasOtherChanges || len(p.UnderstoodKeys) > 0 || n.After(p) != &n.Passes[0] {
			t.Errorf("%s: %+v", id, p)
		}
	}
}

func TestContradictingPressures(t *testing.T) {
	n := mustNotes(t, "[[strip]]\nid=\"n\"\nelevation_m=300\n[[pass]]\nfile=\"a.csv\"\nstation_pressure_hpa=1013\naltimeter_hpa=1013\n")
	if len(n.Notes) != 1 || !strings.Contains(n.Notes[0], "contradict each other by 35.5 hPa; the station pressure is used") {
		t.Errorf("%q", n.Notes)
	}
	near(t, "pressure", n.Passes[0].Weather.Pressure, 101300, 1e-9)
}

func TestLookup(t *testing.T) {
	n := mustNotes(t, `
[[pass]]
id = "first"
file = "saturday/log1.csv"
[[pass]]
id = "second"
file = 'sunday\log1.csv'
[[pass]]
id = "third"
file = "log2.csv"
[[pass]]
id = "fourth"
file = "log2.csv"
index = 1
`)
	for _, r := range []struct {
		file  string
		index int
		want  string
	}{
		{"/data/sunday/log1.csv", 0, "second"}, {`C:\data\Saturday\LOG1.CSV`, 0, "first"}, {"log1.csv", 0, "first"},
		{"log2.parquet", 1, "fourth"}, {"log2.csv.gz", 1, "fourth"}, {"Log2.csv.zip", 0, "third"}, {"log2.zip", 0, "third"}, {"log2.csv", 2, ""}, {"", 0, ""}, {"log3.csv", 0, ""},
	} {
		got := ""
		if p := n.For(r.file, r.index); p != nil {
			got = p.ID
		}
		if got != r.want {
			t.Errorf("%s, %d: %q, want %q", r.file, r.index, got, r.want)
		}
	}
	if all := n.OfLog("log2.csv.gz"); len(all) != 2 || all[0].ID != "third" || all[1].ID != "fourth" {
		t.Errorf("notes of log2: %v", all)
	}
	for _, r := range []struct {
		after string
		index int
		want  string
	}{{"log2.csv", -1, "fourth"}, {"log2.csv.gz", -1, "fourth"}, {"log2", 0, "third"}, {"third", -1, "third"}, {"x", -1, ""}} {
		got := ""
		if p := n.After(&Planned{After: r.after, AfterIndex: r.index}); p != nil {
			got = p.ID
		}
		if got != r.want {
			t.Errorf("after %s, %d: %q, want %q", r.after, r.index, got, r.want)
		}
	}
	var none *Notes
	if none.For("a", 0) != nil || none.PlannedByID("a") != nil || none.ByID("a") != nil || none.After(&Planned{After: "a"}) != nil || none.EventFor(nil) != nil {
		t.Error("no notes, but an answer")
	}
	if s := none.StripFor(nil); s.Length != 804.672 || s.Rollout != 0.3048 || !math.IsNaN(s.Elevation) {
		t.Errorf("default strip: %+v", s)
	}
}

func TestStripLookup(t *testing.T) {
	n := mustNotes(t, `
[[strip]]
id = "north"
length_mile = 0.25
[[strip]]
id = "lake"
[[event]]
id = "spring"
strip = "lake"
`)
	for _, r := range []struct {
		p     PassNote
		want  string
		known bool
	}{
		{PassNote{Strip: "North"}, "north", true}, {PassNote{Event: "spring"}, "lake", true}, {PassNote{Event: "north"}, "north", true},
		{PassNote{Event: "spring", Strip: "north"}, "north", true}, {PassNote{}, "", false}, {PassNote{Strip: "south"}, "", false},
	} {
		s, known := n.FindStrip(&r.p)
		if s.ID != r.want || known != r.known {
			t.Errorf("%+v: %q, %v", r.p, s.ID, known)
		}
	}
	near(t, "quarter mile", n.Strips[0].Length, 402.336, 1e-9)
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

func TestSheetsOf(t *testing.T) {
	marlin := mustSheet(t, "name = \"Marlin\"\n")
	later := mustSheet(t, "name = \"Marlin (spring)\"\n")
	heron := mustSheet(t, "name = \"Heron\"\n")
	nameless := mustSheet(t, "[body]\nmass_kg = 1300\n")
	byFile := mustSheet(t, "name = \"the grey one\"\n")
	byFile.File = "car_marlin_v2.toml"
	n := mustNotes(t, "[[pass]]\nfile = \"a.csv\"\nindex = 1\ncar = \"marlin\"\n[[pass]]\nfile = \"b.csv\"\n")
	for _, r := range []struct {
		name   string
		notes  *Notes
		sheets []*Sheet
		file   string
		want   []*Sheet // nil: refused
	}{
		{"no notes", nil, []*Sheet{heron}, "a.csv", []*Sheet{heron}},
		{"the notes name no car", n, []*Sheet{heron}, "b.csv", []*Sheet{heron}},
		{"revisions of one car among others", n, []*Sheet{marlin, heron, later}, "x/a.csv", []*Sheet{marlin, later}},
		{"by the file's name", n, []*Sheet{heron, byFile}, "a.csv", []*Sheet{byFile}},
		{"a sheet without a name may be anyone's", n, []*Sheet{nameless, heron}, "a.csv", []*Sheet{nameless}},
		{"another car's log", n, []*Sheet{heron}, "x/A.csv", nil},
	} {
		got, err := r.notes.SheetsOf(r.sheets, r.file)
		if (err != nil) != (r.want == nil) || len(got) != len(r.want) {
			t.Errorf("%s: %d sheets, %v", r.name, len(got), err)
			continue
		}
		for i := range got {
			if got[i] != r.want[i] {
				t.Errorf("%s: sheet %d is %q", r.name, i, got[i].Name)
			}
		}
	}
	_, err := n.SheetsOf([]*Sheet{heron}, "x/A.csv")
	if want := `A.csv: n.toml line 1 says that it is a log of car "marlin", but the sheet given is car_test.toml of "Heron"; give that car's sheet, or correct the name`; err.Error() != want {
		t.Errorf("%v", err)
	}
}

func TestFitAllKeepsListsOfNobodysCar(t *testing.T) {
	five := mustSheet(t, "name=\"Plover\"\n[driveline]\ngears=[3,2,1.5,1.2,1]\n")
	three := mustSheet(t, "name=\"Dunlin\"\n[driveline]\ngears=[3,2,1.5]\n")
	text := "[[pass]]\nfile=\"a.csv\"\nboost_target_kpa_by_gear=[1,2,3,4,5]\n[[pass]]\nfile=\"b.csv\"\ncar=\"dunlin\"\nboost_target_kpa_by_gear=[7]\n"
	n := mustNotes(t, text)
	if notes := n.FitAll([]*Sheet{five, three}); len(notes) > 0 || len(n.Passes[0].BoostTarget) != 5 || len(n.Passes[1].BoostTarget) != 3 {
		t.Errorf("%q %v %v", notes, n.Passes[0].BoostTarget, n.Passes[1].BoostTarget)
	}
	n = mustNotes(t, text)
	if notes := n.FitAll([]*Sheet{three}); len(notes) != 1 || len(n.Passes[0].BoostTarget) != 3 {
		t.Errorf("%q %v", notes, n.Passes[0].BoostTarget)
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

// TestWeatherStatedTwice tells statements of one thing that contradict each other.
func TestWeatherStatedTwice(t *testing.T) {
	const strip = "[[strip]]\nid = \"n\"\nelevation_m = 200\nheading_deg = 90\n[[pass]]\nid = \"a\"\nstrip = \"n\"\nair_temp_c = 20\n"
	for _, c := range []struct{ text, want string }{
		{"humidity_pct = 50\ndew_point_c = 9.3\n", "humidity is used, the dew point is not"},
		{"humidity_pct = 80\ndew_point_c = 9.3\n", "humidity 80 % and a dew point of 9.3 °C, which is 50 % at that temperature, contradict"},
		{"headwind_mps = 3\nwind_mps = 3\nwind_from_deg = 95\n", "headwind is used, wind with its direction is not"},
		{"headwind_mps = 3\nwind_mps = 3\nwind_from_deg = 270\n", "a headwind of 3.0 m/s and the wind with its direction, -3.0 m/s along the strip, contradict"},
		{"station_pressure_hpa = 1013\naltimeter_hpa = 1013\n", "station pressure 1013.0 hPa and altimeter setting 1013.0 hPa at 200 m contradict each other by 23."},
		{"station_pressure_hpa = 989.4\naltimeter_hpa = 1013\n", ""},
	} {
		n := mustNotes(t, strip+c.text)
		if got := strings.Join(n.Notes, " "); !strings.Contains(got, c.want) || c.want == "" && got != "" {
			t.Errorf("%q: told %q, want %q", c.text, got, c.want)
		}
	}
}
