package plan

import (
	"context"
	"math"
)

// gripSeen is what the passes run tell of a gear's slip in the pull: by member of the ensemble
// how much more they slipped, in the logarithm, than the member does with the same settings.
type gripSeen struct {
	more  []float64 // 1, by member
	doubt float64   // 1, of it: luck of so few passes and the slip's zero
}

const (
	slipZero  = 0.04 // 1, of slip near the peak: its zero hangs on the tyre's radius, known to 0.5 %; common practice, no source
	slipModel = 0.25 // 1, of the model's slip near the peak where no log shows the car's; common practice, no source
)

// pulling is the chance, 0–1, that the tyres slip past their peak for over sim.Lasts in the
// pull of gear g (from 0), where member j of the ensemble comes to lasting: ln of slip over that
// of the peak. The members differ in where the peak lies, what is left is a normal tail.
func (s *search) pulling(g, j int, lasting float64) float64 {
	if g >= len(s.grip) || s.grip[g] == nil {
		return tail(-lasting / slipModel)
	}
	q := s.grip[g]
	return tail(-(lasting + q.more[j]) / q.doubt)
}

// learnGrip holds the slip of each gear, with the settings last run, against the passes run
// with them.
func (s *search) learnGrip(ctx context.Context, x settings) {
	as := s.lastRun(x)
	n, members := len(as.boost), len(s.m.Members)
	out := make([]drawn, s.draws)
	s.drawAll(ctx, as, out, 0)
	v := s.weigh(as, out)
	s.holdRun(&v)
	for g := range s.spin {
		if q := &v.gears[g]; q.used > 0 {
			s.spin[g].torque, s.spin[g].use = q.input, q.use/q.used
		}
	}
	s.grip = make([]*gripSeen, n)
	for g := range n {
		model, luck := lastingBy(out, g, members)
		q := &gripSeen{more: make([]float64, members)}
		passes := 0.0
		for k := range s.m.Passes {
			o := s.m.Passes[k].Obs
			if s.m.Passes[k].Weight < 0.5 || len(o.Target) == 0 || math.Abs(o.Target[min(g, len(o.Target)-1)]-as.boost[g]) > sameBoost {
				continue
			}
			if a := &s.slid[k][g]; !a.used || math.IsInf(a.lasting, 0) {
				continue
			}
			passes++
			for j := range q.more {
				q.more[j] += max(leastLasting, s.slid[k][j*n+g].lasting)
			}
		}
		if passes == 0 || math.IsNaN(luck) {
			continue
		}
		for j := range q.more {
			q.more[j] = q.more[j]/passes - model[j]
		}
		q.doubt = math.Hypot(slipZero, luck/math.Sqrt(passes))
		s.grip[g] = q
	}
}

// leastLasting is the least ln of slip over that of the peak that is told apart.
const leastLasting = -1.6

// lastingBy is the mean of Gear.Lasting in gear g (from 0) by member, and its spread within
// members, 1; NaN where too few passes reach the gear.
func lastingBy(out []drawn, g, members int) (mean []float64, luck float64) {
	mean = make([]float64, members)
	count := make([]float64, members)
	all, of := 0.0, 0.0
	each := func(do func(j int, l float64)) {
		for i := range out {
			for k := range out[i].gears {
				if q := &out[i].gears[k]; q.Gear == g+1 {
					do(i%members, q.Lasting)
				}
			}
		}
	}
	each(func(j int, l float64) { mean[j], count[j], all, of = mean[j]+l, count[j]+1, all+l, of+1 })
	if of < 2*float64(members) {
		return mean, math.NaN()
	}
	for j := range mean {
		if mean[j] /= max(1, count[j]); count[j] == 0 {
			mean[j] = all / of
		}
	}
	ss, free := 0.0, 0.0
	each(func(j int, l float64) { ss += sq(l - mean[j]) })
	for _, c := range count {
		free += max(0, c-1)
	}
	return mean, math.Sqrt(ss / max(1, free))
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
