package sim

// Peaks are at which slip a tyre carries most, and how much of what it carries creeping, by
// speed: a table of Tyre.Top, even in v/(v + 30 m/s), right to 1.5 %.
type Peaks [5]struct{ slip, share float64 }

const (
	peaksHalf = 30.0 // m/s, the speed half way along the table's axis
	peaksStep = 0.2  // 1, of that axis
)

// Peaks tabulates the tyre's peak.
func (t *Tyre) Peaks() (q Peaks) {
	for i := range q {
		w := peaksStep * float64(i)
		q[i].slip, q[i].share = t.Top(peaksHalf * w / (1 - w))
	}
	return q
}

func (q *Peaks) between(v float64) (i int, f float64) {
	if !(v > 0) { // not a number either
		v = 0
	}
	u := v / (v + peaksHalf) / peaksStep
	i = min(int(u), len(q)-2)
	return i, min(1, u-float64(i))
}

// Slip is the slip, 1, at which the tyre carries most at a speed, m/s.
func (q *Peaks) Slip(v float64) float64 {
	i, f := q.between(v)
	return q[i].slip*(1-f) + q[i+1].slip*f
}

// Share is the most that it carries at a speed, m/s, over that of the creeping tyre, 1.
func (q *Peaks) Share(v float64) float64 {
	i, f := q.between(v)
	return q[i].share*(1-f) + q[i+1].share*f
}
