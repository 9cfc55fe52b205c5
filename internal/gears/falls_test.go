package gears

import (
	"math"
	"testing"
)

// TestFalls: two changes up and a lift; only the changes count, and without a throttle
// the lift's slow fall does not either.
func TestFalls(t *testing.T) {
	const h = 0.01
	var engine, throttle []float64
	x := 450.0
	for i := 0; i < 900; i++ {
		at := float64(i) * h
		th := 1.0
		switch {
		case at > 2 && at <= 2.2, at > 4 && at <= 4.2:
			x *= math.Pow(0.70, h/0.2)
		case at > 6 && at <= 7.5:
			x *= math.Pow(0.60, h/1.5) // the driver lifts
			th = 0
		default:
			x += 150 * h
		}
		engine, throttle = append(engine, x), append(throttle, th)
	}
	for _, th := range [][]float64{throttle, nil} {
		got := Falls(engine, th, h)
		if len(got) != 2 {
			t.Fatalf("%d falls, made 2: %+v", len(got), got)
		}
		for k, want := range []int{200, 400} {
			if d := got[k].Top - want; d < -2 || d > 2 {
				t.Errorf("fall %d begins at sample %d, made at %d", k, got[k].Top, want)
			}
		}
	}
}

// TestSpinningTyresLeaveTheRatioOpen: without driven wheels, tyres that spin through
// the first two gears let the ratio pass through that of a gear that was not in use;
// the falls of engine speed tell the gears all the same.
func TestSpinningTyresLeaveTheRatioOpen(t *testing.T) {
	ratios := []float64{9.8, 6.9, 5.2, 4.1, 3.3}
	for seed := uint64(0); seed < 5; seed++ {
		x := makeRun(ratios, func(t float64) float64 { return 1.4 * math.Exp(-t*t/20) }, seed)
		_, path := Find(x.problem(true))
		if n := x.wrong(t, path); n > 0 {
			t.Errorf("seed %d: %d samples in a wrong gear", seed, n)
		}
	}
}
