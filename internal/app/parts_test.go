package app

import (
	"context"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"

	"traplight/internal/reftest"
)

// TestPartsSeeTheTruth: the highest hub torque that a part is told to have borne is that of the
// independent model behind the log (its truth file has 50 ms means), and every pass counts once.
func TestPartsSeeTheTruth(t *testing.T) {
	dir := reftest.Path(t, "logs")
	parts := filepath.Join(t.TempDir(), "parts.toml")
	text := "[[part]]\nserial = \"DS-1\"\ncar = \"marlin\"\nload = \"hub torque\"\nslope = 5\n[[part]]\nserial = \"G-4\"\ncar = \"marlin\"\nload = \"gearbox torque\"\ngears = [4]\ncounting = \"revolutions\"\nslope = 8.738\n"
	if err := os.WriteFile(parts, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	r, err := Parts(context.Background(), PartsRequest{
		Parts: parts, Cars: []string{filepath.Join(dir, "car_marlin.toml")}, Notes: filepath.Join(dir, "passes.toml"),
		Logs: []string{filepath.Join(dir, "a04_marlin.csv"), filepath.Join(dir, "a05_marlin.csv")},
	})
	if err != nil {
		t.Fatal(err)
	}
	highest, turns := 0.0, 0.0
	for _, name := range []string{"a04_marlin", "a05_marlin"} {
		var truth struct {
			Passes []struct {
				Gears []struct {
					Peak float64 `json:"hub_torque_peak"`
				}
				Shifts []struct {
					From   int     `json:"from_gear"`
					Off    float64 `json:"t_torque_off"`
					On     float64 `json:"t_torque_on"`
					Before float64 `json:"rpm_before"`
					After  float64 `json:"rpm_after"`
				}
			}
		}
		b, err := os.ReadFile(filepath.Join(dir, name+".truth.json"))
		if err != nil {
			t.Skip(err)
		}
		if err := json.Unmarshal(b, &truth); err != nil {
			t.Fatal(err)
		}
		for _, g := range truth.Passes[0].Gears {
			highest = math.Max(highest, g.Peak)
		}
		// from the torque of the shift into fourth to that of the shift out of it
		sh := truth.Passes[0].Shifts
		for i := 1; i < len(sh); i++ {
			if sh[i].From == 4 {
				turns += (sh[i].Off - sh[i-1].On) * (sh[i-1].After + sh[i].Before) / 2 / 60
			}
		}
	}
	ds, g4 := r.Result.Parts[0], r.Result.Parts[1]
	if ds.Recorded != 2 || ds.Passes != 9 { // nine passes of this car are noted
		t.Errorf("%d passes, %d recorded", ds.Passes, ds.Recorded)
	}
	if got := *ds.Highest; math.Abs(got/highest-1) > 0.12 {
		t.Errorf("highest hub torque %.0f N·m, truth %.0f", got, highest)
	}
	if math.Abs(g4.EquivalentN/turns-1) > 0.06 {
		t.Errorf("%.0f turns in fourth gear, truth about %.0f", g4.EquivalentN, turns)
	}
	t.Logf("highest hub torque %.0f N·m (truth %.0f), turns in fourth %.0f (truth about %.0f)", *ds.Highest, highest, g4.EquivalentN, turns)
}
