package health

import (
	"math"
	"testing"

	"traplight/internal/dictionary"
	"traplight/internal/pass"
	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// Spikes that the reader left out condemn a channel as leaps in its readings do: five of
// them, three of a slow channel, and never a single one.
func TestSpikesThatTheReaderLeftOutCondemn(t *testing.T) {
	for _, c := range []struct {
		name   string
		rate   float64 // Hz
		spikes []float64
		want   bool
	}{
		{"none", 50, nil, false},
		{"one", 10, []float64{8}, false},
		{"three of a fast channel", 50, []float64{8, 9, 12}, false},
		{"three of a slow channel", 10, []float64{8, 9, 12}, true},
		{"five", 50, []float64{8, 9, 12, 13, 14}, true},
		{"five long before the pass", 50, []float64{-18, -17, -16, -15, -14}, false},
	} {
		ch := dictionary.Channel{Name: "t", Quantity: quantity.CoolantTemperature, RateHz: c.rate, Spikes: c.spikes}
		for i := range int(50 * c.rate) {
			at := -20 + float64(i)/c.rate
			ch.Trace = trace.Trace{T: append(ch.Trace.T, at), V: append(ch.Trace.V, 350+0.1*math.Sin(float64(7*i)))}
		}
		lift := 18.0
		p := &pass.Pass{Lift: &lift}
		var got *broken
		for _, b := range selfCheck(&dictionary.Set{Channels: []dictionary.Channel{ch}}, p, nil) {
			got = &b
		}
		if (got != nil) != c.want || got != nil && (got.mode != "jumps" || got.from != c.spikes[0]) {
			t.Errorf("%s: %+v", c.name, got)
		}
	}
}
