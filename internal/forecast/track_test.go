package forecast_test

import (
	"fmt"
	"math"
	"testing"

	"traplight/internal/forecast"
	"traplight/internal/num/xrand"
)

// Cars whose forecasts are really off by f of their standard deviations: what the track of
// 3, 10 and 30 scored passes makes of the coverage of 90 % intervals of the next one.
func TestTrackCorrects(t *testing.T) {
	const cars = 3000
	for _, c := range []struct {
		f      float64    // 1, true spread over the stated one
		lo, hi [3]float64 // of coverage, after 3, 10 and 30
	}{
		{0.6, [3]float64{0.98, 0.965, 0.935}, [3]float64{1, 0.995, 0.98}},
		{1, [3]float64{0.87, 0.87, 0.88}, [3]float64{0.91, 0.91, 0.91}},
		{2, [3]float64{0.68, 0.76, 0.83}, [3]float64{0.80, 0.85, 0.90}},
	} {
		r := xrand.Stream(1, "track")
		for k, n := range []int{3, 10, 30} {
			held := 0
			for range cars {
				var s []forecast.Score
				sd := make([]float64, n)
				for i := range sd {
					sd[i] = 0.4
					s = append(s, forecast.Score{Error: c.f * sd[i] * r.NormFloat64()})
				}
				if math.Abs(c.f*r.NormFloat64()) < 1.645*forecast.Tracking(s, sd).Widen {
					held++
				}
			}
			share := float64(held) / cars
			t.Logf("off by %.1f of what is stated, %d scored: %.1f %% held", c.f, n, 100*share)
			if share < c.lo[k] || share > c.hi[k] {
				t.Errorf("off by %.1f of what is stated, %d scored: %.1f %% held, want %.1f to %.1f", c.f, n, 100*share, 100*c.lo[k], 100*c.hi[k])
			}
		}
	}
}

// Forecasts that the track has stretched already are scored as what the model gave: else a
// spread twice too small would settle at the root of two.
func TestTrackOfStretched(t *testing.T) {
	const off, sd = 2.0, 0.4
	r := xrand.Stream(2, "track")
	var records []forecast.Record
	widen := 1.0
	for i := range 200 {
		track := &forecast.Track{Widen: widen}
		hash := fmt.Sprint(i)
		records = append(records, forecast.Record{Car: "Invented", Hash: hash, Forecast: &forecast.Answer{Track: track}},
			forecast.Record{Car: "Invented", Scored: &forecast.Scored{Forecast: hash, SD: sd * widen,
				Expected: forecast.Score{Error: off * sd * r.NormFloat64()}}})
		expected, _ := forecast.TrackOf(records, "Invented")
		widen = expected.Widen
	}
	if widen < 1.8 || widen > 2.1 {
		t.Errorf("a spread %.1f times too small is stretched by %.2f after 200 passes", off, widen)
	}
}
