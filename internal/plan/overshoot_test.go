package plan

import (
	"math"
	"slices"
	"testing"
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
	turbo := newRotor(m, &m.Passes[0].Obs.Air)
	before, after := calibrate(m, &m.Mean, turbo, usual.by).most.speed, calibrate(m, &m.Mean, turbo, spike.by).most.speed
	if after < before {
		t.Errorf("the rotor's highest speed fell from %.4f to %.4f", before, after)
	}
}
