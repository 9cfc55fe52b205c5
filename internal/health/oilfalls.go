package health

import (
	"fmt"
	"math"

	"traplight/internal/quantity"
)

// An oil pump driven by the engine brings more with more speed, and a relief valve holds its
// pressure up, never down: for seconds, in which oil hardly warms, pressure does not fall while
// the engine turns as fast or faster. What does is oil that does not come, or runs out at a
// bearing. Healthy passes of invented cars stay within 2 %; in the open logs it falls by up to
// 13 % in the first 3 s after the launch, where oil surges and gauges lag, and by 10 % later.
const (
	oilWithin = 4.0  // s, in which the oil is as warm as it was
	oilFallen = 0.18 // 1, share of its pressure that has gone
	oilGone   = 0.4  // 1, the same, gross
	oilHeld   = 1.0  // s, for which it stays gone
	oilTurns  = 250  // rad/s, from which the pump leads
	oilStep   = 20.0 // rad/s, engine speeds taken for one
	oilGauge  = 1.0  // s, by which a gauge may come late: for so long it shows the speed before a shift
)

// oilFalls is oil pressure that has fallen under what it was just before at no more engine
// speed.
func (j *judge) oilFalls() (breach, bool) {
	c := j.set.First(quantity.OilPressure)
	if c == nil {
		return breach{}, false
	}
	p, n := smooth(j.column(c), 5), smooth(j.speed, 5)
	back, late := int(oilWithin/cell), int(oilGauge/cell)
	shown := apply(j.n, func(i int) float64 { // the fastest that the gauge may still show
		most := 0.0
		for k := max(0, i-late); k <= i; k++ {
			if n[k] > most {
				most = n[k]
			}
		}
		return most
	})
	// had is the highest pressure of the last seconds at no more speed.
	had := apply(j.n, func(i int) float64 {
		if !(j.t[i] > j.launch+1) || j.t[i] > j.end || !(n[i] > oilTurns) || !(p[i] > 0) {
			return nan()
		}
		most := 0.0
		for k := max(0, i-back); k < i; k++ {
			if n[k] > oilTurns && shown[k] < n[i]+oilStep/2 && p[k] > most {
				most = p[k]
			}
		}
		return most
	})
	gone := func(i int) float64 { return 1 - p[i]/had[i] }
	from, ok := j.lasting(oilHeld, func(i int) bool { return gone(i) > oilFallen })
	if !ok {
		return breach{}, false
	}
	low := int(math.Round((from - j.t[0]) / cell)) // the first cell in which as much has gone
	worst := 0.0
	for k := low; k < j.n && gone(k) > oilFallen; k++ {
		worst = max(worst, gone(k))
	}
	sev := Moderate
	if worst > oilGone {
		sev = Gross
	}
	start := low
	for start > 0 && gone(start-1) > oilFallen/3 {
		start--
	}
	w := j.opts.Units
	text := fmt.Sprintf("oil pressure falls by %.0f %% within %.0f s while the engine turns as fast or faster, to %s at %s", 100*worst, oilWithin, w.Pressure((1-worst)*had[low]), w.Rotation(n[low]))
	return breach{OilSupply, sev, j.t[start], names(c), text, ofPractice, false, false}, true
}
