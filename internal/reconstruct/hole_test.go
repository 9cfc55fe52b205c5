package reconstruct

import (
	"math"
	"testing"

	"traplight/internal/dictionary"
	"traplight/internal/force"
	"traplight/internal/gears"
	"traplight/internal/motion"
	"traplight/internal/trace"
)

// every is a channel with a reading every step seconds from 0 to 20 s but for a pause.
func every(step, from, to float64) *dictionary.Channel {
	c := &dictionary.Channel{}
	for t := 0.0; t < 20; t += step {
		if t < from || t > to {
			c.Trace.T, c.Trace.V = append(c.Trace.T, t), append(c.Trace.V, 20)
		}
	}
	return c
}

// TestHolesAreFound: a hole is where none of the channels that tell movement speaks, in the car's
// own time.
func TestHolesAreFound(t *testing.T) {
	for _, c := range []struct {
		name string
		s    signals
		want []motion.Span
	}{
		{"a receiver that pauses", signals{sat: []*dictionary.Channel{every(0.05, 8, 10)}}, []motion.Span{{From: 7.8, To: 9.85}}},
		{"and one that goes on", signals{sat: []*dictionary.Channel{every(0.05, 8, 10), every(0.1, 0, 0)}}, nil},
		{"wheels that go on", signals{sat: []*dictionary.Channel{every(0.05, 8, 10)}, undriven: []*dictionary.Channel{every(0.01, 0, 0)}}, nil},
		{"an accelerometer goes on", signals{sat: []*dictionary.Channel{every(0.05, 8, 10)}, accel: every(0.01, 0, 0)}, nil},
		{"all pause", signals{undriven: []*dictionary.Channel{every(0.01, 8, 10)}, accel: every(0.01, 9, 11)}, []motion.Span{{From: 9, To: 10}}},
		{"silence to the end", signals{undriven: []*dictionary.Channel{every(0.01, 15, 20)}}, []motion.Span{{From: 15, To: 19}}},
		{"a short pause", signals{undriven: []*dictionary.Channel{every(0.01, 8, 8.2)}}, nil},
	} {
		got := c.s.holes(2, 19, 0.15)
		if len(got) != len(c.want) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
			continue
		}
		for i, h := range got {
			if math.Abs(h.From-c.want[i].From) > 0.06 || math.Abs(h.To-c.want[i].To) > 0.06 {
				t.Errorf("%s: %v, want %v", c.name, got, c.want)
			}
		}
	}
}

// TestWheelsInHoles: in a hole wheels that hold speak, and wheels that spin do not, as nothing
// carries a car so fast, nor back to where it is behind the hole.
func TestWheelsInHoles(t *testing.T) {
	b := &force.Body{Mass: 1300, Radius: 0.31, JUndriven: 1, JDriven: 3, DragArea: 0.7, Rolling: 0.013, FrontShare: 0.45, CGHeight: 0.5, Wheelbase: 2.6, Driven: force.Rear}
	sur := force.Surroundings{Density: 1.2}
	hole := motion.Span{From: 4, To: 7}
	for _, c := range []struct {
		name string
		over func(t float64) float64 // wheel over car speed
		want float64                 // share of the hole in which they speak
		near float64
	}{
		{"they hold", func(t float64) float64 { return 1.05 }, 1, 0.03},
		{"they spin all along", func(t float64) float64 { return 2 }, 0, 0.03},
		{"they spin for the first second", func(t float64) float64 {
			if t < 5 {
				return 1.6
			}
			return 1.05
		}, 2. / 3, 0.06},
	} {
		g := &grid{n: 1000}
		g.v, g.a, g.wheel, g.engine, g.dEngine = make([]float64, g.n), make([]float64, g.n), make([]float64, g.n), nans(g.n), nans(g.n)
		for i := range g.v {
			g.v[i], g.a[i] = 5+6*g.at(i), 6
			g.wheel[i] = g.v[i] * c.over(g.at(i)) / b.Radius
			if !within([]motion.Span{hole}, g.at(i)) {
				g.wheel[i] = g.v[i] * 1.05 / b.Radius
			}
		}
		d := &driveline{hasWheel: true, spans: []gears.Span{{Gear: 1, To: 10}}, ratios: []float64{10}}
		speak, n := 0.0, 0.0
		for i, ok := range d.inHole(g, b, sur, hole, 9) {
			if within([]motion.Span{hole}, g.at(i)) {
				n++
				if ok {
					speak++
				}
			}
		}
		if math.Abs(speak/n-c.want) > c.near {
			t.Errorf("%s: they speak in %.2f of the hole, want %.2f", c.name, speak/n, c.want)
		}
	}
}

