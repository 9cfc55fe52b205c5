package health

import (
	"testing"

	"traplight/internal/quantity"
)

// Without ratios an engine that comes free of both axles is told, and a driven axle that spins,
// or a car whose sheet has the ratios, is not.
func TestEngineThatComesFreeWithoutRatios(t *testing.T) {
	type wheel = func(t, speed, boost float64) float64
	for _, c := range []struct {
		name        string
		slips, spin float64 // 1, of the clutch and of the rear tyres, from 13 to 14.5 s
		sheet, want bool
	}{
		{"sound", 0, 0, false, false},
		{"a clutch that slips and holds again", 0.06, 0, false, true},
		{"tyres that spin", 0, 0.2, false, false},
		{"with ratios the watches tell", 0.06, 0, true, false},
	} {
		at := func(share, t float64) float64 {
			if t > 13 && t < 14.5 {
				return share
			}
			return 0
		}
		turns := func(t, speed float64) float64 { // m/s, of the driven wheels
			return speed / (30 - 5*float64(int(max(t, 0)/4))) / (1 + at(c.slips, t))
		}
		front := []wheel{func(t, speed, _ float64) float64 { return turns(t, speed) / (1 + at(c.spin, t)) }}
		rear := []wheel{func(t, speed, _ float64) float64 { return turns(t, speed) }}
		j := firstPass(map[quantity.Name][]wheel{
			quantity.EngineSpeed:  {func(_, speed, _ float64) float64 { return speed }},
			quantity.WheelSpeedFL: front, quantity.WheelSpeedFR: front, quantity.WheelSpeedRL: rear, quantity.WheelSpeedRR: rear,
		})
		if c.sheet {
			j.obs = append(j.obs, &observation{look: &look{spec: spec{id: "engine over wheels"}}})
		}
		b, ok := j.cameFree()
		if ok != c.want || ok && (b.kind != ClutchSlip || b.from < 12.9 || b.from > 13.3) {
			t.Errorf("%s: %v %+v, want %v", c.name, ok, b, c.want)
		}
	}
}
