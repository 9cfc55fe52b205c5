package trace

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestClock(t *testing.T) {
	ahead := Clock{Segments: []Segment{{FromRun: 10, Offset: 0}, {FromRun: 20, Offset: 1.8}}}
	back := Clock{Segments: []Segment{{FromRun: 10, Offset: 0}, {FromRun: 20, Offset: -5}}}
	for _, c := range []struct {
		clock    Clock
		log, run float64 // s
	}{
		{Clock{}, 7, 7},
		{ahead, 12, 12}, {ahead, 19.9, 19.9}, {ahead, 21.8, 20}, {ahead, 30, 28.2},
		{ahead, 21, 20}, // never shown by the log
		{back, 12, 12}, {back, 17, 17}, {back, 22, 27},
	} {
		if got := c.clock.Run(c.log); math.Abs(got-c.run) > 1e-12 {
			t.Errorf("%v: %v s on the log's clock is %v s, want %v", c.clock, c.log, got, c.run)
		}
	}
}

// TestClockRoundTrip: with steps ahead only, every instant comes back.
func TestClockRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var c Clock
		run, off := rapid.Float64Range(0, 100).Draw(t, "from"), 0.0
		c.Segments = append(c.Segments, Segment{run, off})
		for range rapid.IntRange(0, 4).Draw(t, "steps") {
			run += rapid.Float64Range(0.1, 50).Draw(t, "run")
			off += rapid.Float64Range(0, 20).Draw(t, "off")
			c.Segments = append(c.Segments, Segment{run, off})
		}
		x := rapid.Float64Range(c.Segments[0].FromRun, run+100).Draw(t, "x")
		if got := c.Run(c.Log(x)); math.Abs(got-x) > 1e-9 {
			t.Fatalf("%v s comes back as %v; %v", x, got, c)
		}
	})
}

func TestTrace(t *testing.T) {
	x := Trace{T: []float64{0, 1, 2, 4}, V: []float64{0, 10, 20, 40}}
	if v, ok := x.At(3); !ok || v != 30 {
		t.Errorf("at 3 s %v %v", v, ok)
	}
	if _, ok := x.At(4.1); ok {
		t.Error("a value beyond the end")
	}
	if s := x.Slice(1, 4); s.Len() != 2 || s.T[0] != 1 {
		t.Errorf("slice %v", s)
	}
}
