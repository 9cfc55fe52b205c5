package app

import (
	"errors"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"traplight/internal/car"
	"traplight/internal/fitcar"
	"traplight/internal/logfile"
	"traplight/internal/quantity"
)

func TestTyped(t *testing.T) {
	for _, c := range []struct {
		text string
		dim  quantity.Dimension
		want float64
		tol  float64
	}{
		{"21.5C", quantity.DimTemperature, 294.65, 1e-9},
		{"21,5 °C", quantity.DimTemperature, 294.65, 1e-9},
		{"-4F", quantity.DimTemperature, 253.15, 1e-9},
		{"29.92inHg", quantity.DimPressure, 101320.7, 1},
		{"1008 hPa", quantity.DimPressure, 100800, 1e-6},
		{"45%", quantity.DimShare, 0.45, 1e-12},
		{"690ft", quantity.DimLength, 210.312, 1e-9},
	} {
		got, err := typed("x", c.text, c.dim, "1C")
		if err != nil || math.Abs(got-c.want) > c.tol {
			t.Errorf("%q: %v, %v; want %v", c.text, got, err, c.want)
		}
	}
	for _, bad := range []string{"", "C", "21", "21 psi", "1e999C", "two C", "--3C", "NaN C"} {
		if v, err := typed("x", bad, quantity.DimTemperature, "1C"); err == nil {
			t.Errorf("%q is taken for %v", bad, v)
		}
	}
}

// The air of the standard atmosphere, ISO 2533 (ICAO Doc 7488): 288.15 K and
// 101 325 Pa, dry, are 1.225 kg/m³ at altitude zero; at 1000 m 1.1117 kg/m³.
func TestAirOfTheStandardAtmosphere(t *testing.T) {
	for _, c := range []struct {
		temp, pressure string
		rho, altitude  float64
	}{
		{"288.15K", "101325Pa", 1.2250, 0},
		{"281.65K", "89874.6Pa", 1.1117, 1000},
	} {
		a, err := Air(AirRequest{Temp: c.temp, Station: c.pressure, Humidity: "0%"})
		if err != nil {
			t.Fatal(err)
		}
		// CIPM-2007 counts today's carbon dioxide and real gas: up to 0.1 %.
		if math.Abs(a.Density/c.rho-1) > 1e-3 || math.Abs(a.DensityAltitude-c.altitude) > 10 {
			t.Errorf("%s, %s: %.4f kg/m³, %.1f m; want %.4f, %.0f", c.temp, c.pressure, a.Density, a.DensityAltitude, c.rho, c.altitude)
		}
	}
}

func TestAirSaysWhatIsMissing(t *testing.T) {
	for _, c := range []struct {
		q    AirRequest
		want string
	}{
		{AirRequest{}, "temperature is missing"},
		{AirRequest{Temp: "20C"}, "--pressure"},
		{AirRequest{Temp: "20C", Altimeter: "1013hPa"}, "elevation"},
		{AirRequest{Temp: "20C", Station: "1013hPa", Altimeter: "1013hPa"}, "not both"},
		{AirRequest{Temp: "20C", Station: "1013hPa", Humidity: "45%", DewPoint: "9C"}, "not both"},
		{AirRequest{Temp: "20C", Station: "1013hPa", Humidity: "130%"}, "not possible"},
		{AirRequest{Temp: "200C", Station: "1013hPa"}, "is a unit wrong"},
	} {
		if _, err := Air(c.q); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%+v: %v; want %q in it", c.q, err, c.want)
		}
	}
}

func TestPickSheet(t *testing.T) {
	sheets := []*car.Sheet{{Name: "may", ValidFrom: "2031-05-01"}, {Name: "july", ValidFrom: "2031-07-01"}}
	notes := &car.Notes{Passes: []car.PassNote{{File: "p.csv", When: "2031-06-10 10:00"}}}
	for _, c := range []struct {
		name  string
		log   logfile.Log
		notes *car.Notes
		want  string
	}{
		{"by the log's start", logfile.Log{File: "p.csv", Start: "2031-06-30T12:00:00"}, nil, "may"},
		{"after the change", logfile.Log{File: "p.csv", Start: "2031-07-02T12:00:00"}, nil, "july"},
		{"the notes' time comes first", logfile.Log{File: "p.csv", Start: "2031-07-02T12:00:00"}, notes, "may"},
		{"unknown time: the latest", logfile.Log{File: "p.csv"}, nil, "july"},
	} {
		if got := pickSheet(sheets, &c.log, c.notes); got.Name != c.want {
			t.Errorf("%s: %s, want %s", c.name, got.Name, c.want)
		}
	}
}

// TestTypoOfOldRevision: a typing error in a revision of the sheet is refused for the next pass
// where it sets it or a pass was run by it, and no longer once neither is so.
func TestTypoOfOldRevision(t *testing.T) {
	write := func(name, text string) string {
		path := filepath.Join(t.TempDir(), name)
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	wrong := write("wrong.toml", "name = \"A\"\nvalid_from = 2031-01-01\n[body]\nmas_kg = 1300\n")
	right := write("right.toml", "name = \"A\"\nvalid_from = 2031-06-01\n[body]\nmass_kg = 1300\n")
	impossible := write("impossible.toml", "name = \"A\"\nvalid_from = 2031-06-01\n[body]\nmass_kg = -1\n")
	if _, err := open(ForecastRequest{Cars: []string{impossible}}, ""); !errors.Is(err, car.ErrImpossible) {
		t.Errorf("the next pass is run by a sheet with an impossible value: %v", err)
	}
	q := ForecastRequest{Cars: []string{wrong, right}}
	f, err := open(q, "2031-07-01 12:00")
	if err != nil || f.Sheet.File != "right.toml" {
		t.Fatalf("%+v, %v", f, err)
	}
	if _, err := open(q, "2031-05-01 12:00"); !errors.Is(err, car.ErrUnknownKey) {
		t.Errorf("the next pass is run by the wrong sheet: %v", err)
	}
	old, err := car.LoadSheet(wrong)
	if err != nil {
		t.Fatal(err)
	}
	if err := f.fit(t.Context(), q, []*fitcar.Observation{{Sheet: old}}, 0); !errors.Is(err, car.ErrUnknownKey) {
		t.Errorf("a pass was run by the wrong sheet: %v", err)
	}
}