// TestLoneLeaps: a receiver's error that leaps and fades, or creeps in and ends with a leap, goes;
// so do zeros behind a pause; what is left is the car's.
func TestLoneLeaps(t *testing.T) {
	run := func(t float64) float64 { return 60 * (1 - math.Exp(-t/6)) }
	for _, c := range []struct {
		name  string
		off   func(t float64) float64 // m/s
		least int                     // readings that must go
	}{
		{"leaps and fades", func(t float64) float64 {
			if t < 8 || t > 9.6 {
				return 0
			}
			return 5 * (1.6 - (t - 8)) / 1.6
		}, 20},
		{"creeps in and leaps back", func(t float64) float64 {
			if t < 8 || t > 9.6 {
				return 0
			}
			return -5 * (t - 8) / 1.6
		}, 20},
		{"zeros for five seconds", func(t float64) float64 {
			if t < 5 || t > 10 {
				return 0
			}
			return -run(t)
		}, 90},
	} {
		bad := made(func(t float64) float64 { return run(t) + c.off(t) })
		got := withoutLeaps(withoutGaps(bad))
		worst := 0.0
		for i, v := range got.Trace.V {
			worst = math.Max(worst, math.Abs(v-run(got.Trace.T[i])))
		}
		if gone := bad.Trace.Len() - got.Trace.Len(); worst > 1.2 || gone < c.least || gone > c.least+25 {
			t.Errorf("%s: %d readings left out, want %d or some more; off by %.2f m/s at worst", c.name, gone, c.least, worst)
		}
	}
	zeros := made(run) // a pause, zeros, and the car again
	var left trace.Trace
	for i, at := range zeros.Trace.T {
		switch {
		case at < 6 || at > 9:
			left.T, left.V = append(left.T, at), append(left.V, zeros.Trace.V[i])
		case at > 8:
			left.T, left.V = append(left.T, at), append(left.V, 0)
		}
	}
	zeros.Trace = left
	got := withoutLeaps(withoutGaps(zeros))
	for i, v := range got.Trace.V {
		if math.Abs(v-run(got.Trace.T[i])) > 0.5 {
			t.Errorf("zeros behind a pause: %.1f m/s left at %.2f s", v, got.Trace.T[i])
		}
	}
}

// TestSparseStarts: readings that are far apart widen the start that they tell, unless something
// else times it.
func TestSparseStarts(t *testing.T) {
	rate := func(hz float64) *dictionary.Channel { return &dictionary.Channel{RateHz: hz} }
	for _, c := range []struct {
		name     string
		s        signals
		from, to float64 // s
	}{
		{"20 a second", signals{sat: []*dictionary.Channel{rate(20)}}, 0, 0},
		{"5 a second", signals{sat: []*dictionary.Channel{rate(5)}}, 0.03, 0.06},
		{"one a second", signals{sat: []*dictionary.Channel{rate(1)}}, 0.1, 0.2},
		{"a second receiver that is quick", signals{sat: []*dictionary.Channel{rate(1), rate(20)}}, 0, 0},
		{"wheels beside it", signals{sat: []*dictionary.Channel{rate(1)}, undriven: []*dictionary.Channel{rate(100)}}, 0, 0},
		{"an accelerometer beside it", signals{sat: []*dictionary.Channel{rate(1)}, accel: rate(100)}, 0, 0},
	} {
		if got := c.s.sparse(); got < c.from || got > c.to {
			t.Errorf("%s: %.3f s, want %.2f to %.2f", c.name, got, c.from, c.to)
		}
	}
}
