package health

import (
	"fmt"
	"math"
	"slices"

	"traplight/internal/num/stats"
	"traplight/internal/quantity"
)

// What a first pass says of knock: its own readings, bin by bin of engine speed, are
// the background. Knock rings the whole block, so that every sensor on it hears the
// same pulse; what only one hears may be its own noise and must be far more frequent.
// The numbers are set by hand on invented healthy passes (docs/knock.md).
const (
	pulseOver   = 10.0 // spreads over the bin's median, of the lower half of its logarithms
	pulseSpread = 0.02 // least such spread, natural logarithm
	pulseShared = 0.06 // s, within which two sensors hear the same pulse
	leastShared = 3    // pulses heard by two sensors that make a finding
	leastLone   = 15   // pulses of a lone sensor that make one
)

// pulses are the times, s, at which a sensor stands far over the background that the
// pass itself gives.
func (f *frame) pulses(c *channel) []float64 {
	rs := f.knockReadings(c)
	by := map[int][]float64{}
	for _, r := range rs {
		by[r.bin] = append(by[r.bin], math.Log(r.v))
	}
	level := map[int]float64{}
	for k, v := range by {
		if len(v) < 15 {
			continue
		}
		slices.Sort(v)
		m := stats.QuantileSorted(v, 0.5)
		level[k] = m + pulseOver*max(m-stats.QuantileSorted(v, 0.1587), pulseSpread)
	}
	var out []float64
	last := math.Inf(-1)
	for _, r := range rs {
		l, ok := level[r.bin]
		if !ok || math.Log(r.v) < l {
			continue
		}
		if r.t-last > knockApart {
			out = append(out, r.t)
		}
		last = r.t
	}
	return out
}

// ownBursts judges pulses against the pass itself, for sensors without a background
// of earlier passes.
func (j *judge) ownBursts() {
	type heard struct {
		c *channel
		t []float64
	}
	var all []heard
	for _, c := range j.lone(quantity.Knock) {
		all = append(all, heard{c, j.pulses(c)})
	}
	tell := func(at []float64, evidence float64, text string, cs ...*channel) {
		l := &look{spec: spec{id: "knock bursts", title: text, channels: names(cs...), small: 1, measure: ofCount}}
		o := &observation{look: l, evidence: min(most, evidence), start: at[0], said: text}
		o.hit.Size = math.Sqrt(float64(len(at)))
		j.obs = append(j.obs, o)
	}
	if len(all) == 1 {
		if h := all[0]; len(h.t) >= leastLone {
			tell(h.t, 7+0.4*float64(len(h.t)-leastLone), fmt.Sprintf("%s: %d knocks far over the rest of the pass", h.c.Name, len(h.t)), h.c)
		}
		return
	}
	var best []float64
	var pair [2]*channel
	for i, a := range all {
		for _, b := range all[i+1:] {
			var both []float64
			for _, t := range a.t {
				if slices.ContainsFunc(b.t, func(u float64) bool { return math.Abs(u-t) < pulseShared }) {
					both = append(both, t)
				}
			}
			if len(both) > len(best) {
				best, pair = both, [2]*channel{a.c, b.c}
			}
		}
	}
	if len(best) >= leastShared {
		tell(best, 7+float64(len(best)-leastShared), fmt.Sprintf("%s and %s: %d knocks heard by both, far over the rest of the pass", pair[0].Name, pair[1].Name, len(best)), pair[:]...)
	}
}
