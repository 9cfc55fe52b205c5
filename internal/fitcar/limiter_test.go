package fitcar_test

import (
	"math"
	"testing"

	"traplight/internal/fitcar"
	"traplight/internal/fitcar/fitcartest"
	"traplight/internal/sim"
	"traplight/internal/sim/simtest"
)

// A car on the limiter in its top gear: what it cuts is not the engine's account, and
// where it cuts is seen, whatever the sheet says. So less boost brings what it truly does.
func TestLimiterInTopGear(t *testing.T) {
	truth := simtest.Invented()
	truth.Ratios = []float64{6.9, 5.3, 4.4, 4, 3.7}
	p := simtest.InventedPass()
	less := make([]float64, len(p.Target))
	for g, b := range p.Target {
		less[g] = b - 25e3
	}
	gain := func(c *sim.Car) float64 {
		var trap [2]float64
		for i, target := range [][]float64{p.Target, less} {
			q := *p
			q.Target = target
			r := sim.Runner{Car: c}
			res, err := r.Run(&q)
			if err != nil {
				t.Fatal(err)
			}
			trap[i] = res.Trap
		}
		return trap[1] - trap[0]
	}
	runs, err := fitcartest.RecordOf(truth, 2, 5, p.Target)
	if err != nil {
		t.Fatal(err)
	}
	free := *truth
	free.RevLimit = 0
	if math.Abs(gain(truth)-gain(&free)) < 0.3 {
		t.Fatalf("the limiter changes nothing here: %.2f and %.2f m/s", gain(truth), gain(&free))
	}
	for _, off := range []float64{-6, 0, 6} {
		sheet := fitcartest.Sheet()
		sheet.Gears, sheet.RevLimit = truth.Ratios, truth.RevLimit+off
		obs := fitcartest.Observations(runs)
		for _, o := range obs {
			o.Sheet = sheet
		}
		m, err := fitcar.Fit(t.Context(), sheet, obs, fitcar.Options{Members: 1})
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("sheet %+.0f rad/s: limiter %.1f, less boost %.2f m/s, truth %.2f", off, m.Mean.Car.RevLimit, gain(m.Mean.Car), gain(truth))
		if got := m.Mean.Car.RevLimit; math.Abs(got-truth.RevLimit) > 2 {
			t.Errorf("sheet %+.0f rad/s off: the limiter is found at %.1f rad/s, truth %.1f", off, got, truth.RevLimit)
		}
		if got := gain(m.Mean.Car); math.Abs(got-gain(truth)) > 0.2 {
			t.Errorf("sheet %+.0f rad/s off: 25 kPa less bring %.2f m/s, truth %.2f", off, got, gain(truth))
		}
	}
}
