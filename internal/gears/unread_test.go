package gears

import (
	"math"
	"testing"
)

// TestEngineSpeedNotRead: a sample without engine speed, the wheels turning, tells of no gear
// and of no open clutch; a logged gear still speaks. With the car at rest the clutch is open.
func TestEngineSpeedNotRead(t *testing.T) {
	p := &Problem{Ratios: []float64{8, 5}, Engine: []float64{math.NaN(), math.NaN(), math.NaN()}, Wheel: []float64{60, 60, 0}, Logged: []float64{math.NaN(), 2, math.NaN()}, Step: 0.01}
	if e := p.emission(0, 0.01); e[0] != e[1] || e[1] != e[2] {
		t.Errorf("not read: %v", e)
	}
	if e := p.emission(1, 0.01); e[2] <= e[1] {
		t.Errorf("second gear logged: %v", e)
	}
	if e := p.emission(2, 0.01); e[0] <= e[1] {
		t.Errorf("at rest: %v", e)
	}
}
