package car

import (
	"math"
	"strings"
	"testing"

	"traplight/internal/quantity"
)

// TestCommentedUS: the sheet of pounds, inches and psi states what the metric one does, to the
// three digits of its examples (1 lb = 0.45359237 kg, 1 in = 25.4 mm, 1 psi = 6.894757 kPa,
// 1 lbf·ft = 1.355818 N·m: NIST SP 811).
func TestCommentedUS(t *testing.T) {
	metric, us := string(Commented(false)), string(Commented(true))
	for _, want := range []string{"\nunits = \"us\"", "# mass_lb = 3060 ", "or mass_kg", "# wheelbase_in = 106 ", "# usual_boost_psi_by_gear = [17.4, 27.6, 34.8, 34.8, 34.8]",
		"# gearbox_torque_lbft_by_gear = [516, 664, 738, 738, 738]", "# max_exhaust_temp_f = 1742 ", "# compressor_inducer_mm = 67", "mass_sd_lb = 10", "# trap_mph"} {
		if !strings.Contains(us, want) {
			t.Errorf("no %q", want)
		}
	}
	if notes := string(CommentedNotes(true)); !strings.Contains(notes, "# length_ft = 2640 ") || !strings.Contains(notes, "# trap_window_ft = 66 ") || !strings.Contains(notes, "# station_pressure_inhg = 29.8 ") {
		t.Error("the notes are not in feet and inches of mercury")
	}
	read := func(text string) *Sheet {
		text = strings.NewReplacer("\n# mass_kg", "\nmass_kg", "\n# mass_lb", "\nmass_lb", "# wheelbase_", "wheelbase_", "# usual_boost_kpa_by", "usual_boost_kpa_by", "# usual_boost_psi_by", "usual_boost_psi_by").Replace(text)
		s, err := ParseSheet("s.toml", []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	a, b := read(metric), read(us)
	near := func(x, y float64) bool { return x != 0 && math.Abs(x/y-1) < 0.005 }
	if !near(a.Mass.Value, b.Mass.Value) || !near(a.Wheelbase.Value, b.Wheelbase.Value) || len(b.UsualBoost) != 5 || !near(a.UsualBoost[2], b.UsualBoost[2]) {
		t.Errorf("%v and %v, %v and %v, %v and %v", a.Mass, b.Mass, a.Wheelbase, b.Wheelbase, a.UsualBoost, b.UsualBoost)
	}
}

// TestRetellKeys: who writes pounds and inches is told the keys of those.
func TestRetellKeys(t *testing.T) {
	for said, want := range map[string]string{
		"the car sheet does not state wheelbase_m = 2.65 ± 0.12; loss_share = 0.05 ± 0.03": "the car sheet does not state wheelbase_in = 104.3 ± 4.7; loss_share = 0.05 ± 0.03",
		"mass_kg = 1450 ± 200": "mass_lb = 3197 ± 441",
		"air temperature: assumed 20 °C (± 16); air_temp_c in the notes would give it": "air temperature: assumed 68 °F (± 29); air_temp_f in the notes would give it",
		"boost_target_kpa_by_gear in the notes would state them":                       "boost_target_psi_by_gear in the notes would state them",
		"boost_target_kpa_by_gear = [60, 110, 170]":                                    "boost_target_psi_by_gear = [8.7, 16, 24.7]",
		"tyre rolling radius = 0.3211 ± 0.0039 m (from the unloaded radius)":           "tyre rolling radius = 12.64 ± 0.15 in (from the unloaded radius)",
		"cg_height_m: 0.45 taken":                                                      "cg_height_m: 0.45 taken",
		"zeal_kpa is not a known key":                                                  "zeal_kpa is not a known key",
	} {
		if got := Retell(quantity.Imperial, said); got != want {
			t.Errorf("%q, want %q", got, want)
		}
		if got := Retell(quantity.Metric, said); got != said {
			t.Errorf("metric: %q", got)
		}
	}
}
