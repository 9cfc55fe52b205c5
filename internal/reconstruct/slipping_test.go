package reconstruct_test

import (
	"encoding/json"
	"math"
	"testing"

	"traplight/internal/car"
	"traplight/internal/demo"
	"traplight/internal/dictionary"
	"traplight/internal/logfile"
	"traplight/internal/reconstruct"
)

// TestGearsOfASlippingClutch: invented passes whose clutch comes to carry far less than the
// engine gives keep their gears, without a gear channel too.
func TestGearsOfASlippingClutch(t *testing.T) {
	for i, c := range demo.Cars() {
		if c.ID != "chert" && c.ID != "schist" {
			continue
		}
		f, ok := c.MakeFault(demo.ClutchSlip, demo.Gross, uint64(100*i+2))
		if !ok {
			t.Fatalf("%s has no clutch to slip", c.ID)
		}
		f.Always = false
		w := demo.DrawWeather(demo.HomeStrip(), uint64(7*i+2))
		rec := demo.Generate(c, demo.PassOptions{ID: "d", When: "2033-06-11 10:20", Weather: &w, Sensors: "poor", Fault: &f}, uint64(1002+10*i))
		var truth struct {
			Passes []struct {
				Gears []struct {
					Gear  int
					Start float64 `json:"t_start"`
				}
			}
		}
		if err := json.Unmarshal(rec.Truth, &truth); err != nil {
			t.Fatal(err)
		}
		log, err := logfile.Read(rec.Name+".csv", rec.CSV)
		if err != nil {
			t.Fatal(err)
		}
		sheet, err := car.ParseSheet("car.toml", c.SheetTOML())
		if err != nil {
			t.Fatal(err)
		}
		set, err := dictionary.Identify(log, dictionary.Options{MixtureScale: sheet.LambdaScale})
		if err != nil {
			t.Fatal(err)
		}
		res, err := reconstruct.Passes(set, sheet, nil, reconstruct.Options{File: rec.Name + ".csv"})
		if err != nil || len(res.Passes) != 1 {
			t.Fatalf("%s: %d passes, %v", c.ID, len(res.Passes), err)
		}
		got, want := res.Passes[0].Gears, truth.Passes[0].Gears
		if len(got) != len(want) {
			t.Errorf("%s: %d gears, not %d: %+v", c.ID, len(got), len(want), got)
			continue
		}
		for k := range want {
			if at := set.Clock.Log(got[k].Start); got[k].Gear != want[k].Gear || math.Abs(at-want[k].Start) > 0.15 {
				t.Errorf("%s: gear %d from %.2f s, not %d from %.2f s", c.ID, got[k].Gear, at, want[k].Gear, want[k].Start)
			}
		}
	}
}
