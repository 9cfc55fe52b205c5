package plan

import (
	"context"
	"math"
)

// gripShared is the share of the doubt about a gear's wheelspin, as variance, that is the
// car's and the day's, the same in every pass; the rest is each pass's luck. Not known:
// half each.
const gripShared = 0.5

// gripSeen is what the passes run tell of the model's chance of wheelspin in a gear's pull:
// weights of the shared part of the doubt, in its standard deviations.
type gripSeen [33]float64

// sharedAt is the shared part at weight i, in standard deviations.
func sharedAt(i int) float64 { return float64(i-16) / 4 }

// given is the model's chance, 0–1, where the shared part is e: with a margin z and its doubt
// split in two, Φ((z + √ρ·e)/√(1−ρ)) (one-factor model of correlated events; from memory).
func given(z, e float64) float64 {
	return tail(-(z + math.Sqrt(gripShared)*e) / math.Sqrt(1-gripShared))
}

// newGripSeen learns from seen of n passes with wheelspin where the model's chance was p.
func newGripSeen(p float64, seen, n int) *gripSeen {
	z := quantileOf(p)
	w, sum := gripSeen{}, 0.0
	for i := range w {
		e := sharedAt(i)
		q := min(1-1e-9, max(1e-9, given(z, e)))
		w[i] = math.Exp(-e*e/2) * math.Pow(q, float64(seen)) * math.Pow(1-q, float64(n-seen))
		sum += w[i]
	}
	for i := range w {
		w[i] /= sum
	}
	return &w
}

// chance is what becomes of the model's chance, 0–1, with other settings.
func (w *gripSeen) chance(p float64) float64 {
	if w == nil {
		return p
	}
	z, sum := quantileOf(p), 0.0
	for i, a := range w {
		sum += a * given(z, sharedAt(i))
	}
	return sum
}

// quantileOf is the normal quantile of a chance, 0–1.
func quantileOf(p float64) float64 { return math.Sqrt2 * math.Erfinv(2*p-1) }

// learnGrip holds the model's chance of wheelspin in each gear, with the settings last run,
// against the passes run with them.
func (s *search) learnGrip(ctx context.Context, x settings) {
	as := s.lastRun(x)
	v := s.judge(ctx, as, s.draws)
	n := len(as.boost)
	for g := range s.spin {
		if q := &v.gears[g]; q.used > 0 {
			s.spin[g].torque, s.spin[g].use = q.input, q.use/q.used
		}
	}
	passes, seen := make([]int, n), make([]int, n)
	for k := range s.m.Passes {
		o := s.m.Passes[k].Obs
		if s.m.Passes[k].Weight < 0.5 {
			continue
		}
		all, bite := spun(o, s.m.PeakSlip.Value, n)
		for g := range n {
			if math.IsNaN(all[g]) || len(o.Target) == 0 || math.Abs(o.Target[min(g, len(o.Target)-1)]-as.boost[g]) > sameBoost {
				continue
			}
			if passes[g]++; all[g]-bite[g] > spinTime {
				seen[g]++
			}
		}
	}
	s.grip = make([]*gripSeen, n)
	for g := range n {
		if v.gears[g].used > 0 && passes[g] > 0 {
			s.grip[g] = newGripSeen(v.gears[g].pull, seen[g], passes[g])
		}
	}
}

// sameBoost is how far, Pa, a gear's target may be off and still be the same.
const sameBoost = 4e3

// lastRun are the settings of x with boost and shift speeds as they were run last.
func (s *search) lastRun(x settings) settings {
	as := x.clone()
	last := s.m.Passes[len(s.m.Passes)-1].Obs
	for g := range as.boost {
		if n := len(last.Target); n > 0 {
			as.boost[g] = last.Target[min(g, n-1)]
		}
	}
	for g := range as.shift {
		if n := len(last.ShiftAim); n > 0 {
			as.shift[g] = last.ShiftAim[min(g, n-1)]
		}
	}
	return as
}
