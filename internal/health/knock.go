package health

import (
	"math"
	"slices"

	"traplight/internal/num/gpd"
	"traplight/internal/num/stats"
)

// Knock readings are right-skewed and rise with engine speed. So the background
// is kept as quantiles by bins of engine speed, and what is over them as a tail
// with its own law (references/knock.md).

const (
	knockBin    = 500 * math.Pi / 30 // rad/s, width of an engine speed bin
	knockOver   = 0.9                // quantile of a bin that counts as its level
	knockTail   = 0.95               // quantile of the ratios from which the tail is fitted
	knockApart  = 0.1                // s, readings over the level nearer than this are one event
	knockPasses = 12                 // the latest passes that make a background
	knockRare   = 1e-4               // chance, by reading, of the level that counts
)

// knockDigest is what a pass leaves of one knock sensor.
type knockDigest struct {
	Bins   map[int][3]float64 `json:"bins"`   // by bin: median, knockOver and 0.99 quantile, as logged
	Counts map[int]int        `json:"counts"` // readings by bin
	High   []float64          `json:"high"`   // ratios to the bin's level over the pass's 0.9 quantile of ratios, at most 200
	N      int                `json:"n"`      // readings
}

type knockReading struct {
	t, v float64 // s, as logged
	bin  int
}

// knockReadings are the sensor's readings at full throttle with their bins.
func (f *frame) knockReadings(c *channel) []knockReading {
	var out []knockReading
	if f.n == 0 {
		return nil
	}
	for k, t := range c.Trace.T {
		i := int(math.Round((t - f.t[0]) / cell))
		if i < 0 || i >= f.n || !f.full[i] || f.since[i] < 0.3 || !(f.speed[i] > 0) || !(c.Trace.V[k] > 0) {
			continue
		}
		out = append(out, knockReading{t, c.Trace.V[k], int(f.speed[i] / knockBin)})
	}
	return out
}

func (f *frame) digestKnock(c *channel) *knockDigest {
	rs := f.knockReadings(c)
	if len(rs) < 200 {
		return nil
	}
	d := &knockDigest{Bins: map[int][3]float64{}, Counts: map[int]int{}, N: len(rs)}
	by := map[int][]float64{}
	for _, r := range rs {
		by[r.bin] = append(by[r.bin], r.v)
	}
	for b, v := range by {
		if len(v) < 15 {
			continue
		}
		d.Bins[b] = quantiles(v)
		d.Counts[b] = len(v)
	}
	var ratio []float64
	for _, r := range rs {
		if q, ok := d.Bins[r.bin]; ok {
			ratio = append(ratio, r.v/q[1])
		}
	}
	d.High = upperTenth(ratio)
	return d
}

// quantiles sorts v and gives the three that a bin keeps.
func quantiles(v []float64) [3]float64 {
	slices.Sort(v)
	return [3]float64{stats.QuantileSorted(v, 0.5), stats.QuantileSorted(v, knockOver), stats.QuantileSorted(v, 0.99)}
}

// upperTenth sorts ratios and gives the largest tenth, at most 200 of them.
func upperTenth(ratio []float64) []float64 {
	slices.Sort(ratio)
	return slices.Clone(ratio[max(int(knockOver*float64(len(ratio))), len(ratio)-200):])
}

// KnockBackground is a sensor's level on clear passes.
type KnockBackground struct {
	Sensor string
	Bins   []KnockLevel
	Tail   gpd.Pareto // of the ratio of a reading to its bin's level; Threshold, Scale: 1
	Rare   float64    // ratio that a reading passes with chance 1e-4 on a clear pass, 1
	Passes int
}

// KnockLevel is the background in one bin of engine speed; readings as logged.
type KnockLevel struct {
	From, To          float64 // rad/s
	Median, High, Top float64 // as logged: quantiles 0.5, 0.9 and 0.99
}

// KnockBackgrounds learns every sensor's background; sensors with fewer than two
// passes are left out.
func KnockBackgrounds(past []Summary) []KnockBackground {
	sensors := map[string][]*knockDigest{}
	var order []string
	for _, s := range past {
		for name, d := range s.Knock {
			if d == nil {
				continue
			}
			if sensors[name] == nil {
				order = append(order, name)
			}
			sensors[name] = append(sensors[name], d)
		}
	}
	slices.Sort(order)
	var out []KnockBackground
	for _, name := range order {
		if b, ok := background(name, sensors[name]); ok {
			out = append(out, b)
		}
	}
	return out
}

func background(name string, ds []*knockDigest) (b KnockBackground, ok bool) {
	if n := len(ds); n > knockPasses {
		ds = ds[n-knockPasses:]
	}
	b = KnockBackground{Sensor: name, Passes: len(ds)}
	if len(ds) < 2 {
		return b, false
	}
	q := map[int]*[3][]float64{}
	var bins []int
	for _, d := range ds {
		for k, v := range d.Bins {
			if q[k] == nil {
				q[k] = &[3][]float64{}
				bins = append(bins, k)
			}
			for i := range v {
				q[k][i] = append(q[k][i], v[i])
			}
		}
	}
	slices.Sort(bins)
	for _, k := range bins {
		b.Bins = append(b.Bins, KnockLevel{float64(k) * knockBin, float64(k+1) * knockBin,
			stats.Median(q[k][0]), stats.Median(q[k][1]), stats.Median(q[k][2])})
	}
	// Readings over the common level, pooled: each pass gives its upper tenth.
	var high []float64
	n := 0
	for _, d := range ds {
		high = append(high, d.High...)
		n += min(d.N, 10*len(d.High))
	}
	slices.Sort(high)
	// high holds the upper tenth of n readings, so the tail's threshold sits in
	// its middle.
	u := stats.QuantileSorted(high, 1-(1-knockTail)/(1-knockOver))
	tail, err := gpd.Exceedances(high, u)
	if err != nil {
		return b, false
	}
	tail.Rate = float64(tail.N) / float64(n)
	b.Tail = tail
	// From pass to pass the sensor's level itself wanders; the ratio is allowed
	// twice the spread of the bins' levels between passes.
	b.Rare = tail.Level(knockRare) * (1 + 2*b.wander(q))
	return b, true
}

func (b KnockBackground) wander(q map[int]*[3][]float64) float64 {
	var s []float64
	for _, v := range q {
		if len(v[1]) >= 2 {
			s = append(s, stats.MAD(v[1])/stats.Median(v[1]))
		}
	}
	if len(s) == 0 {
		return 0.1
	}
	return max(0.03, stats.Median(s))
}

// level gives the bin's level for an engine speed bin.
func (b KnockBackground) level(bin int) (v float64, ok bool) {
	for _, l := range b.Bins {
		if int(l.From/knockBin+0.5) == bin {
			return l.High, true
		}
	}
	return 0, false
}
