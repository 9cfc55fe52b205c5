package dictionary

import (
	"math"
	"testing"

	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// TestBringToSlope scales an accelerometer whose box is turned by 30 degrees to the change of
// a receiver's speed, and leaves one that squat alone puts off.
func TestBringToSlope(t *testing.T) {
	pull := func(t float64) float64 { return 4 + 3*math.Sin(t/2) + 2*math.Sin(1.3*t) }
	for _, c := range []struct {
		reads, want float64
		absolute    bool
	}{{1.03, 1.03, true}, {0.89, usualSlope, true}, {0.89, 0.89, false}, {1.3, usualSlope, true}} {
		var v, a trace.Trace
		speed := 0.0
		for i := range 3000 {
			at := 0.01 * float64(i)
			speed += 0.01 * pull(at)
			v.T, v.V = append(v.T, at), append(v.V, speed)
			a.T, a.V = append(a.T, at), append(a.V, c.reads*pull(at))
		}
		set := &Set{Channels: []Channel{{Name: "a", Quantity: quantity.AccelerationLong, Unit: "m/s²", toldUnit: true, Confidence: 0.9, Trace: a}}}
		settleAcceleration(set, v, c.absolute)
		if got := set.Channels[0].Trace.V[500] / pull(5); math.Abs(got-c.want) > 0.01 {
			t.Errorf("reads %.2f times: %.3f kept, want %.3f", c.reads, got, c.want)
		}
	}
}
