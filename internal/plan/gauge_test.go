package plan

import (
	"math"
	"testing"
)

// What the closing clutch gave in one gear does not count as the pull's torque there.
func TestPullWithoutBite(t *testing.T) {
	m := newMeter(4)
	for gear, read := range []float64{1180, 880, 906, 980} {
		m.see(gear+1, read, 850)
	}
	if v, _ := m.pull(1, 850, 0.025, 0.12); math.Abs(v-906) > 1 {
		t.Errorf("%.0f N·m in the first gear, the middle of the gears has 906", v)
	}
	if v, _ := m.pull(4, 850, 0.025, 0.12); v != 980 {
		t.Errorf("%.0f N·m in 4, read were 980", v)
	}
}

// Each member explains the readings by itself: as run there is nothing to doubt but the
// reading.
func TestGaugeByMember(t *testing.T) {
	m := model(t)
	for k, g := range calibrateAll(m, newRotor(m, &m.Passes[0].Obs.Air, nil), missedBoost(m).by) {
		for i, read := range g.input.read {
			if math.IsNaN(read) {
				continue
			}
			if v, blur := g.input.at(i+1, g.input.model[i], 0.025, 0.12); v != read || blur != 0.025 {
				t.Errorf("member %d, gear %d: %.0f ± %.3f for a reading of %.0f", k, i+1, v, blur, read)
			}
		}
	}
}
