package health

import (
	"math"

	"traplight/internal/num/stats"
)

// steady tells a loss that stays as it has come from one that comes and goes, as
// misfires do: by how much torque and mixture scatter after the onset, beyond
// their usual noise, against the size of the change. Positive for steady, within
// ±4, a natural logarithm of odds.
func steady(obs []*observation) float64 {
	s := 0.0
	for _, o := range obs {
		if o.id != "torque over air" && o.id != "lambda" || o.evidence < 2 || o.rows == nil {
			continue
		}
		if o.hit.Shape.Last > 0 && o.hit.Shape.Last < 1 {
			s -= 1.5
			continue
		}
		// Row to row, so that slow errors of the model do not count.
		var d []float64
		last := nan()
		for i := o.hit.At; i < o.rows.len(); i++ {
			e := o.rows.Y[i]
			for j, b := range o.model.coef {
				e -= b * o.rows.X[i*o.rows.P+j]
			}
			if i > o.hit.At && o.rows.T[i]-o.rows.T[i-1] < 1.5*block*cell {
				d = append(d, math.Abs(e-last)/math.Sqrt2)
			}
			last = e
		}
		if len(d) < 5 {
			continue
		}
		sd := stats.MADToSD * stats.Median(d)
		noise := o.model.noise
		rough := math.Sqrt(max(0, sd*sd-noise*noise)) / math.Abs(o.hit.Size)
		// Even odds at an eighth of the size: a dead cylinder is as steady as the
		// noise, misfires are not.
		s += max(-3, min(2, 3*(0.125-rough)/0.125))
	}
	return max(-4, min(4, s))
}
