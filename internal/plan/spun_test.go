package plan

import (
	"math"
	"testing"

	"traplight/internal/fitcar"
	"traplight/internal/sim"
)

// Wheelspin from a gear's beginning until the tyres first hold is the bite's, what comes later
// the pull's; a gear that never holds is the pull's, but for the launch.
func TestSlides(t *testing.T) {
	tyre := &fitcar.Member{Car: &sim.Car{Tyre: sim.Tyre{PeakSlip: 0.1, Shape: 1.4}}}
	pass := func(spin func(i int) float64) *fitcar.Observation {
		const n = 200
		o := &fitcar.Observation{Step: 0.02, Radius: 0.3, Lock: 20, X: make([]float64, n), V: make([]float64, n), Wheel: make([]float64, n), Full: make([]bool, n)}
		o.Shifts = []fitcar.ShiftSeen{{From: 1, To: 2, Start: 2, End: 2}}
		for i := range n {
			o.V[i], o.Full[i] = 10, true
			o.Wheel[i] = 10 * (1 + spin(i)) / 0.3
		}
		return o
	}
	between := func(i, from, to int) bool { return i >= from && i < to }
	out := slides(pass(func(i int) float64 {
		switch {
		case between(i, 10, 40):
			return 0.3
		case between(i, 60, 70):
			return 0.2
		}
		return 0.05
	}), tyre, 3)
	if q := out[0]; !q.used || math.Abs(q.first-0.6) > 1e-9 || math.Abs(q.lasting-math.Log(2)) > 0.01 {
		t.Errorf("first gear %+v: 0.6 s of bite, then twice the peak's slip", q)
	}
	if q := out[1]; !q.used || q.first != 0 || math.Abs(q.lasting-math.Log(0.5)) > 1e-9 {
		t.Errorf("second gear %+v: half of the peak's slip", q)
	}
	if out[2].used {
		t.Errorf("third gear %+v: not used", out[2])
	}
	out = slides(pass(func(i int) float64 {
		if between(i, 100, 120) {
			return 0.15 // from the shift on
		}
		return 0.05
	}), tyre, 2)
	if q := out[1]; math.Abs(q.first-0.4) > 1e-9 || q.lasting > 0 {
		t.Errorf("second gear %+v: 0.4 s of bite, no more", q)
	}
	out = slides(pass(func(i int) float64 { return 0.15 }), tyre, 2)
	if q := out[1]; q.first != 0 || math.Abs(q.lasting-math.Log(1.5)) > 1e-9 {
		t.Errorf("second gear %+v: past the peak all along", q)
	}
	off := *tyre
	off.SlipZero = [2]float64{0.05, 0.05}
	if q := slides(pass(func(i int) float64 { return 0.15 }), &off, 2)[1]; math.Abs(q.lasting) > 1e-9 {
		t.Errorf("second gear %+v: at the peak, once the slip's zero is taken off", q)
	}
	if q := out[0]; q.first < 1.9 || math.Abs(q.lasting-math.Log(1.5)) > 1e-9 {
		t.Errorf("first gear %+v: it never held", q)
	}
}

// A launch's wheelspin scatters by so much in time, by the normal law.
func TestLaunches(t *testing.T) {
	for _, c := range []struct {
		times     []float64 // s
		low, high float64
	}{
		{[]float64{0.55, 0.5}, 0.999, 1},
		{[]float64{0.25, 0.2}, 0.91, 0.95}, // Φ(0.175/0.108), spread √((3·0.01 + 0.00125)/4)·√1.5
		{[]float64{0.1, 0.1}, 0.67, 0.69},  // Φ(0.05/0.106)
		{[]float64{0.1, 0}, 0.41, 0.47},    // Φ(−0.015/0.121)
		{[]float64{0.4, 0}, 0.70, 0.80},    // its own scatter counts
		{[]float64{0, 0}, 0.03, 0.04},      // 0.3·0.25 of 2.3
	} {
		q := spinSeen{again: []again{launches(c.times, spinFirst)}}
		if p := q.extra(0); p < c.low || p > c.high {
			t.Errorf("%v s: chance %.3f, want %.2f to %.2f", c.times, p, c.low, c.high)
		}
	}
	q := spinSeen{again: []again{launches([]float64{0.2, 0.2}, spinFirst)}, torque: 500, use: 0.9}
	if all, less := q.extra(500), q.extra(400); less > all-0.1 {
		t.Errorf("a fifth less torque at the edge of grip: chance %.2f, was %.2f", less, all)
	}
}
