package sim

import (
	"math"
	"testing"
)

// TestOutsideEveryLaw: a step that the solver tries too long may leave the state not a number.
// Nothing may give up on it, and the solver must see it, so that it tries a shorter one.
func TestOutsideEveryLaw(t *testing.T) {
	nan := math.NaN()
	tyre := Tyre{Profile: []float64{0.98, 1.02}, Step: 400}
	if got := tyre.profile(nan); !math.IsNaN(got) {
		t.Errorf("grip along the strip at no place is %v", got)
	}
	if got := tyre.profile(200); math.Abs(got-1) > 1e-12 {
		t.Errorf("half way it is %v", got)
	}
	tyre = Tyre{Peak: 1.4, PeakSlip: 0.12, Shape: 1.5}
	q := tyre.Peaks()
	if a, b := q.Slip(nan), q.Slip(0); a != b {
		t.Errorf("peak slip at no speed is %v, at rest %v", a, b)
	}
	var times slipTimes
	times.add(nan, 0.1, 0.01)
	sum := 0.0
	for _, x := range times {
		sum += x
	}
	if math.Abs(sum-0.01) > 1e-12 {
		t.Errorf("%v s are counted of 0.01", sum)
	}
}
