package app

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"traplight/internal/car"
	"traplight/internal/reftest"
	"traplight/internal/sizing"
)

// TestPowerOfOtherBoost: what one pass told of the engine must say what the others made of
// their boost. The truth is that of the open reference logs, from an independent model.
func TestPowerOfOtherBoost(t *testing.T) {
	dir := reftest.Path(t, "logs")
	notesFile := filepath.Join(dir, "passes.toml")
	notes, err := car.LoadNotes(notesFile)
	if err != nil {
		t.Skip(err)
	}
	n, held, square, width := 0, 0, 0.0, 0.0
	for _, k := range []struct{ car, from, others string }{
		{"car_marlin.toml", "a01_marlin", "a0[2-8]_marlin"},
		{"car_heron.toml", "b02_heron", "b01_heron"},
	} {
		path := filepath.Join(dir, k.car)
		sheets, err := loadSheets([]string{path})
		if err != nil {
			t.Fatal(err)
		}
		measured, err := learn(t.Context(), SizeRequest{Cars: []string{path}, Notes: notesFile, Logs: []string{filepath.Join(dir, k.from+".csv")}}, sheets[0])
		if err != nil {
			t.Fatal(err)
		}
		files, _ := filepath.Glob(filepath.Join(dir, k.others+".truth.json"))
		for _, f := range files {
			log := strings.Replace(filepath.Base(f), ".truth.json", ".csv", 1)
			note := notes.For(log, 0)
			crank, manifold := truePeak(t, f)
			if note == nil || note.Nitrous != nil && *note.Nitrous {
				continue
			}
			s := *sheets[0]
			s.UsualBoost = []float64{manifold - note.Weather.Pressure}
			r, err := sizing.Size(t.Context(), sizing.Request{Sheet: &s, Weather: &note.Weather, Target: 80, Strip: notes.StripFor(note), Measured: measured})
			if err != nil {
				t.Fatal(err)
			}
			p := r.Engine.Schedule.Power
			miss := math.Log(p.Value / crank)
			n++
			if p.Low <= crank && crank <= p.High {
				held++
			}
			square += miss * miss
			width += (p.High - p.Low) / p.Value
		}
	}
	rms, mean := math.Sqrt(square/float64(n)), width/float64(n)
	t.Logf("power at the boost of %d other passes: within the bounds %d, rms %.3f, bounds %.3f apart", n, held, rms, mean)
	if n < 6 || 10*held < 8*n || rms > 0.04 || mean > 0.20 {
		t.Errorf("of %d passes the bounds hold %d, rms %.3f, bounds %.3f apart", n, held, rms, mean)
	}
}

// truePeak reads crank power, W, and manifold pressure, Pa, at the true peak.
func truePeak(t *testing.T, file string) (crank, manifold float64) {
	var truth struct {
		Passes []struct {
			Peak struct {
				Crank float64 `json:"crank_power"`
				MAP   float64 `json:"map"`
			} `json:"peak_hub_power"`
		}
	}
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(text, &truth); err != nil {
		t.Fatal(err)
	}
	return truth.Passes[0].Peak.Crank, truth.Passes[0].Peak.MAP
}
