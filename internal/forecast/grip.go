package forecast

import (
	"math"

	"traplight/internal/fitcar"
)

// How grip changes about the tyres' own, relative: by the day (sun, rubber, the strip's
// preparation) and from pass to pass within one (burnout, heat of the tread). Common practice,
// no source; a day's own passes take over the second, the priors being worth some of them.
const (
	gripDay   = 0.03  // 1
	gripOnce  = 0.012 // 1
	gripWorth = 3.0   // passes
	gripStrip = 0.04  // 1, of a strip on which the car was never run about those on which it was
)

// gripNext is the level of grip that member mem expects of the pass to come, 1, and its
// standard deviation, from the levels of the record, which are about the tyres' own grip: passes of the same
// day tell most of it.
func gripNext(m *fitcar.Model, mem *fitcar.Member, n *Next) (mean, sd float64) {
	once := gripScatter(m)
	var past []missed
	for i, l := range mem.Levels {
		if i < len(m.Passes) {
			o := m.Passes[i].Obs
			past = append(past, missed{hour: o.Hour, strip: o.Strip, speed: l - 1})
		}
	}
	mean, sd = carryOver(missed{hour: n.Hour, strip: n.Strip}, past, 0, gripDay, once)
	if n.otherStrip(m) {
		sd = math.Hypot(sd, gripStrip)
	}
	return 1 + mean, math.Hypot(sd, once)
}

// otherStrip tells that the record has no pass on the strip to come.
func (n *Next) otherStrip(m *fitcar.Model) bool {
	for _, p := range m.Passes {
		if n.Strip == "" || p.Obs.Strip == "" || p.Obs.Strip == n.Strip {
			return false
		}
	}
	return len(m.Passes) > 0
}

// gripScatter is the spread of grip from pass to pass within a day, 1.
func gripScatter(m *fitcar.Model) float64 {
	ss, free := gripWorth*gripOnce*gripOnce, gripWorth
	for i := 0; i < len(m.Passes); {
		day, j, mean := m.Passes[i].Obs.Hour, i, 0.0
		for j < len(m.Passes) && j < len(m.Mean.Levels) && m.Passes[j].Obs.Hour < day+12 {
			mean += m.Mean.Levels[j]
			j++
		}
		if j == i {
			break
		}
		mean /= float64(j - i)
		for _, l := range m.Mean.Levels[i:j] {
			ss += (l - mean) * (l - mean)
		}
		free += float64(j - i - 1)
		i = j
	}
	return math.Sqrt(ss / free)
}
