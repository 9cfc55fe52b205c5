package health

import "traplight/internal/num/stats"

// What a first pass compares with itself must be alike: no curve of this car over
// launch, low boost or the time after the lift is known yet.

const (
	// alikeBoost is the share of the pass's usual boost at full throttle from which
	// its rows are compared: below it mixture, ignition and torque follow other parts
	// of their maps (set by hand).
	alikeBoost = 0.5
	// leastAlike is the number of rows below which all are kept.
	leastAlike = 15
)

// byBoost are the watches whose relation is another at low boost.
var byBoost = []string{"lambda", "lambda apart", "injectors over air", "fuel flow over air", "fuel flow over injectors", "torque over air", "turbo speed", "back-pressure", "ignition", "wastegate", "knock level", "cooler pressure loss", "inlet depression"}

// matched is the look without the rows of the launch and the first gear, and, for
// relations that boost bends, without those of low boost; the look itself when too
// few would be left.
func (l *look) matched(f *frame) *look {
	if l.on != nil || l.whole {
		return l
	}
	least := nan()
	for _, w := range byBoost {
		if (role{watch: w}).covers(l.id) {
			least = alikeBoost * f.usualBoost()
		}
	}
	out := *l
	out.part, out.wide = true, l.mask
	out.mask = f.mask(func(i int) bool { return l.mask[i] && !f.loose(i) && !(f.boost[i] < least) })
	out.rows = f.collect(out.mask, out.y, out.load, out.feats...)
	if out.rows.len() < leastAlike {
		return l
	}
	return &out
}

// usualBoost is the upper quartile of the boost at full throttle, Pa gauge; NaN
// where it is not known.
func (f *frame) usualBoost() float64 {
	var b []float64
	for i, v := range f.boost {
		if f.full[i] && v == v {
			b = append(b, v)
		}
	}
	if len(b) < 50 {
		return nan()
	}
	return stats.Quantile(b, 0.75)
}
