package health

import (
	"testing"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// First gear waits 3 s for its boost, second 0.4 s; both stay under the target by less
// than nitrous asks for from there on.
func unloggedNitrous(note *bool, flow float64, gears []int, channel bool) *frame {
	set := &dictionary.Set{}
	if channel {
		set.Channels = []dictionary.Channel{{Quantity: quantity.Nitrous, Trace: trace.Trace{T: []float64{0}, V: []float64{0}}}}
	}
	f := &frame{n: 400, set: &source{Set: set}, sheet: &car.Sheet{}, nitrous: make([]float64, 400)}
	f.sheet.Nitrous.Flow, f.sheet.Nitrous.Gears = flow, gears
	if note != nil {
		f.note = &car.PassNote{Nitrous: note}
	}
	for i := range f.n {
		t, g, wait := float64(i)*cell, 1, 3.0
		if t >= 4 {
			t, g, wait = t-4, 2, 0.4
		}
		boost := 100e3
		if t < wait {
			boost = 60e3
		}
		f.gear, f.since, f.throttle = append(f.gear, g), append(f.since, t), append(f.throttle, 1)
		f.boost, f.target = append(f.boost, boost), append(f.target, 101e3)
	}
	return f
}

func TestNitrousThatNoChannelTells(t *testing.T) {
	on, off := true, false
	for _, c := range []struct {
		name          string
		note          *bool
		flow          float64
		gears         []int
		channel       bool
		first, second float64 // s left out of each gear
		flowed        float64 // s
	}{
		{"on, by the crew", &on, 0.05, nil, false, 3.4 - cell, 0.84, 0.4},
		{"in second only", &on, 0.05, []int{2}, false, 0.06, 0.84, 0.4},
		{"off, by the crew", &off, 0.05, nil, false, 0, 0, 0},
		{"fitted, nobody says", nil, 0.05, nil, false, 3.4 + 0.04, 0.8 - cell, 0},
		{"not fitted", nil, 0, nil, false, 0, 0, 0},
		{"logged", &on, 0.05, nil, true, 0, 0, 0},
	} {
		f := unloggedNitrous(c.note, c.flow, c.gears, c.channel)
		f.supposeNitrous()
		f.leaveOutSwitching()
		var left [3]float64
		flowed := 0.0
		for i, g := range f.gear {
			if f.switching != nil && f.switching[i] {
				left[g] += cell
			}
			flowed += f.nitrous[i] * cell
		}
		near := func(a, b float64) bool { return a > b-3.5*cell && a < b+3.5*cell }
		if !near(left[1], c.first) || !near(left[2], c.second) || !near(flowed, c.flowed) {
			t.Errorf("%s: left out %.2f and %.2f s, flowed %.2f s", c.name, left[1], left[2], flowed)
		}
	}
}
