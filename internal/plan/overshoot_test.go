package plan

import (
	"math"
	"slices"
	"testing"

	"traplight/internal/sim"
)

// Boost that came 20 kPa too high after one shift of one pass counts in the record, in what the
// next pass may do and in the rotor's speed, of that gear alone.
func TestPeaksSwing(t *testing.T) {
	m := model(t)
	usual := missedBoost(m)
	m.Passes = slices.Clone(m.Passes)
	o := *m.Passes[0].Obs
	o.Boost = slices.Clone(o.Boost)
	const gear, more = 2, 20e3
	for i := o.Lock; i < len(o.X); i++ {
		if o.Gear[i] == gear+1 {
			o.Boost[i] += more
		}
	}
	m.Passes[0].Obs = &o
	spike := missedBoost(m)
	for g := range usual.peak {
		want := 0.0
		if g == gear {
			want = more
		}
		if d := spike.by[0][g] - usual.by[0][g]; math.Abs(d-want) > 1 {
			t.Errorf("gear %d: the pass's peak went up by %.0f Pa, put on were %.0f", g+1, d, want)
		}
		if up := spike.swing[g] > usual.swing[g]+2e3; up != (g == gear) {
			t.Errorf("gear %d: a spread of %.0f Pa, %.0f without the spike", g+1, spike.swing[g], usual.swing[g])
		}
	}
	turbo := newRotor(m, &m.Passes[0].Obs.Air, nil)
	before, after := calibrate(m, &m.Mean, turbo, usual.by).most.speed, calibrate(m, &m.Mean, turbo, spike.by).most.speed
	if after < before {
		t.Errorf("the rotor's highest speed fell from %.4f to %.4f", before, after)
	}
}

// What a launch builds before its clutch has closed, and a spike of some hundredths of a second
// after a shift, are peaks like any other.
func TestLaunchAndSpikeArePeaks(t *testing.T) {
	m := model(t)
	usual := missedBoost(m)
	m.Passes = slices.Clone(m.Passes)
	const gear = 2
	var highest [2]float64 // Pa gauge, of launch and spike
	for k := range m.Passes {
		o := *m.Passes[k].Obs
		o.Boost = slices.Clone(o.Boost)
		o.Lock += 6 // the invented car's clutch closes at once
		put := func(i int, boost float64) {
			for j := range 4 {
				o.Boost[i+j] = o.Air.Pressure + boost
			}
		}
		in := slices.IndexFunc(o.Gear[o.Lock:], func(g int) bool { return g == gear+1 }) + o.Lock
		for !o.Full[in] {
			in++
		}
		highest[0], highest[1] = o.Target[0]+60e3, o.Target[gear]+40e3
		put(o.Lock-4, highest[0])
		put(in, highest[1])
		m.Passes[k].Obs = &o
	}
	seen := missedBoost(m)
	for i, g := range []int{0, gear} {
		car, p := m.Replay(&m.Mean, 0)
		r := sim.Runner{Car: car, Watch: true, Rel: sim.Rough}
		res, err := r.Run(p)
		if err != nil {
			t.Fatal(err)
		}
		for _, q := range res.Gears {
			if q.Gear != g+1 {
				continue
			}
			over, _ := seen.over(&q, m.Passes[0].Obs.Target[g], car.Boost.Over)
			if got := q.MaxBoost + over; math.Abs(got-highest[i]) > 6e3 {
				t.Errorf("gear %d: the next peak is put at %.0f kPa, it was %.0f (%.0f more than the model's; without it %.0f)", g+1, got/1e3, highest[i]/1e3, seen.peak[g]/1e3, usual.peak[g]/1e3)
			}
		}
	}
}

// What a launch builds is learnt as every other peak is: what is usual has the weight of two passes.
func TestLaunchSwingIsLearnt(t *testing.T) {
	var q scatter
	for _, x := range []float64{30e3, 31e3, 29e3, 30e3} {
		q.add(x)
	}
	want := math.Sqrt((2e6 + 2*launchSwing*launchSwing) / 5 * 1.25)
	if got := q.swing(launchSwing); math.Abs(got-want) > 1 || got > 0.75*launchSwing {
		t.Errorf("four passes alike within 1 kPa: %.0f Pa, want %.0f", got, want)
	}
	if one := (&scatter{}); one.swing(launchSwing) != launchSwing {
		t.Errorf("before any pass %.0f Pa", one.swing(launchSwing))
	}
}
