package trace

import (
	"math"
	"testing"
)

func sampled(f func(float64) float64, from, to float64, n int) (x Trace, h float64) {
	h = (to - from) / float64(n)
	for i := 0; i <= n; i++ {
		t := from + h*float64(i)
		x.T, x.V = append(x.T, t), append(x.V, f(t))
	}
	return x, h
}

// TestErrorBounds: joined by straight lines, samples of a smooth curve miss its integral by no
// more than (b−a)·h²·max|f″|/12 and its values by no more than h²·max|f″|/8 (Abramowitz and
// Stegun, Handbook of Mathematical Functions, 1964, 25.4.2 and 25.2, from memory), and the bounds
// are nearly reached where f″ is even.
func TestErrorBounds(t *testing.T) {
	for _, c := range []struct {
		name     string
		f        func(float64) float64
		from, to float64 // s
		integral float64 // closed form
		bend     float64 // max|f″|
		even     bool    // f″ is constant
	}{
		{"sine over half a turn", math.Sin, 0, math.Pi, 2, 1, false},
		{"exponential", math.Exp, 0, 1, math.E - 1, math.E, false},
		{"square", func(t float64) float64 { return t * t }, 0, 3, 9, 2, true},
		{"reciprocal", func(t float64) float64 { return 1 / t }, 1, 2, math.Ln2, 2, false},
	} {
		for _, n := range []int{8, 32, 128} {
			x, h := sampled(c.f, c.from, c.to, n)
			area, covered := x.Integral(c.from, c.to, 1)
			e, most := math.Abs(area-c.integral), (c.to-c.from)*h*h*c.bend/12
			if e > most*(1+1e-9)+1e-12 || c.even && e < 0.999*most {
				t.Errorf("%s, %d steps: integral off by %g, bound %g", c.name, n, e, most)
			}
			if math.Abs(covered-(c.to-c.from)) > 1e-12 {
				t.Errorf("%s, %d steps: %g s covered", c.name, n, covered)
			}
			worst := 0.0
			for i := 0; i < 50*n; i++ {
				u := c.from + (c.to-c.from)*(float64(i)+0.5)/float64(50*n)
				v, ok := x.At(u)
				if !ok {
					t.Fatalf("%s: nothing at %g s", c.name, u)
				}
				worst = math.Max(worst, math.Abs(v-c.f(u)))
			}
			most = h * h * c.bend / 8
			if worst > most*(1+1e-9)+1e-12 || c.even && worst < 0.99*most {
				t.Errorf("%s, %d steps: value off by %g, bound %g", c.name, n, worst, most)
			}
		}
	}
}

// TestLeapSecond: atomic time never steps; universal time, counted without the sixtieth second,
// is set back by one at the end of 31 December 2016, where it falls behind by 37 s after 36
// (IERS Bulletin C 52, from memory).
func TestLeapSecond(t *testing.T) {
	const midnight = 1000.0 // s of atomic time at which the new year began
	c := Clock{Segments: []Segment{{FromRun: 0, Offset: -36}, {FromRun: midnight, Offset: -37}}}
	for _, w := range []struct{ run, log float64 }{{midnight - 2, midnight - 38}, {midnight - 0.5, midnight - 36.5}, {midnight, midnight - 37}, {midnight + 5, midnight - 32}} {
		if got := c.Log(w.run); got != w.log {
			t.Errorf("atomic %g s: universal %g s, want %g", w.run, got, w.log)
		}
	}
	if got := c.Run(midnight - 36.5); got != midnight-0.5 {
		t.Errorf("the time that occurs twice is %g s, want its first, %g", got, midnight-0.5)
	}
	if d := c.Run(midnight-32) - c.Run(midnight-38); d != 7 {
		t.Errorf("six seconds on the clock lasted %g s, want 7", d)
	}
}
