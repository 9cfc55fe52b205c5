package dictionary

import (
	"math"
	"slices"

	"traplight/internal/num/stats"
)

// behaviour is what the samples of a column look like, in the file's unit.
type behaviour struct {
	n                       int // readings
	blank                   int // blank cells
	min, max                float64
	q01, q05, q50, q95, q99 float64 // quantiles
	first                   float64
	distinct                int     // up to 64
	whole                   bool    // all readings are whole numbers
	step                    float64 // step of the printed numbers, 0 when none is seen
	changes                 int     // rows in which the reading differs from the one before
}

// look describes a column.
func look(values []float64) behaviour {
	b := behaviour{whole: true, first: math.NaN(), min: math.Inf(1), max: math.Inf(-1)}
	sample := make([]float64, 0, min(len(values), 2*sampleSize))
	seen := make(map[float64]bool, 65)
	prev := math.NaN()
	for _, v := range values {
		if v != v || math.IsInf(v, 0) {
			b.blank++
			continue
		}
		if b.n == 0 {
			b.first = v
		} else if v != prev {
			b.changes++
			if len(seen) < 64 {
				seen[v] = true
			}
		}
		if b.n == 0 {
			seen[v] = true
		}
		prev = v
		b.n++
		if v < b.min {
			b.min = v
		}
		if v > b.max {
			b.max = v
		}
		if b.whole && v != math.Trunc(v) {
			b.whole = false
		}
	}
	if b.n == 0 {
		return b
	}
	b.distinct = len(seen)
	stride := max(1, b.n/sampleSize)
	k := 0 // readings, not rows: blanks may fall in step with the stride, throughout or for a while
	for _, v := range values {
		if v == v && !math.IsInf(v, 0) {
			if k%stride == 0 {
				sample = append(sample, v)
			}
			k++
		}
	}
	slices.Sort(sample)
	b.step = printStep(sample)
	b.quantiles(sample)
	if calm := middles(values, stride); len(calm) > sampleSize/4 {
		slices.Sort(calm)
		var c behaviour
		c.quantiles(calm)
		if b.q99-b.q01 > spikyRange*(c.q99-c.q01) && c.q99 > c.q01 {
			b.q01, b.q05, b.q50, b.q95, b.q99 = c.q01, c.q05, c.q50, c.q95, c.q99
		}
	}
	return b
}

// spikyRange is how much wider the range of readings must be than that of the middle of
// each three running, to say that lone readings make it so.
const spikyRange = 1.8

// quantiles takes those of sorted readings.
func (b *behaviour) quantiles(sorted []float64) {
	at := func(p float64) float64 { return sorted[int(p*float64(len(sorted)-1)+0.5)] }
	b.q01, b.q05, b.q50, b.q95, b.q99 = at(0.01), at(0.05), at(0.50), at(0.95), at(0.99)
}

// middles are the middle one of three readings running, every stride-th.
func middles(values []float64, stride int) []float64 {
	out := make([]float64, 0, 2*sampleSize)
	a, b := math.NaN(), math.NaN()
	k := 0
	for _, c := range values {
		if c != c || math.IsInf(c, 0) {
			continue
		}
		if k%stride == 0 && a == a {
			out = append(out, max(min(a, b), min(max(a, b), c)))
		}
		a, b = b, c
		k++
	}
	return out
}

// sampleSize is how many readings of a column are looked at for quantiles.
const sampleSize = 1024

// printStep is the smallest distance between different readings, which are
// sorted, if all of them are multiples of it, else decimalStep.
func printStep(s []float64) float64 {
	step := math.Inf(1)
	for i := 1; i < len(s); i++ {
		if d := s[i] - s[i-1]; d > 1e-9*math.Max(math.Abs(s[i]), 1e-3) && d < step {
			step = d
		}
	}
	if math.IsInf(step, 1) {
		return 0
	}
	for _, v := range s {
		r := (v - s[0]) / step
		if math.Abs(r-math.Round(r)) > 0.02 {
			return decimalStep(s)
		}
	}
	return step
}

// decimalStep is the power of ten of which all readings are multiples, 0 when
// that is finer than 10⁻⁷ of the range.
func decimalStep(s []float64) float64 {
	span := s[len(s)-1] - s[0]
	for q := 1.0; q > 1e-9; q /= 10 {
		if q < 1e-7*span {
			return 0
		}
		ok := true
		for _, v := range s {
			r := v / q
			if math.Abs(r-math.Round(r)) > 1e-6*math.Max(1, math.Abs(r)) {
				ok = false
				break
			}
		}
		if ok {
			return q
		}
	}
	return 0
}

// spread is a robust standard deviation from absolute deviations: their median over 0.6745, not below a tenth of their mean.
func spread(dev []float64) float64 {
	if len(dev) == 0 {
		return 0
	}
	mean := 0.0
	for _, d := range dev {
		mean += d
	}
	mean /= float64(len(dev))
	dev = thin(dev)
	return max(stats.Select(dev, len(dev)/2)/0.6745, mean/10)
}

// thin copies every k-th element so that about sampleSize remain.
func thin(v []float64) []float64 {
	stride := max(1, len(v)/sampleSize)
	out := make([]float64, 0, len(v)/stride+1)
	for i := 0; i < len(v); i += stride {
		out = append(out, v[i])
	}
	return out
}
