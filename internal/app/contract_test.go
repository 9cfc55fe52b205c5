package app

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"traplight/internal/report"
)

// contract is what every report promises: each key is there whatever the log holds, with a value
// of its kind or null.
const contract = `{ "car": "", "notes": [""],
  "log": { "file": "", "sha256": "", "start": "", "duration_s": 0,
           "channels": [ {"name": "", "quantity": "", "unit": "", "rate_hz": 0, "confidence": 0, "problems": [""]} ] },
  "passes": [ {
      "launch_s": 0, "launch_sd_s": 0, "rollout_s": 0, "finish_s": 0, "lift_s": 0, "complete": true, "distance_m": 0,
      "splits": [ {"mark": "", "distance_m": 0, "time_s": 0, "speed_mps": 0, "time_sd_s": 0, "speed_sd_mps": 0} ],
      "trap": {"speed_mps": 0, "sd_mps": 0, "window_m": 0},
      "gears": [ {"gear": 1, "start_s": 0, "end_s": 0, "peak_hub_torque_nm": 0, "mean_hub_torque_nm": 0, "mean_hub_torque_sd_nm": 0,
                  "peak_wheel_torque_nm": 0, "mean_wheel_torque_nm": 0, "peak_slip": 0, "mean_slip": 0,
                  "ceiling_hub_torque_nm": 0, "ceiling_hub_sd_nm": 0, "ceiling_wheel_torque_nm": 0, "ceiling_is_lower_bound": false, "limited_by": "",
                  "mean_boost_pa": 0, "boost_target_pa": 0, "lambda": 0, "ignition_rad": 0, "max_exhaust_temp_k": 0, "charge_temp_end_k": 0, "max_injector_duty": 0,
                  "min_fuel_over_manifold_pa": 0, "max_back_pressure_ratio": 0, "turbo_speed_rads": 0, "shift_engine_speed_rads": 0} ],
      "shifts": [ {"from": 1, "to": 2, "start_s": 0, "end_s": 0, "boost_before_pa": 0, "boost_min_pa": 0, "boost_target_pa": 0, "recovery_s": 0, "recovery_to_target_s": 0} ],
      "power": {"peak_wheel_w": 0, "peak_wheel_sd_w": 0, "engine_speed_rads": 0, "at_s": 0, "fuel_flow_kgps": 0, "by_fuel_w": 0, "by_fuel_sd_w": 0, "back_pressure_ratio": 0},
      "air": {"density_kgpm3": 0, "density_altitude_m": 0, "correction_sae_j1349": 0},
      "ledger": [ {"cause": "", "group": "", "speed_mps": 0, "sd_mps": 0, "alone_mps": 0} ],
      "health": {"verdict": "", "basis": "", "not_judged": [""],
                 "findings": [ {"kind": "", "severity": "", "start_s": 0, "channels": [""], "evidence": "", "look_at": [""], "chance_on_healthy_car": 0} ]}
  } ] }`

// departures are the places, by path, where got is not of want's kind; nulls collects what is null.
func departures(want, got any, path string, nulls map[string]bool) (out []string) {
	if got == nil {
		nulls[path] = true
		return nil
	}
	if fmt.Sprintf("%T", want) != fmt.Sprintf("%T", got) {
		return []string{fmt.Sprintf("%s is %v, a %T for a %T", path, got, got, want)}
	}
	switch want := want.(type) {
	case map[string]any:
		for k, w := range want {
			g, ok := got.(map[string]any)[k]
			if !ok {
				out = append(out, path+"."+k+" is missing")
				continue
			}
			out = append(out, departures(w, g, path+"."+k, nulls)...)
		}
	case []any:
		for _, g := range got.([]any) {
			out = append(out, departures(want[0], g, path, nulls)...)
		}
	}
	return out
}

// reasons are words of the note that stands for what is null.
var reasons = map[string]string{
	".passes.trap": "no trap speed", ".passes.power": "no peak power", ".passes.air": "no air", ".passes.ledger": "no ledger", ".passes.lift_s": "lift", ".passes.finish_s": "no trap speed",
	".passes.power.by_fuel_w": "no power by fuel", ".passes.power.back_pressure_ratio": "no back-pressure ratio", ".passes.gears.lambda": "no lambda",
	".passes.gears.ignition_rad": "no ignition", ".passes.gears.max_exhaust_temp_k": "no exhaust temperature", ".passes.gears.charge_temp_end_k": "no charge temperature",
	".passes.gears.max_injector_duty": "no injector duty", ".passes.gears.mean_boost_pa": "no boost", ".passes.gears.min_fuel_over_manifold_pa": "no fuel pressure",
	".passes.gears.turbo_speed_rads": "no turbo speed", ".passes.gears.mean_slip": "slip", ".passes.gears.ceiling_hub_torque_nm": "ceilings",
}

