package health

import (
	"math"

	"traplight/internal/num/changepoint"
	"traplight/internal/num/stats"
)

const (
	// looksInScan is how many independent looks a scan of one watch amounts to.
	looksInScan   = 30
	looksIfLawful = 55
	// looksFromStart is the same for what is off from a watch's first row on and stays so:
	// of all that may go wrong a good part is so before the pass begins.
	looksFromStart = 10
	// looksAtRest is the same for an engine at idle, of which only the whole stretch is
	// looked at, either way.
	looksAtRest = 2
)

// fromStart weighs what is off from the first row on by itself: a scan takes what
// stands out most from the rows' noise, and where Z comes out larger than noise makes
// it, that is not what tells most.
func (o *observation) fromStart(k *changepoint.Scanner) {
	if o.whole || o.model.passes == 0 {
		return // what a first pass is from its first row on nobody knows
	}
	// What the scan found has a start; a little more is not worth losing it.
	best, least := *o, o.evidence+1
	for _, s := range o.shapes {
		if s.Last > 0 {
			continue
		}
		c := *o
		if h, ok := k.At(s, 0); ok {
			if c.weigh(h); c.evidence > least {
				best, least = c, c.evidence
			}
		}
	}
	*o = best
}

// weigh takes a hit for the watch's and works out what it tells.
func (o *observation) weigh(h changepoint.Hit) {
	m := o.model
	o.hit = h
	free := m.freedom(h.Noise)
	if h.At < len(o.rows.Loose) && o.rows.Loose[h.At] && !o.lawful {
		free = m.df // what sets in with the launch is as unsure as the launch
	}
	far := h.Z / m.larger(h.Noise)
	if m.spell > 0 {
		far = o.among()
	}
	o.z = stats.AsNormal(far, free)
	looks := float64(looksInScan)
	if o.lawful {
		looks = looksIfLawful // the law's tail no longer hides how many looks there are
	}
	if h.At == 0 && h.Shape.Last == 0 && m.passes > 0 {
		looks = looksFromStart
	}
	if o.whole && o.on != nil {
		looks = looksAtRest
	}
	e := o.z*o.z/2 - math.Log(looks)
	// What is too small to matter counts for less.
	small := o.small
	if h.Size < 0 && o.smallBelow > 0 {
		small = o.smallBelow
	}
	if r := math.Abs(o.reached()) / small; r < 1 {
		e *= r * r
	}
	if o.onlyLoose() {
		e -= looseCost
	}
	if o.largest > 0 && math.Abs(h.Size) > o.largest {
		e = 0
	}
	o.evidence = max(0, min(most, e))
}

// looseCost is what a disturbance loses that is over before the relations hold
// well, natural logarithm of odds: no two launches are alike.
const looseCost = 4.0

// onlyLoose says that a passing disturbance touches loose rows alone.
func (o *observation) onlyLoose() bool {
	h, r := o.hit, o.rows
	if h.Shape.Last == 0 || o.whole || len(r.Loose) < r.len() {
		return false
	}
	for i := h.At; i < r.len() && r.T[i]-r.T[h.At] < h.Shape.Last; i++ {
		if !r.Loose[i] {
			return false
		}
	}
	return true
}
