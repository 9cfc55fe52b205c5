package app

import (
	"testing"

	"traplight/internal/fitcar"
	"traplight/internal/health"
)

// Of what is found on a pass the forecast is told what may have cost speed; a limit that is
// exceeded, and what is subtle, is slight.
func TestTell(t *testing.T) {
	over := onPass{health.Overboost, health.Moderate, 3, false}
	for _, c := range []struct {
		name   string
		found  []onPass
		kind   string
		slight bool
	}{
		{"nothing", nil, "", false},
		{"a sensor's own", []onPass{{health.Sensor, health.Gross, 1, false}}, "", false},
		{"a limit", []onPass{over}, "overboost", true},
		{"the gearbox's limit", []onPass{{health.Driveline, health.Moderate, 1, true}}, "driveline", true},
		{"a subtle leak", []onPass{{health.BoostLeak, health.Subtle, 5, false}}, "boost leak", true},
		{"a leak behind a limit", []onPass{over, {health.BoostLeak, health.Moderate, 5, false}}, "boost leak", false},
	} {
		o := &fitcar.Observation{}
		tell(o, c.found)
		if o.Finding != c.kind || o.Slight != c.slight {
			t.Errorf("%s: %q, slight %v", c.name, o.Finding, o.Slight)
		}
		if c.kind == "boost leak" && o.FoundFrom != 5 {
			t.Errorf("%s: from %g s", c.name, o.FoundFrom)
		}
	}
}

// A fuel supply that fails while the mixture holds costs no torque; one that leans it may.
func TestTellByMixture(t *testing.T) {
	fails := []onPass{{health.FuelSupply, health.Moderate, 6, false}}
	for lean, slight := range map[float64]bool{0: true, 0.2: false} {
		o := &fitcar.Observation{Step: 0.02}
		for i := range 600 {
			s := float64(i) * o.Step
			l := 0.8
			if s > 6 {
				l += lean
			}
			o.Gear, o.Full, o.Lambda = append(o.Gear, 1), append(o.Full, true), append(o.Lambda, l)
		}
		if tell(o, fails); o.Slight != slight || o.Finding != "fuel supply" {
			t.Errorf("leaner by %g: %q, slight %v", lean, o.Finding, o.Slight)
		}
	}
}
