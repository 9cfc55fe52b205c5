package health

import (
	"testing"

	"traplight/internal/dictionary"
	"traplight/internal/pass"
	"traplight/internal/quantity"
)

// An exhaust pressure that stands 60 kPa over the air's at idle has its zero elsewhere; one that
// stands 5 kPa over it, and one that is high because the throttle is open, have not.
func TestExhaustPressureAtIdleTellsItsZero(t *testing.T) {
	for _, c := range []struct {
		over, throttle float64
		want           bool
	}{{5e3, 0, false}, {60e3, 0, true}, {60e3, 0.5, false}} {
		channel := func(q quantity.Name, v float64) dictionary.Channel {
			x := dictionary.Channel{Name: string(q), Quantity: q, RateHz: 50, Confidence: 1}
			for i := range 300 {
				x.Trace.T, x.Trace.V = append(x.Trace.T, float64(i)*0.02), append(x.Trace.V, v)
			}
			return x
		}
		set := &dictionary.Set{Channels: []dictionary.Channel{channel(quantity.EngineSpeed, 110), channel(quantity.Throttle, c.throttle), channel(quantity.ExhaustPressure, 99e3+c.over)}}
		p := &pass.Pass{Launch: quantity.Estimate{Value: 5}, Air: &pass.Air{Pressure: 99e3}}
		if got := len(exhaustDenied(set, p)) > 0; got != c.want {
			t.Errorf("%+v: denied %v", c, got)
		}
	}
}
