package reconstruct

import (
	"math"
	"testing"

	"traplight/internal/trace"
)

// engineTrace samples a course of engine speed every 20 ms, in first gear throughout.
func engineTrace(to float64, course func(t float64) float64) (x trace.Trace, gear []int) {
	for t := 0.0; t < to; t += 0.02 {
		x.T, x.V, gear = append(x.T, t), append(x.V, course(t)), append(gear, 1)
	}
	return x, gear
}

func TestEngineStarts(t *testing.T) {
	for _, c := range []struct {
		name     string
		course   func(t float64) float64
		at, lock float64 // s; lock 0: none
	}{
		{"held, then drawn down", func(t float64) float64 {
			switch {
			case t < 5:
				return 460 + 6*math.Sin(40*t)
			case t < 5.9:
				return 460 - 330*(t-5)
			}
			return 163 + 100*(t-5.9)
		}, 5, 5.9},
		{"held, then the tyres spin", func(t float64) float64 { return 460 + 900*math.Max(0, t-5) }, 5, 0},
		{"held while the clutch slips, leaves it closed", func(t float64) float64 { return 460 + 270*math.Max(0, t-6.7) }, 6.7 - heldPull*460/270, 6.7},
		{"never held", func(t float64) float64 {
			switch {
			case t < 5:
				return 300 + 40*t
			case t < 5.8:
				return 500 - 350*(t-5)
			}
			return 220 + 100*(t-5.8)
		}, 5.8 - slipsFor, 5.8},
	} {
		x, gear := engineTrace(12, c.course)
		s := engineStarts(x, gear, 120)
		if len(s) != 1 {
			t.Errorf("%s: %d launches", c.name, len(s))
			continue
		}
		if math.Abs(s[0].at-c.at) > 0.2 || math.Abs(s[0].lock-c.lock) > 0.08 {
			t.Errorf("%s: launch at %.2f s, clutch closed at %.2f, want %.2f and %.2f", c.name, s[0].at, s[0].lock, c.at, c.lock)
		}
	}
	x, gear := engineTrace(5, func(float64) float64 { return 100 })
	if s := engineStarts(x, gear, 120); len(s) != 0 {
		t.Errorf("an idling engine starts %d times", len(s))
	}
}

// Speed made from the engine while the clutch slips is none: nothing before the launch,
// then an even pull.
func TestStanding(t *testing.T) {
	tr := trace.Trace{T: []float64{4, 4.9, 5, 5.45, 5.9, 6.5}, V: []float64{15, 15, 15, 10, 6, 9}}
	engineStart{at: 5, lock: 5.9}.standing(tr)
	for i, want := range []float64{0, 0, 0, 3, 6, 9} {
		if math.Abs(tr.V[i]-want) > 1e-9 {
			t.Errorf("at %.2f s %.2f m/s, want %.2f", tr.T[i], tr.V[i], want)
		}
	}
}
