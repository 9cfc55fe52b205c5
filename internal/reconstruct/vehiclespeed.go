package reconstruct

import (
	"fmt"
	"math"

	"traplight/internal/dictionary"
	"traplight/internal/num/stats"
)

const (
	// apart is how far the ratio of two speeds must swing, 1, between its 10th and its 90th
	// percentile for them to be of different wheels: driven tyres slip by several per cent
	// at full pull, and roll free between gears.
	apart = 0.012
	// fastEnough is the speed, m/s, from which ratios are compared.
	fastEnough = 8.0
)

// placeVehicleSpeed decides what a car's own speed stands for. Alone it comes from the
// gearbox or from wheels, we do not know which, and is not trusted as a wheel that only
// rolls. Beside a speed of the driven wheels that runs ahead of it under power it is a
// rolling one; where it is neither's it is left aside.
func (s *signals) placeVehicleSpeed(c *dictionary.Channel) {
	if len(s.driven) == 0 && len(s.undriven) == 0 {
		s.driven = append(s.driven, c)
		return
	}
	if len(s.driven) > 0 {
		swing, ahead := ratioOf(s.driven[0], c)
		switch {
		case math.IsNaN(swing):
			return
		case swing < apart: // the same wheels once more
			s.notes = append(s.notes, fmt.Sprintf("channel %q goes with the driven wheels and is left aside beside %q", c.Name, s.driven[0].Name))
			return
		case ahead && len(s.undriven) == 0:
			s.undriven = append(s.undriven, c)
			s.notes = append(s.notes, fmt.Sprintf("channel %q is taken for a speed of wheels that only roll, since %q runs ahead of it under power", c.Name, s.driven[0].Name))
			return
		}
		s.notes = append(s.notes, fmt.Sprintf("channel %q is left aside: wheels tell more", c.Name))
		return
	}
	if swing, ahead := ratioOf(c, s.undriven[0]); swing >= apart && ahead {
		s.driven = append(s.driven, c)
		return
	}
	s.notes = append(s.notes, fmt.Sprintf("channel %q goes with the undriven wheels and is left aside", c.Name))
}

// ratioOf is how far the ratio of speed a over speed b swings, 1, NaN where they do not meet,
// and whether it swings upward: the bulk lies near its lower end while a slips for a while.
func ratioOf(a, b *dictionary.Channel) (swing float64, ahead bool) {
	var r, accelerating []float64
	gap := 2.5 / math.Max(b.RateHz, 1)
	for i, t := range a.Trace.T {
		v := sampleAt(b.Trace, t, gap)
		if !(v > fastEnough) {
			continue
		}
		r = append(r, a.Trace.V[i]/v)
		if before := sampleAt(b.Trace, t-0.5, gap); v-before > 1.5 {
			accelerating = append(accelerating, a.Trace.V[i]/v)
		}
	}
	if len(r) < 50 || len(accelerating) < 25 {
		return math.NaN(), false
	}
	low, high := stats.Select(r, len(r)/10), stats.Select(r, len(r)*9/10)
	pull := stats.Select(accelerating, len(accelerating)/2)
	return high/low - 1, pull > (low+high)/2 || pull-low > apart*low/2
}
