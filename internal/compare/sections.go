package compare

import (
	"math"

	"traplight/internal/pass"
	"traplight/internal/quantity"
)

// sections cuts the strip at the marks that every pass reached.
func (c *Comparison) sections(passes []Pass, runs []*run) {
	reach := math.Inf(1)
	for _, r := range runs {
		reach = min(reach, r.end)
	}
	from, fromX := "rollout", 0.0
	for _, m := range passes[0].Pass.Splits {
		if m.Distance > reach+0.05 {
			break
		}
		to := min(m.Distance, reach)
		s := Section{From: from, To: m.Mark, FromX: fromX, ToX: to}
		for i, r := range runs {
			s.Parts = append(s.Parts, part(passes[i].Pass, r, runs[0], fromX, to, i > 0))
		}
		c.Sections = append(c.Sections, s)
		from, fromX = m.Mark, m.Distance
	}
}

// part is what one pass did between two places, m.
func part(p *pass.Pass, r, first *run, from, to float64, gap bool) Part {
	t1, v1 := r.at(to)
	t0 := 0.0
	if from > 0 {
		t0, _ = r.at(from)
	}
	out := Part{Time: t1 - t0, Speed: v1}
	if gap {
		u1, w1 := first.at(to)
		u0 := 0.0
		if from > 0 {
			u0, _ = first.at(from)
		}
		st, sv := r.spread(to)
		ft, fv := first.spread(to)
		out.Lost = &quantity.Estimate{Value: out.Time - (u1 - u0), SD: math.Hypot(st, ft)}
		out.Gained = &quantity.Estimate{Value: v1 - w1, SD: math.Hypot(sv, fv)}
	}
	a, b := p.Rollout.Value+t0, p.Rollout.Value+t1
	if from == 0 {
		a = p.Launch.Value
	}
	out.Torque = forceMean(p, a, b, func(f *pass.Force, i int) (float64, bool) { return f.HubTorque[i], true })
	out.Slip = forceMean(p, a, b, func(f *pass.Force, i int) (float64, bool) {
		if i >= len(f.Slip) || i < len(f.FullThrottle) && !f.FullThrottle[i] {
			return 0, false
		}
		return f.Slip[i], true
	})
	out.Boost = boostMean(p, a, b)
	for _, s := range p.Shifts {
		if s.Start.Value >= a && s.Start.Value < b {
			out.Shifts++
			out.ShiftTime += s.End.Value - s.Start.Value
			if s.Recovery != nil {
				out.Recovery += s.Recovery.Value
			}
		}
	}
	return out
}

// forceMean is the mean of a column of Force between two times, s, run clock, in the
// column's unit.
func forceMean(p *pass.Pass, from, to float64, value func(*pass.Force, int) (float64, bool)) *float64 {
	if p.Force == nil || p.Motion.Step <= 0 {
		return nil
	}
	sum, n := 0.0, 0
	lo := max(0, int(math.Ceil((from-p.Motion.Start)/p.Motion.Step)))
	hi := min(len(p.Force.HubTorque), int((to-p.Motion.Start)/p.Motion.Step)+1)
	for i := lo; i < hi; i++ {
		if v, ok := value(p.Force, i); ok && !math.IsNaN(v) {
			sum += v
			n++
		}
	}
	if n == 0 {
		return nil
	}
	v := sum / float64(n)
	return &v
}

// boostMean weighs the gears' mean boost by the full throttle they had between two
// times, s, run clock.
func boostMean(p *pass.Pass, from, to float64) *float64 {
	sum, total := 0.0, 0.0
	for _, g := range p.Gears {
		if g.MeanBoost == nil {
			continue
		}
		for _, w := range g.FullThrottle {
			if d := min(w.To, to) - max(w.From, from); d > 0 {
				sum += d * *g.MeanBoost
				total += d
			}
		}
	}
	if total == 0 {
		return nil
	}
	v := sum / total
	return &v
}
