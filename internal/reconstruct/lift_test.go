package reconstruct

import (
	"math"
	"testing"
)

// A foot that comes off while rows are lost: the lift lies on the line between the
// last reading before the hole and the first after it.
func TestLiftWithinAHole(t *testing.T) {
	g := &grid{start: 3, n: 100, throttle: make([]float64, 100), v: make([]float64, 100)}
	for i := range g.throttle {
		switch {
		case i < 40:
			g.throttle[i] = 1
		case i < 60:
			g.throttle[i] = math.NaN()
		}
	}
	got := (&signals{}).finalLift(&sweep{launch: 3}, g)
	// Readings of 1 at 39 and 0 at 60: half is in the middle.
	if want := g.at(0) + 49.5*gridStep; math.Abs(got-want) > 1e-9 {
		t.Errorf("lift at %v, want %v", got, want)
	}
	for i := 40; i < g.n; i++ {
		g.throttle[i] = math.NaN()
	}
	if got := (&signals{}).finalLift(&sweep{launch: 3}, g); !math.IsInf(got, 1) {
		t.Errorf("no reading after the hole: lift at %v, want none", got)
	}
}

// A foot that comes off is a lift, also where it rests a little on the pedal; a plate that
// opens no further than to a third, with the car still gaining speed from shift to shift,
// is none until it closes.
func TestAPlateThatStaysHalfShutIsNoLift(t *testing.T) {
	for _, c := range []struct {
		name     string
		throttle func(s float64) float64
		gains    float64 // m/s², after 6 s
		want     float64 // s
	}{
		{"a lift", func(float64) float64 { return 0 }, -2, 6},
		{"a foot that rests on the pedal", func(float64) float64 { return 0.2 }, 0.3, 6},
		{"a shut throttle down a hill", func(float64) float64 { return 0.02 }, 1, 6},
		{"a plate at a third", func(s float64) float64 {
			if s > 8 && s < 8.3 || s > 11 && s < 11.3 { // shifts
				return 0
			}
			return 0.34
		}, 2, 15},
	} {
		g := &grid{start: 0, n: int(20 / gridStep)}
		for i := range g.n {
			s, x, v := g.at(i), 1.0, 5*g.at(i)
			if s >= 6 {
				x, v = c.throttle(s), 30+c.gains*(s-6)
			}
			if s >= 15 {
				x, v = 0, 30+c.gains*9-2*(s-15)
			}
			g.throttle, g.v, g.a = append(g.throttle, x), append(g.v, v), append(g.a, 0)
		}
		got := (&signals{}).finalLift(&sweep{launch: 0.5}, g)
		if math.Abs(got-c.want) > 0.05 {
			t.Errorf("%s: lifted at %.2f s, want %.2f", c.name, got, c.want)
		}
	}
}
