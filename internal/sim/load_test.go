package sim

import (
	"math"
	"testing"
)

// The tyre's force at its peak with the load transfer that it causes, against
// Gillespie's traction-limited examples (Fundamentals of Vehicle Dynamics (1992), chapter
// 2, inputs and answers from memory, references/vehicle.md; locked differential): pounds
// and inches as printed. All-wheel drive carries µ times the weight; a rear-driven car
// whose nose lifts no more than that.
func TestLoadTransfer(t *testing.T) {
	const lb = 4.4482216152605 // N
	for _, c := range []struct {
		name           string
		front, rear    float64 // lb
		height, length float64 // in
		mu             float64
		drive          float64 // −1 front, 1 rear, 0 all
		want           float64 // lb
	}{
		{"rear, locked", 2100, 1850, 21, 108, 0.62, 1, 1304.2},
		{"front, locked", 1950, 1150, 19, 105, 0.62, -1, 1087.0},
		{"all wheels", 1950, 1150, 19, 105, 0.62, 0, 0.62 * 3100},
		{"nose in the air", 1500, 1500, 40, 100, 2.0, 1, 2.0 * 3000},
	} {
		total := c.front + c.rear
		car := Car{Mass: total * lb / gravity, DrivenShare: 1, Transfer: c.drive * c.height / c.length, Ratios: []float64{1}, Radius: 1,
			Tyre: Tyre{Peak: c.mu, PeakSlip: 0.12, Shape: 1.65, RefLoad: 1}}
		switch c.drive {
		case 1:
			car.DrivenShare = c.rear / total
		case -1:
			car.DrivenShare = c.front / total
		}
		r := Runner{Car: &car, p: &Pass{Air: Air{Density: 1.2, Temperature: 290, Pressure: 1e5}}}
		r.enter(0)
		force, use := r.tyre(0, 0, car.Tyre.PeakSlip, 0, 0)
		if math.Abs(force/lb/c.want-1) > 1e-3 || math.Abs(use-1) > 1e-9 {
			t.Errorf("%s: %.1f lb, want %.1f", c.name, force/lb, c.want)
		}
	}
}
