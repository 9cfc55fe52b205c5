package fitcar

import (
	"math"
	"testing"
)

// Of two lifts of the same length one begins in wheelspin.
func TestSpunLifts(t *testing.T) {
	o := &Observation{Step: gridStep, Radius: 0.32}
	for i := range 200 {
		slip, full := 0.05, true
		if i >= 40 && i < 60 {
			slip = 0.6
		}
		if i >= 55 && i < 75 || i >= 150 && i < 170 {
			full = false
		}
		o.X, o.V, o.Full, o.Gear = append(o.X, float64(i)), append(o.V, 30), append(o.Full, full), append(o.Gear, 2)
		o.Wheel = append(o.Wheel, 30*(1+slip)/o.Radius)
	}
	if got := o.SpunLifts(); math.Abs(got-0.5) > 1e-9 {
		t.Errorf("%.3f of the lifts began in wheelspin, half did", got)
	}
	for i := range o.Full {
		o.Full[i] = true
	}
	if got := o.SpunLifts(); got != 0 {
		t.Errorf("without a lift: %.3f", got)
	}
}
