package health

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"traplight/internal/num/stats"
	"traplight/internal/quantity"
)

// louder is by how much the background may be louder where boost is higher or the
// charge hotter than in any pass that made it, 1 or more: the noise of combustion
// grows with the pressure in the cylinder, allowed once more for doubt; a tenth for
// each 10 K (common practice, no source).
func (f *frame) louder(past []Summary) float64 {
	charge, manifold := farthest(past)
	now, by := f.airOf(), 1.0
	if manifold > 0 && now.Manifold > manifold {
		by *= sq(now.Manifold / manifold)
	}
	if charge > 0 && now.Charge > charge {
		by *= 1 + (now.Charge-charge)/100
	}
	return by
}

// exceedances are the times, s, of events over the background's rare level in n readings,
// with the chance that so many come up on a clear pass (Poisson).
func (f *frame) exceedances(c *channel, b KnockBackground, louder float64) (at []float64, n int, chance float64) {
	rs := f.knockReadings(c)
	last := math.Inf(-1)
	louder = max(louder, b.gain(rs))
	for _, r := range rs {
		l, ok := b.level(r.bin)
		if !ok {
			continue
		}
		n++
		if r.v < b.Rare*l*louder {
			continue
		}
		if r.t-last > knockApart {
			at = append(at, r.t)
		}
		last = r.t
	}
	mean := float64(n) * knockRare
	// P(X ≥ events)
	term, sum := math.Exp(-mean), 0.0
	for k := range at {
		sum += term
		term *= mean / float64(k+1)
	}
	return at, n, max(1-sum, 1e-12)
}

// mostGain is the most by which a sensor may hear everything louder than on earlier
// passes, 1 (set by hand).
const mostGain = 1.6

// gain is by how much the sensor hears the whole pass louder than the passes of its
// background, 1 to mostGain: the middle reading's, which single knocks leave where it is.
// A level that rises is watched by itself.
func (b KnockBackground) gain(rs []knockReading) float64 {
	at := map[int]float64{}
	for _, l := range b.Bins {
		at[int(l.From/knockBin+0.5)] = l.Median
	}
	var ratio []float64
	for _, r := range rs {
		if m := at[r.bin]; m > 0 {
			ratio = append(ratio, r.v/m)
		}
	}
	if len(ratio) == 0 {
		return 1
	}
	return max(1, min(mostGain, stats.Median(ratio)))
}

// KnockCount is how often a sensor passed its rare level in a pass, against what
// chance gives on a clear one.
type KnockCount struct {
	Sensor   string  `json:"sensor"`
	Events   int     `json:"events"`   // readings over the level, those nearer than 0.1 s counted once
	Expected float64 `json:"expected"` // 1, mean count by chance in as many readings
	Chance   float64 `json:"chance"`   // 1, of so many or more on a clear pass (Poisson)
}

// bursts adds what single knocks say, which means over a fifth of a second
// would hide.
func (j *judge) bursts() {
	louder := j.louder(j.past)
	known := KnockBackgrounds(j.past)
	if len(known) == 0 {
		j.ownBursts()
	}
	for _, b := range known {
		for _, c := range j.lone(quantity.Knock) {
			if c.Name != b.Sensor {
				continue
			}
			at, readings, chance := j.exceedances(c, b, louder)
			events := len(at)
			j.knocks = append(j.knocks, KnockCount{c.Name, events, float64(readings) * knockRare, chance})
			// The tail is known from few passes only: half the evidence counts.
			e := min(most, -0.5*math.Log(chance)-1)
			if events < 3 || e < 1 {
				continue
			}
			if share, others := j.heardElsewhere(at, c, known); others && share < leastHeard {
				e = min(e, loneKnock) // one sensor's own noise, or its mounting
			}
			text := fmt.Sprintf("%s: %d knocks over the level that chance passes once in ten thousand readings", c.Name, events)
			l := &look{spec: spec{id: "knock bursts", title: text, channels: names(c), small: 1, measure: ofCount}}
			o := &observation{look: l, evidence: e, start: at[0], said: text}
			o.hit.Size = math.Sqrt(float64(events))
			j.obs = append(j.obs, o)
		}
	}
}

// What one knock sensor hears and the others do not.
const (
	leastHeard = 0.3 // share of its events that another must hear: chance gives a tenth
	heardOver  = 1.2 // of a sensor's high level, over which it hears one
	loneKnock  = 4.0 // evidence that it is worth without
)

// heardElsewhere is the largest share of the events of sensor c, at the times given, at which
// another sensor stands over its own high level too: knock rings the whole block. others
// is false where no other sensor has a background.
func (j *judge) heardElsewhere(at []float64, c *channel, known []KnockBackground) (share float64, others bool) {
	for _, b := range known {
		for _, o := range j.lone(quantity.Knock) {
			if o.Name != b.Sensor || o.Name == c.Name {
				continue
			}
			others = true
			rs := j.knockReadings(o)
			n := 0
			for _, t := range at {
				if slices.ContainsFunc(rs, func(r knockReading) bool {
					l, ok := b.level(r.bin)
					return ok && math.Abs(r.t-t) < pulseShared && r.v > heardOver*l
				}) {
					n++
				}
			}
			share = max(share, float64(n)/float64(len(at)))
		}
	}
	return share, others
}

// provoked takes the knock of a run in which it was provoked on purpose for what
// it is, and no finding.
func (j *judge) provoked() {
	if j.note == nil || !j.note.Provoked {
		return
	}
	j.obs = slices.DeleteFunc(j.obs, func(o *observation) bool { return strings.HasPrefix(o.id, "knock") })
	j.doubts = append(j.doubts, "knock: it was provoked on purpose in this run")
}

// Provoked is where a sensor really shows knock, from a run on which the crew
// provoked it on purpose.
type Provoked struct {
	Run, Sensor string
	Ratio       float64 // 1, to the background's level in the bin; 0 when the run did not stand out
	Found       bool
}

// ProvokedLevels fixes where an engine really knocks: from a run on which knock
// was provoked (low octane, low load), the ratio to the background's level that
// separates provoked readings from clear ones, as the geometric mean of the clear
// passes' rare level and the provoked run's 0.99 quantile.
func ProvokedLevels(run Summary, backgrounds []KnockBackground) []Provoked {
	var out []Provoked
	for _, b := range backgrounds {
		d := run.Knock[b.Sensor]
		if d == nil {
			continue
		}
		p := Provoked{Run: run.Name, Sensor: b.Sensor}
		var r []float64
		for k, v := range d.Bins {
			if l, found := b.level(k); found {
				r = append(r, v[2]/l)
			}
		}
		if len(r) > 0 {
			if top := stats.Median(r); top > b.Rare {
				p.Ratio, p.Found = math.Sqrt(top*b.Rare), true
			}
		}
		out = append(out, p)
	}
	return out
}
