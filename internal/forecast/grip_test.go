package forecast

import (
	"math"
	"testing"

	"traplight/internal/fitcar"
	"traplight/internal/num/xrand"
)

// gripDays simulates passes whose grip changes by the day and within it, and tells by how much
// gripNext misses the next one, in its own standard deviations and as it stands, 1.
func gripDays(t *testing.T, hours []float64, at, once float64) (z, size, sd float64) {
	t.Helper()
	r := xrand.Stream(3, "grip")
	const n = 3000
	for range n {
		days := map[int]float64{}
		level := func(h float64) float64 {
			d := int(h / 24)
			if _, ok := days[d]; !ok {
				days[d] = gripDay * r.NormFloat64()
			}
			return 1 + days[d] + once*r.NormFloat64()
		}
		m := &fitcar.Model{}
		for _, h := range hours {
			m.Passes = append(m.Passes, fitcar.PassFit{Obs: &fitcar.Observation{Hour: h}})
			m.Mean.Levels = append(m.Mean.Levels, level(h))
		}
		mean, s := gripNext(m, &m.Mean, &Next{Hour: at})
		e := level(at) - mean
		z, size, sd = z+e*e/(s*s)/n, size+e*e/n, sd+s/n
	}
	return math.Sqrt(z), math.Sqrt(size), sd
}

func TestGripNext(t *testing.T) {
	for _, c := range []struct {
		what     string
		hours    []float64
		at, once float64
		low, up  float64 // of the stated spread, 1
	}{
		{"one pass of the same day", []float64{1}, 2, gripOnce, 0.015, 0.024},
		{"four passes of the same day", []float64{1, 2, 3, 4}, 5, gripOnce, 0.012, 0.018},
		{"ten passes of an even day", []float64{1, 2, 3, 4, 5, 6, 7, 8, 9, 10}, 11, 0.006, 0.008, 0.014},
		{"another day", []float64{1, 2, 3}, 200, gripOnce, 0.027, 0.04},
		{"three days", []float64{1, 2, 3, 100, 101, 200, 201, 202}, 203, gripOnce, 0.012, 0.019},
	} {
		z, size, sd := gripDays(t, c.hours, c.at, c.once)
		if z < 0.5 || z > 1.3 || sd < c.low || sd > c.up {
			t.Errorf("%s: misses by %.4f, states %.4f (%.4f to %.4f), %.2f of it", c.what, size, sd, c.low, c.up, z)
		}
	}
	m := &fitcar.Model{}
	if mean, sd := gripNext(m, &m.Mean, &Next{Hour: 5}); mean != 1 || sd < gripDay {
		t.Errorf("without a record: %.3f ± %.3f", mean, sd)
	}
}