// TestContract holds every key of the report, its kind, and a reason for what is null, over the
// kinds of logs that there are.
func TestContract(t *testing.T) {
	if testing.Short() {
		t.Skip("whole reports with their ledgers")
	}
	t.Parallel()
	var want any
	if err := json.Unmarshal([]byte(contract), &want); err != nil {
		t.Fatal(err)
	}
	data := filepath.Join("..", "..", "bench", "accuracy", "testdata")
	dir := t.TempDir()
	whole, two := filepath.Join(dir, "b01_heron.csv"), filepath.Join(dir, "c01_otter_two_passes.csv")
	unpackTo(t, filepath.Join(data, "b01_heron.csv.gz"), whole)
	unpackTo(t, filepath.Join(data, "c01_otter_two_passes.csv.gz"), two)
	const head = 4 // lines before the names
	lines := func() []string {
		text, err := os.ReadFile(whole)
		if err != nil {
			t.Fatal(err)
		}
		return strings.Split(strings.TrimRight(string(text), "\n"), "\n")
	}()
	// part writes the log's first seconds, and of its columns the first few of those named.
	part := func(name string, seconds float64, columns ...string) string {
		names := strings.Split(lines[head], ";")
		var out []string
		for i, l := range lines[head:] {
			cells := strings.Split(l, ";")
			if ms, err := strconv.ParseFloat(cells[0], 64); i > 1 && err == nil && ms > 1000*seconds {
				break
			}
			var kept []string
			for c, cell := range cells {
				if len(columns) == 0 || slices.Contains(columns, strings.TrimSpace(names[c])) {
					kept = append(kept, cell)
				}
			}
			out = append(out, strings.Join(kept, ";"))
		}
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(strings.Join(out, "\n")+"\n"), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	heron, otter := []string{filepath.Join(data, "car_heron.toml")}, []string{filepath.Join(data, "car_otter.toml")}
	notes := filepath.Join(data, "passes.toml")
	wheels := []string{"Zeit", "Drehzahl", "Rad VL", "Rad VR"}
	for _, c := range []struct {
		name    string
		q       ReportRequest
		passes  int
		present []string // not null
	}{
		{"complete", ReportRequest{Logs: []string{whole}, Cars: heron, Notes: notes}, 1, []string{".passes.trap", ".passes.ledger", ".passes.gears.ceiling_hub_torque_nm", ".passes.power.by_fuel_w", ".passes.health.verdict"}},
		{"given up", ReportRequest{Logs: []string{part("ends.csv", 9)}, Cars: heron}, 1, []string{".passes.gears.mean_hub_torque_nm"}},
		{"two passes", ReportRequest{Logs: []string{two}, Cars: otter, Notes: notes, Without: []string{"ledger"}}, 2, []string{".passes.gears.mean_hub_torque_nm"}},
		{"no pass", ReportRequest{Logs: []string{part("idle.csv", 1.5)}, Cars: heron}, 0, nil},
		{"few channels", ReportRequest{Logs: []string{part("few.csv", 99, wheels...)}, Cars: heron}, 1, []string{".passes.trap", ".passes.power.peak_wheel_w"}},
		{"no sheet", ReportRequest{Logs: []string{whole}}, 1, []string{".passes.trap"}},
		{"speed alone", ReportRequest{Logs: []string{part("speed.csv", 99, "Zeit", "GPS-Geschwindigkeit")}, Cars: heron}, 1, []string{".passes.trap"}},
		{"few channels, no sheet", ReportRequest{Logs: []string{part("few2.csv", 99, wheels...)}}, 1, []string{".passes.trap"}},
	} {
		r, err := Report(t.Context(), c.q)
		if err != nil && (c.passes > 0 || r == nil) {
			t.Fatalf("%s: %v", c.name, err)
		}
		var b bytes.Buffer
		if err := report.WriteJSON(&b, r); err != nil {
			t.Fatal(err)
		}
		var got any
		if err := json.Unmarshal(b.Bytes(), &got); err != nil {
			t.Fatal(err)
		}
		nulls := map[string]bool{}
		for _, d := range departures(want, got, "", nulls) {
			t.Errorf("%s: %s", c.name, d)
		}
		if n := len(got.(map[string]any)["passes"].([]any)); n != c.passes {
			t.Errorf("%s: %d passes", c.name, n)
		}
		for _, p := range c.present {
			if nulls[p] {
				t.Errorf("%s: %s is null", c.name, p)
			}
		}
		said := strings.ToLower(fmt.Sprint(got.(map[string]any)["notes"]))
		for i := range r.Passes {
			if len(r.Passes[i].Gears) == 0 && !strings.Contains(said, "no gears") {
				t.Errorf("%s: no gears, and no note says why: %s", c.name, said)
			}
		}
		for null := range nulls {
			if words, ok := reasons[null]; ok && !strings.Contains(said, words) && !(null == ".passes.ledger" && slices.Contains(c.q.Without, "ledger")) {
				t.Errorf("%s: %s is null, and no note says why (%q): %s", c.name, null, words, said)
			}
		}
	}
}
