package dictionary

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// noisy samples a course at 100 Hz with noise of two prints, printed to step.
func noisy(q quantity.Name, step float64, course func(t float64) float64) *Channel {
	rng := rand.New(rand.NewPCG(7, 7))
	c := &Channel{Name: "made", Quantity: q, Resolution: step, RateHz: 100, Confidence: 1}
	for i := range 3000 {
		t := float64(i) / 100
		v := course(t)
		if v > 0 {
			v += 2 * step * rng.NormFloat64()
		}
		c.Trace.T = append(c.Trace.T, t)
		c.Trace.V = append(c.Trace.V, math.Round(math.Max(v, 0)/step)*step)
	}
	return c
}

func holdFrom(x trace.Trace, from float64) {
	at := -1
	for i, t := range x.T {
		if t >= from {
			if at < 0 {
				at = i
			}
			x.V[i] = x.V[at]
		}
	}
}

// A wheel that sticks while the car gains speed shows its greatest value ever after: it is
// stuck, and the time that it stood still before does not excuse it.
func TestStuckAtTheGreatest(t *testing.T) {
	pull := func(t float64) float64 { return math.Max(0, 3.5*(t-5)) }
	c := noisy(quantity.WheelSpeedRL, 0.1/3.6, pull)
	if c.stuck(trace.Clock{}, func(float64) bool { return true }); len(c.Problems) > 0 {
		t.Errorf("a sound wheel: %v", c.Problems)
	}
	holdFrom(c.Trace, 14)
	c.stuck(trace.Clock{}, func(float64) bool { return true })
	if len(c.Problems) != 1 || !strings.Contains(c.Problems[0], "stuck from 14.0") {
		t.Errorf("stuck from 14 s on, told: %v", c.Problems)
	}
	if n := c.Trace.Len(); n > 1402 {
		t.Errorf("%d samples are left", n)
	}
	// a lambda sensor at its rail is no stuck sensor
	c = noisy(quantity.Lambda, 0.001, func(t float64) float64 { return 0.8 })
	for i, at := range c.Trace.T {
		if at > 20 {
			c.Trace.V[i] = 1.6
		}
	}
	if c.stuck(trace.Clock{}, func(float64) bool { return true }); len(c.Problems) > 0 {
		t.Errorf("lambda at its rail: %v", c.Problems)
	}
}
