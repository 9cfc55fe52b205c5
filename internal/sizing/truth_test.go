package sizing

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"traplight/internal/car"
	"traplight/internal/quantity"
	"traplight/internal/reftest"
)

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
	byBoost := map[string]bool{} // by car: whether its first pass lies within
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
			if _, known := byBoost[truth.Car]; !known {
				c := r.Engine.Schedule.Power
				byBoost[truth.Car] = p.Peak.Crank >= c.Low && p.Peak.Crank <= c.High
			}
			ratios = append(ratios, r.Power.Wheel.Value/p.Peak.Power)
		}
	}
	if n == 0 {
		t.Skip("no truth to hold against")
	}
	t.Logf("%d passes: wheel power within the bounds %d, crank power %d, crank power of the boost run, by car, %v; over truth %.3f", n, held, heldCrank, byBoost, ratios)
	wide := 0
	for _, ok := range byBoost {
		if ok {
			wide++
		}
	}
	if 10*wide < 8*len(byBoost) {
		t.Errorf("the power that the boost run makes lies within its bounds for %v", byBoost)
	}
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
