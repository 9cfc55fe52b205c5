package main

import (
	"fmt"
	"math"
	"slices"

	"traplight/internal/car"
	"traplight/internal/fitcar"
	"traplight/internal/forecast"
)

// score gathers errors of one kind of case, shares of the true trap speed.
type score struct {
	model, last, rule, floor []float64
	crps, width, interval    []float64
	spread                   []float64 // 1, error over the forecast's standard deviation
	held, signs, signsRight  int
	gainHeld                 int       // intervals of the gain over the pass before that held
	gainWidth                []float64 // 1, of the trap speed
}

// powerRule is the shop's rule of thumb: trap speed goes with the cube root of
// power over mass, power with the absolute boost target over the root of air
// temperature.
func powerRule(o *fitcar.Observation, n *forecast.Next, last float64) float64 {
	power := func(target []float64, p, t float64) float64 {
		s := 0.0
		for _, b := range target {
			s += b + p
		}
		return s / math.Sqrt(t)
	}
	mass := o.Sheet.Mass.Value
	k := power(n.Target, n.Air.Pressure, n.Air.Temperature) / power(o.Target, o.Air.Pressure, o.Air.Temperature)
	k *= (mass + o.MassAdd) / (mass + n.MassAdd)
	return last * math.Cbrt(k)
}

// add takes one forecast in and tells whether its interval held.
func (s *score) add(r *forecast.Result, truth, same, last, rule float64) bool {
	rel := func(x float64) float64 { return x/truth - 1 }
	in := truth >= r.Trap.P05 && truth <= r.Trap.P95
	if in {
		s.held++
	}
	s.model = append(s.model, rel(r.Trap.Mean))
	if !math.IsNaN(last) {
		s.last, s.rule = append(s.last, rel(last)), append(s.rule, rel(rule))
	}
	if !math.IsNaN(same) {
		s.floor = append(s.floor, rel(same))
	}
	s.width = append(s.width, (r.Trap.P95-r.Trap.P05)/truth)
	if g := r.Gain; g != nil {
		if d := truth - last; d >= g.P05 && d <= g.P95 {
			s.gainHeld++
		}
		s.gainWidth = append(s.gainWidth, (g.P95-g.P05)/truth)
	}
	s.crps = append(s.crps, forecast.CRPSSample(r.Traps, truth)/truth)
	s.interval = append(s.interval, forecast.IntervalScore(r.Trap.P05, r.Trap.P95, 0.1, truth)/truth)
	s.spread = append(s.spread, (r.Trap.Mean-truth)/r.Trap.SD)
	if math.Abs(rel(last)) > 0.0035 {
		s.signs++
		if (truth > last) == (r.Trap.Mean > last) {
			s.signsRight++
		}
	}
	return in
}

func (b *bench) tell(kind, id string, history int, r *forecast.Result, truth, same, last, rule float64, p *car.Planned) {
	s := b.scores[kind]
	if s == nil {
		s = &score{}
		b.scores[kind] = s
		fmt.Printf("%-12s %3s %7s  %7s %5s  %6s  %7s  %6s %6s  %6s  %s\n", "planned", "of", "truth", "fcast", "sd", "90 %", "error %", "last %", "rule %", "luck %", "change")
	}
	mark := "MISSED"
	if s.add(r, truth, same, last, rule) {
		mark = "held"
	}
	b.byChange(p).add(r, truth, same, last, rule)
	rel := func(x float64) float64 { return 100 * (x/truth - 1) }
	fmt.Printf("%-12s %3d %7.2f  %7.2f %5.2f  %6s  %+7.2f  %+6.2f %+6.2f  %+6.2f  %s\n", id, history, truth, r.Trap.Mean, r.Trap.SD, mark,
		rel(r.Trap.Mean), rel(last), rel(rule), rel(same), p.Change)
}

func quantile(x []float64, p float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	s := make([]float64, len(x))
	for i, v := range x {
		s[i] = math.Abs(v)
	}
	slices.Sort(s)
	u := p * float64(len(s)-1)
	i := int(u)
	if i+1 >= len(s) {
		return s[len(s)-1]
	}
	return s[i] + (u-float64(i))*(s[i+1]-s[i])
}

func mean(x []float64) float64 {
	s := 0.0
	for _, v := range x {
		s += v
	}
	return s / float64(len(x))
}

func (b *bench) summary() {
	for _, kind := range []string{"shared", "invented"} {
		s := b.scores[kind]
		if s == nil {
			continue
		}
		n := len(s.model)
		fmt.Printf("\n%s: %d planned passes; |error| at the trap, %%\n", kind, n)
		for _, c := range []struct {
			name string
			x    []float64
		}{{"forecast", s.model}, {"same as last", s.last}, {"power to weight", s.rule}, {"same driver's hand again (floor)", s.floor}} {
			fmt.Printf("  %-34s median %.2f  p90 %.2f  mean signed %+.2f\n", c.name, 100*quantile(c.x, 0.5), 100*quantile(c.x, 0.9), 100*mean(c.x))
		}
		fmt.Printf("  90 %% interval: holds %.0f %% of %d, mean width %.2f %%; CRPS %.3f %%, interval score %.2f %%, error over spread %.2f; sign of changes over 0.35 %% right in %d of %d\n",
			100*float64(s.held)/float64(n), n, 100*mean(s.width), 100*mean(s.crps), 100*mean(s.interval), rms(s.spread), s.signsRight, s.signs)
		fmt.Printf("  gain over the pass before: 90 %% interval holds %.0f %% of %d, mean width %.2f %%\n", 100*float64(s.gainHeld)/float64(len(s.gainWidth)), len(s.gainWidth), 100*mean(s.gainWidth))
	}
	b.changesSummary()
	b.effects.summary()
	b.ledger.summary()
}
