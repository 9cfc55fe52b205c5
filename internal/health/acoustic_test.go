package health

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"traplight/internal/reftest"
)

// Draper's modes: zeros from tables (Abramowitz and Stegun 9.5) and frequencies
// for a bore of 86 mm at 950 m/s, references/draper_modes.csv.
func TestModesAgainstTable(t *testing.T) {
	f, err := os.Open(reftest.Path(t, "references/draper_modes.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	modes := Modes(0.086, 950, 30)
	for _, r := range rows[1:] {
		num := func(i int) float64 { v, _ := strconv.ParseFloat(r[i], 64); return v }
		found := false
		for _, m := range modes {
			if m.Circumferential == int(num(0)) && m.Radial == int(num(1)) {
				found = true
				if math.Abs(m.Alpha-num(2)) > 1e-8 || math.Abs(m.Frequency/1000-num(4)) > 1e-3 {
					t.Errorf("mode %v,%v: α %.9f f %.4f kHz, table %.9f %.4f", r[0], r[1], m.Alpha, m.Frequency/1000, num(2), num(4))
				}
			}
		}
		if !found {
			t.Errorf("mode %v,%v not found", r[0], r[1])
		}
	}
	// Ratios that depend on neither bore nor temperature: 1.6588 and 2.0811.
	if r := modes[1].Frequency / modes[0].Frequency; math.Abs(r-1.6588) > 1e-4 {
		t.Errorf("second over first %.5f", r)
	}
	if r := modes[2].Frequency / modes[0].Frequency; math.Abs(r-2.0811) > 1e-4 {
		t.Errorf("third over first %.5f", r)
	}
	// Speed of sound at 2000 and 2500 K: 863.8 and 965.8 m/s (references/knock.md).
	for _, r := range [][2]float64{{2000, 863.8}, {2500, 965.8}} {
		if c := SoundSpeed(r[0]); math.Abs(c-r[1]) > 0.05 {
			t.Errorf("sound at %g K: %.2f", r[0], c)
		}
	}
}
