package health

import (
	"fmt"
	"math"
	"slices"

	"traplight/internal/num/stats"
	"traplight/internal/quantity"
)

// A turbocharged engine is given a richer mixture the more boost it has, or the same: no table
// makes it leaner for more (common practice, no source). So on a first pass, where nobody
// knows the car's table, a gear at more boost that runs leaner than one before it tells of
// fuel that lacks, also where that came about with a shift.
// On 460 healthy first passes of invented cars no gear is leaner so by more than 0.0021, in the
// open logs by 0.0175.
const (
	leanerBy     = 0.035 // lambda, by which the later gear is leaner
	leanerFewer  = 3e3   // Pa, by which its boost may be less all the same: a gauge's scatter
	leanerFrom   = 0.8   // s in the gear from which its mixture counts
	leanerCells  = 25    // least of a gear
	leanerLaunch = 1.0   // s before the end of a first gear that count
	leanerSettle = 2.5   // s after the launch before which nothing counts: a cold start of the mixture
)

// plateau is the mixture of one gear at steady boost: medians.
type plateau struct {
	from, boost, lambda float64 // s, Pa gauge, 1 (less its target's where that is logged)
}

// plateaus are those of the gears driven at full throttle, in their order.
func (f *frame) plateaus(lambda []float64) (out []plateau) {
	for _, s := range f.stretches() {
		var b, x []float64
		from := s[0]
		if f.gear[from] < 2 { // a launch has a mixture of its own
			from = max(from, s[1]-int(leanerLaunch/cell))
		}
		for i := from; i < s[1]; i++ {
			if f.since[i] > leanerFrom && f.t[i] > f.launch+leanerSettle && !f.cut[i] && f.steady(i) && !(f.nitrous[i] > 0.05) && !math.IsNaN(lambda[i]) && f.boost[i] > 30e3 {
				b, x = append(b, f.boost[i]), append(x, lambda[i])
			}
		}
		if len(x) >= leanerCells {
			out = append(out, plateau{f.t[s[0]], stats.Median(b), stats.Median(x)})
		}
	}
	return out
}

// leanerWithMore is that rule, for a first pass: of each sensor the first gear that breaks it.
func (j *judge) leanerWithMore() []breach {
	if !j.alone {
		return nil
	}
	target := j.first(quantity.LambdaTarget)
	var out []breach
	for _, c := range j.lone(quantity.Lambda) {
		x := slices.Clone(j.column(c))
		for i := range x {
			if target != nil {
				x[i] -= target[i]
			}
		}
		p := j.plateaus(x)
		for k := range p {
			least := p[k]
			for _, o := range p[:k] {
				if o.boost < p[k].boost+leanerFewer && o.lambda < least.lambda {
					least = o
				}
			}
			if leaner := p[k].lambda - least.lambda; leaner > leanerBy {
				text := fmt.Sprintf("%s leaner by %s at %s of boost than it was before at %s, where more boost is given no leaner mixture",
					c.Name, j.size(&observation{look: &look{spec: spec{measure: ofLambda}}}, leaner), j.opts.Units.Pressure(p[k].boost), j.opts.Units.Pressure(least.boost))
				out = append(out, breach{MixtureLean, Moderate, p[k].from, names(c), text, ofPractice, false, false})
				break
			}
		}
	}
	return out
}
