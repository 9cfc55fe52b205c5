package quantity

import "testing"

// Factors: 1 psi = 6.894757 kPa, 1 lb-ft = 1.355818 N·m, 1 mph = 0.44704 m/s, 1 hp = 745.6999 W
// 1 inHg = 3.386389 kPa (NIST SP 811).
func TestRetell(t *testing.T) {
	for _, c := range []struct{ said, want string }{
		{"boost settled at 160 kPa, the car's usual target is 150 kPa", "boost settled at 23.2 psi, the car's usual target is 21.8 psi"},
		{"air pressure: the notes say 100.3 kPa", "air pressure: the notes say 29.62 inHg"},
		{"air pressure: assumed 100.3 kPa (± 2.5)", "air pressure: assumed 29.62 inHg (± 0.74)"},
		{"over the barometer boost is +1.5 kPa", "over the barometer boost is +0.22 psi"},
		{"set to sea level, 1013 hPa", "set to sea level, 29.91 inHg"},
		{"it passes about 620 N·m", "it passes about 457 lb-ft"},
		{"a headwind of 1.5 m/s and 81.2 m/s at the trap", "a headwind of 3.4 mph and 181.6 mph at the trap"},
		{"tyre speed limit = 370 km/h, from the symbol", "tyre speed limit = 230 mph, from the symbol"},
		{"taken as 20 °C (± 5) from the intake", "taken as 68 °F (± 9) from the intake"},
		{"from practice (30 kW at the crank)", "from practice (40 hp at the crank)"},
		{"falls at 9.8 m/s² and -5 °C", "falls at 9.8 m/s² and 23 °F"},
		{"radius = 0.3211 ± 0.0039 m, 0.013 kg/m³", "radius = 0.3211 ± 0.0039 m, 0.013 kg/m³"},
		{"gear 3: 700 N·m/rad", "gear 3: 700 N·m/rad"},
	} {
		if got := Imperial.Retell(c.said); got != c.want {
			t.Errorf("%q: %q, want %q", c.said, got, c.want)
		}
		if got := Metric.Retell(c.said); got != c.said {
			t.Errorf("metric: %q", got)
		}
	}
}
