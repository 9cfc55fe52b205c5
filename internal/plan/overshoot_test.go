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
	before, after := calibrate(m, &m.Mean, usual.by).most.speed, calibrate(m, &m.Mean, spike.by).most.speed
	if after < before {
		t.Errorf("the rotor's highest speed fell from %.4f to %.4f", before, after)
	}
}

// A rotor that holds 250 instead of 230 kPa over 100 kPa turns faster by the square root of the
// compressor's work, (3.5^k − 1)/(3.3^k − 1) with k = 2/7 of air: 1.03 (Heywood, Internal
// Combustion Engine Fundamentals, equation 6.38, from memory).
func TestSpikedRotor(t *testing.T) {
	const baro = 100e3
	g := sim.Gear{MaxHead: sim.Head(baro, baro+230e3)}
	want := math.Sqrt((math.Pow(3.5, 2.0/7) - 1) / (math.Pow(3.3, 2.0/7) - 1))
	if got := spiked(baro, &g, 20e3) / spiked(baro, &g, 0); math.Abs(got-want) > 1e-3 {
		t.Errorf("rotor speed times %.4f, want %.4f", got, want)
	}
}
