package reconstruct

import (
	"math"
	"testing"
)

// speeds builds a coarse speed from pieces: each holds for seconds and moves linearly
// from one speed to another, m/s.
func speeds(pieces ...[3]float64) *coarse {
	c := &coarse{start: 50, step: coarseStep}
	for _, p := range pieces {
		n := int(p[0] / coarseStep)
		for i := 0; i < n; i++ {
			c.v = append(c.v, p[1]+(p[2]-p[1])*float64(i)/float64(n))
		}
	}
	return c
}

// TestCut: passes are told from creeping, burnouts, drives back and given-up passes.
func TestCut(t *testing.T) {
	pass := [][3]float64{{3, 0, 0}, {14, 0, 80}, {10, 80, 0}, {5, 0, 0}}
	join := func(x ...[][3]float64) (out [][3]float64) {
		for _, p := range x {
			out = append(out, p...)
		}
		return
	}
	creep := [][3]float64{{2, 0, 0}, {3, 0, 2}, {2, 2, 0}}
	back := [][3]float64{{3, 0, 0}, {20, 0, 16}, {60, 16, 16}, {10, 16, 0}, {3, 0, 0}}
	aborted := [][3]float64{{3, 0, 0}, {5, 0, 32}, {8, 32, 0}, {3, 0, 0}}
	for _, c := range []struct {
		name   string
		pieces [][3]float64
		passes int
		other  int
	}{
		{"one pass", pass, 1, 0},
		{"creep, then pass", join(creep, pass), 1, 1},
		{"pass and drive back", join(pass, back), 1, 1},
		{"two passes", join(pass, back, pass), 2, 1},
		{"given up", aborted, 1, 0},
		{"only creeping", join(creep, creep), 0, 2},
		{"standing", [][3]float64{{30, 0, 0}}, 0, 0},
	} {
		got, other, late := speeds(c.pieces...).passes()
		if len(got) != c.passes || other != c.other || late != nil {
			t.Errorf("%s: %d passes and %d other movements (late %v), want %d and %d", c.name, len(got), other, late, c.passes, c.other)
		}
	}
	// a log that begins at speed has no launch
	if got, _, late := speeds([3]float64{8, 20, 80}, [3]float64{8, 80, 0}).passes(); len(got) != 0 || late == nil || !late.late {
		t.Errorf("a log that begins at speed gave %d passes, late %v", len(got), late)
	}
}

// TestBridge: holes are bridged by straight lines, longer ones than bridgeable stay.
func TestBridge(t *testing.T) {
	c := speeds([3]float64{10, 10, 20})
	for i := 40; i < 80; i++ {
		c.v[i] = math.NaN()
	}
	want := c.v[39] + (c.v[80]-c.v[39])*20/41
	c.bridge()
	if math.Abs(c.v[59]-want) > 1e-9 {
		t.Errorf("bridged to %.3f, want %.3f", c.v[59], want)
	}
	for i := 20; i < 145; i++ {
		c.v[i] = math.NaN()
	}
	c.bridge()
	if !math.IsNaN(c.v[60]) {
		t.Error("a hole of six and a quarter seconds was bridged")
	}
}
