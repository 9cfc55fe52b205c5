package sim_test

import (
	"math"
	"testing"

	"traplight/internal/sim"
	"traplight/internal/sim/simtest"
)

func TestAlong(t *testing.T) {
	a := sim.Along{X: []float64{10, 20, 40}, Y: []float64{1, 2, 0}}
	for _, c := range []struct{ x, want float64 }{{0, 1}, {10, 1}, {15, 1.5}, {20, 2}, {30, 1}, {40, 0}, {90, 0}} {
		if got := a.At(c.x); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("at %g m: %g, want %g", c.x, got, c.want)
		}
	}
}

// Grip along the strip is what the car's own would be: halved all along it is that of a tyre
// with half the peak.
func TestGripAlong(t *testing.T) {
	car, p := simtest.Invented(), simtest.InventedPass()
	half := *car
	half.Tyre.Peak /= 2
	want := trap(t, &half, p)
	p.Grip = &sim.Along{X: []float64{0}, Y: []float64{0.5}}
	if got := trap(t, car, p); math.Abs(got-want) > 1e-4 {
		t.Errorf("half the grip along the strip: %.4f m/s, half the peak %.4f", got, want)
	}
}

// Wheels that come out of a shift spinning take their spin from the engine's surplus momentum
// and give it to the car while they come to roll: little is gained or lost.
func TestSpin(t *testing.T) {
	car, p := simtest.Invented(), simtest.InventedPass()
	car.Dump = 1
	rolls := trap(t, car, p)
	p.Spin = []float64{0, 3, 3, 3, 3}
	if got := trap(t, car, p); math.Abs(got-rolls) > 0.1 {
		t.Errorf("with spin after shifts %.3f m/s, rolling %.3f", got, rolls)
	}
}

// Boost at its target at once is at the target, wherever the control settles.
func TestIdealLagAtTarget(t *testing.T) {
	car, p := simtest.Invented(), simtest.InventedPass()
	p.Ideal.Lag = true
	want := trap(t, car, p)
	car.Boost.Offset = []float64{-5e3}
	if got := trap(t, car, p); got != want {
		t.Errorf("%.4f m/s with a control that settles 5 kPa low, %.4f without", got, want)
	}
	car.Boost.Settled = []float64{-5e3}
	if got := trap(t, car, p); got > want-0.3 {
		t.Errorf("%.4f m/s where the sensor reads 5 kPa low, %.4f without", got, want)
	}
}

// A mark may lie where the line is.
func TestMarkAtLine(t *testing.T) {
	p := simtest.InventedPass()
	res, err := (&sim.Runner{Car: simtest.Invented(), Marks: []float64{p.Length}}).Run(p)
	if err != nil || !res.Complete || math.Abs(res.MarkTime[0]-res.Time) > 1e-6 {
		t.Fatal(res, err)
	}
}

func trap(t *testing.T, c *sim.Car, p *sim.Pass) float64 {
	t.Helper()
	res, err := (&sim.Runner{Car: c}).Run(p)
	if err != nil {
		t.Fatal(err)
	}
	return res.Trap
}
