package car

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

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
