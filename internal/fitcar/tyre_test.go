package fitcar

import (
	"math"
	"testing"

	"traplight/internal/car"
	"traplight/internal/sim"
)

// spinning is a car on tyres that, creeping, peak at 12 % of slip, whose friction falls with sliding speed as
// usual, with grip 1.2 times (1 + trend·(x/L −
// 0.5)), and that slips from creep to twice the peak's slip all along the strip, or as much
// only over its first tenth.
func spinning(trend float64, everywhere bool) (*sim.Car, []*work) {
	c := &sim.Car{Mass: 1300, DrivenShare: 0.6, Tyre: sim.Tyre{RefLoad: 0.6 * 1300 * 9.80665}}
	w := &work{Observation: &Observation{Sheet: &car.Sheet{}, Length: 800}, mass: 1300}
	const shape = 1.45
	b := math.Tan(math.Pi / (2 * shape))
	for i := range 1600 {
		x := 800 * float64(i) / 1600
		slip := 0.02 + 0.22*math.Abs(math.Sin(0.05*float64(i)))
		if !everywhere && x > 80 {
			slip = 0.02 + 0.02*math.Abs(math.Sin(0.05*float64(i)))
		}
		mu := 1.2 * (1 + trend*(x/800-0.5)) * math.Sin(shape*math.Atan(b*slip/0.12))
		v := 10 + 0.09*x
		mu /= 1 + slideFall*slip*v
		w.X, w.V, w.A = append(w.X, x), append(w.V, v), append(w.A, 0)
		w.slip, w.used, w.torque = append(w.slip, slip), append(w.used, mu), append(w.torque, 500)
	}
	return c, []*work{w}
}

// Grip that falls along the strip is found where the tyres spin along it, and takes neither
// the peak's place nor its height with it; creep makes no more of it.
func TestGripAlongStrip(t *testing.T) {
	at := func(c *sim.Car, x float64) float64 {
		return c.Tyre.Profile[0] + (c.Tyre.Profile[1]-c.Tyre.Profile[0])*x/c.Tyre.Step
	}
	for _, trend := range []float64{-0.2, 0, 0.15} {
		c, ws := spinning(trend, true)
		fitTyre(c, ws, nil)
		if got := (at(c, 800) - at(c, 0)) / at(c, 400); math.Abs(got-trend) > 0.03 {
			t.Errorf("grip changes by %.3f along the strip, found %.3f", trend, got)
		}
		if p := c.Tyre.Peak * at(c, 400); math.Abs(p-1.2) > 0.04 || math.Abs(c.Tyre.PeakSlip-0.12) > 0.015 {
			t.Errorf("trend %.2f: peak %.3f at a slip of %.3f; it is 1.2 at 0.12", trend, p, c.Tyre.PeakSlip)
		}
	}
	c, ws := spinning(-0.2, false)
	fitTyre(c, ws, nil)
	if got := at(c, 800) - at(c, 0); got < -0.22 || got > 0.02 {
		t.Errorf("mostly creep: grip changes by -0.2 along the strip, found %.3f", got)
	}
}
