package airpath

import (
	"math"
	"path/filepath"
	"slices"
	"testing"
)

// TestGearsOnLogs compares the means by gear with the truth of the simulated logs.
// Their sensors have offsets and scale errors that no single pass can tell, and
// the bounds allow for them.
func TestGearsOnLogs(t *testing.T) {
	var boost, ratio, speed, peak []float64
	told := 0
	for _, file := range sharedLogs(t) {
		truth, set := readTruth(t, file)
		for _, tp := range truth.Passes {
			p := passOf(tp, set)
			Fill(p, set, nil, noteOf(tp))
			for i, g := range p.Gears {
				w := tp.Gears[i]
				if w.FullTime < 0.3 {
					continue
				}
				if g.MeanBoost != nil && w.Boost != nil {
					boost = append(boost, math.Abs(*g.MeanBoost-*w.Boost))
				}
				if g.MeanBackPressure != nil && w.BackPress != nil {
					ratio = append(ratio, math.Abs(*g.MeanBackPressure / *w.BackPress - 1))
				}
			}
			for i, s := range tp.Shifts {
				if got := p.Gears[i].ShiftEngineSpeed; got != nil {
					d := *got*60/(2*math.Pi) - s.RPM
					speed = append(speed, math.Abs(d))
					if testing.Verbose() && math.Abs(d) > 20 {
						t.Logf("%s shift %d: engine speed off by %.0f rpm", filepath.Base(file), i, d)
					}
				}
			}
			if p.Power != nil && p.Power.BackPressureRatio != nil {
				peak = append(peak, math.Abs(*p.Power.BackPressureRatio/tp.Power.Ratio-1))
			}
			if e := p.AirPath.BackPressureGrowth; e != nil {
				t.Logf("%s: back pressure rises %.2f ± %.2f %% for 1 %% of manifold pressure", filepath.Base(file), e.Value, e.SD)
				told++
				// no housing of these logs is used up, nor can the turbine's inlet fall as boost rises
				if e.Value < 0.7 || e.Value > 1.4 || e.SD <= 0 || e.SD > 0.2 {
					t.Errorf("%s: back pressure rises %.2f ± %.2f %%", filepath.Base(file), e.Value, e.SD)
				}
			}
		}
	}
	if told < 8 {
		t.Errorf("of %d logs only is told how back pressure rises with boost", told)
	}
	for _, c := range []struct {
		name        string
		v           []float64
		median, p90 float64
	}{
		{"mean boost, Pa", boost, 900, 3000},
		{"mean back-pressure ratio, relative", ratio, 0.02, 0.04},
		{"engine speed at the shift, rpm", speed, 10, 60},
		{"back-pressure ratio at peak power, relative", peak, 0.025, 0.04},
	} {
		if len(c.v) == 0 {
			t.Fatalf("%s: nothing compared", c.name)
		}
		slices.Sort(c.v)
		m, p90 := c.v[len(c.v)/2], c.v[len(c.v)*9/10]
		t.Logf("%s: error median %.4g, 90th percentile %.4g, worst %.4g (%d)", c.name, m, p90, c.v[len(c.v)-1], len(c.v))
		if m > c.median || p90 > c.p90 {
			t.Errorf("%s: error median %.4g, 90th percentile %.4g; bounds %g and %g", c.name, m, p90, c.median, c.p90)
		}
	}
}
