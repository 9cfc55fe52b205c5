package reconstruct

import (
	"math"

	"traplight/internal/car"
	"traplight/internal/num/stats"
	"traplight/internal/trace"
)

// How gears are counted from engine speed alone. Common practice, no source.
const (
	shiftDrop = 0.10 // 1, least fall of engine speed by which a change of gear is told
	fallTime  = 0.6  // s, the longest time that it takes
	givenUp   = 2.5  // s of closed throttle, or of idling, after which the next pull starts in first gear again
	shiftLow  = 0.7  // 1, of the engine speed of the usual changes: no pass changes up below
	shiftSure = 0.9  // 1, of that speed, from which a fall is a change up even if tyres that had spun grip after it
	flares    = 0.3  // s before the top of the flare
	beyond    = 0.10 // 1, of the engine speed before, by which a change up may fall too far; a clutch that closes draws the engine down further
	risesBy   = 0.02 // 1, by which the engine rises over the last second of a pull in first gear; held at the line it does not
)

// countGears numbers the gears by the falls of engine speed under full throttle. An engine
// that is drawn down by the closing clutch falls as in a change up, but from the speed at which
// it was held, or from far below that of the changes.
func (s *signals) countGears(gear []int, sheet *car.Sheet, idle float64) {
	x := s.engine.Trace
	usual := changesAt(x, sheet)
	now := 0
	var top float64
	var topAt float64
	since := math.Inf(-1) // s, from when the present gear's pull counts
	open := math.Inf(-1)  // s, when the throttle was last open, or the engine last above idling
	for i, t := range x.T {
		th := 1.0
		if s.throttle != nil {
			th = sampleAt(s.throttle.Trace, t, 1)
		} else if x.V[i] <= idle {
			th = 0
		}
		if th > 0.5 {
			open = t
		} else if t-open > givenUp {
			now = 0
		}
		switch {
		case now == 0 && th > 0.5:
			now = 1
			top, topAt = x.V[i], t
		case now > 0 && now < len(sheet.Gears):
			if x.V[i] > top || t-topAt > fallTime || t < since { // the rest of one fall is no second change
				top, topAt = x.V[i], t
				break
			}
			if !(th > 0.5 && top > shiftLow*usual && (now > 1 || rising(x, topAt))) {
				break
			}
			want := sheet.Gears[now] / sheet.Gears[now-1]
			// with the throttle held the engine flares as the clutch opens
			for _, from := range [...]float64{top, sampleAt(x, min(topAt, max(topAt-flares, since)), 1)} {
				r := x.V[i] / from
				if !(r < 1-shiftDrop && math.Abs(r-want) < 0.05) {
					continue
				}
				if top < shiftSure*usual && lowest(x, i, topAt+fallTime) < (want-beyond)*from {
					continue
				}
				now++
				top, topAt, since = x.V[i], t, t+fallTime
				break
			}
		}
		gear[i] = now
	}
}

// changesAt is the engine speed, rad/s, of the usual changes up: the lowest that the sheet
// states, else the highest that the engine held in the log.
func changesAt(x trace.Trace, sheet *car.Sheet) float64 {
	low := math.Inf(1)
	for _, w := range sheet.UsualShiftSpeed {
		low = min(low, w)
	}
	if top := quantile(x.V, 0.995); !(low < top) {
		low = top
	}
	return low
}

// lowest is the lowest engine speed, rad/s, from sample i to t, s.
func lowest(x trace.Trace, i int, t float64) float64 {
	low := x.V[i]
	for ; i < len(x.T) && x.T[i] <= t; i++ {
		low = min(low, x.V[i])
	}
	return low
}

// rising tells an engine that pulls from one that is held: whether it rose towards t, s.
func rising(x trace.Trace, t float64) bool {
	before, at := x.Slice(t-1, t-0.6), x.Slice(t-0.4, t)
	if before.Len() == 0 || at.Len() == 0 {
		return true
	}
	return stats.Median(at.V) > (1+risesBy)*stats.Median(before.V)
}
