package health

import (
	"slices"
	"strings"
	"testing"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/quantity"
)

// TestNoBoostNoChargeHeat: without manifold pressure nothing tells how far the compressor heats
// the air, so warm charge is no finding, and it is said why it was not judged.
func TestNoBoostNoChargeHeat(t *testing.T) {
	r := speedOnly()
	charge := dictionary.Channel{Name: "T Lade", Quantity: quantity.ChargeTemperature, RateHz: 20, Confidence: 1}
	lambda := dictionary.Channel{Name: "Lam", Quantity: quantity.Lambda, RateHz: 20, Confidence: 1}
	throttle := dictionary.Channel{Name: "DK", Quantity: quantity.Throttle, RateHz: 20, Confidence: 1}
	engine := dictionary.Channel{Name: "Drehz", Quantity: quantity.EngineSpeed, RateHz: 20, Confidence: 1}
	for i := range 900 {
		s := float64(i) * 0.02
		put := func(c *dictionary.Channel, v float64) {
			c.Trace.T, c.Trace.V = append(c.Trace.T, s), append(c.Trace.V, v)
		}
		put(&charge, 311+5*s)
		put(&lambda, 0.82)
		put(&throttle, 1)
		put(&engine, 600)
	}
	r.Set.Channels = append(r.Set.Channels, charge, lambda, throttle, engine)
	res := Screen(r, nil, &car.Sheet{})
	if len(res.Findings) > 0 {
		t.Errorf("found %v: %s", res.Findings[0].Kind, res.Findings[0].Evidence)
	}
	for _, want := range []string{"charge cooling: no manifold pressure", "mixture: no manifold pressure", "clutch: no gear ratios"} {
		if !slices.ContainsFunc(res.NotJudged, func(s string) bool { return strings.HasPrefix(s, want) }) {
			t.Errorf("nothing says %q: %v", want, res.NotJudged)
		}
	}
}
