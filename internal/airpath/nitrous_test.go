package airpath

import (
	"math"
	"testing"

	"traplight/internal/dictionary"
	"traplight/internal/pass"
	"traplight/internal/quantity"
	"traplight/internal/trace"
)

func TestNitrousByShift(t *testing.T) {
	p := &pass.Pass{
		Shifts: []pass.Shift{
			{Start: quantity.Estimate{Value: 4}, End: quantity.Estimate{Value: 4.4}},
			{Start: quantity.Estimate{Value: 7}, End: quantity.Estimate{Value: 7.3}},
		},
		Gears: []pass.GearSpan{{Gear: 3, Start: 7.3, End: 12}},
	}
	nitrous(p, &dictionary.Set{})
	if p.Shifts[0].NitrousTime != nil {
		t.Error("a time without a channel")
	}
	var x trace.Trace
	for i := range 600 {
		at, v := 0.02*float64(i), 0.0
		if at > 4.49 && at < 5.01 || at > 3 && at < 3.5 {
			v = 1 // 0.52 s after the first shift; before it does not count
		}
		x.T, x.V = append(x.T, at), append(x.V, v)
	}
	nitrous(p, &dictionary.Set{Channels: []dictionary.Channel{{Quantity: quantity.Nitrous, Trace: x}}})
	if got := *p.Shifts[0].NitrousTime; math.Abs(got-0.52) > 0.021 {
		t.Errorf("%.3f s after the first shift, want 0.52", got)
	}
	if got := *p.Shifts[1].NitrousTime; got != 0 {
		t.Errorf("%.3f s after the second shift", got)
	}
}
