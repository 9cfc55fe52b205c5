package main

import (
	"fmt"
	"math"

	"traplight/internal/car"
	"traplight/internal/fitcar"
	"traplight/internal/forecast"
	"traplight/internal/sim"
)

// effects lays what the plans' changes bring by the model beside what they bring to the
// same driver's very same hand: luck is in neither.
type effects struct{ foretold, truth, spread [6][]float64 } // by place in changes; % of the trap speed

// effect is what n's changes gain over the pass before by the mean member, and the members'
// spread, m/s; NaN when the line is not reached.
func effect(m *fitcar.Model, n *forecast.Next) (gain, sd float64) {
	same, err := forecast.Prepare(m, nil, nil)
	if err != nil {
		return math.NaN(), math.NaN()
	}
	same.Air = lastPass(m).Air
	of := func(mem *fitcar.Member) float64 {
		var trap [2]float64
		for i, x := range []*forecast.Next{same, n} {
			c, p := forecast.Usual(m, x, mem)
			r := sim.Runner{Car: c}
			res, err := r.Run(p)
			if err != nil || !res.Complete {
				return math.NaN()
			}
			trap[i] = res.Trap
		}
		return trap[1] - trap[0]
	}
	gain = of(&m.Mean)
	var s, ss, k float64
	for i := range m.Members {
		if g := of(&m.Members[i]); !math.IsNaN(g) {
			s, ss, k = s+g, ss+g*g, k+1
		}
	}
	return gain, math.Sqrt(max(0, ss/k-s*s/(k*k)))
}

func (e *effects) tell(m *fitcar.Model, n *forecast.Next, last, same float64, p *car.Planned) {
	gain, sd := effect(m, n)
	f, t := 100*gain/last, 100*(same/last-1)
	if math.IsNaN(f) || math.IsNaN(t) || math.Abs(t) > 20 {
		return
	}
	i := changeOf(p)
	e.foretold[i], e.truth[i], e.spread[i] = append(e.foretold[i], f), append(e.truth[i], t), append(e.spread[i], 100*sd/last)
	fmt.Printf("%-12s effect %+6.2f ± %.2f %%, true %+6.2f %%, over it %+6.2f  %s\n", n.ID, f, 100*sd/last, t, f-t, p.Change)
}

func (e *effects) summary() {
	for i := range e.truth {
		k := len(e.truth[i])
		if k == 0 {
			continue
		}
		var over []float64
		var num, den float64
		for j, t := range e.truth[i] {
			over = append(over, e.foretold[i][j]-t)
			num, den = num+e.foretold[i][j]*t, den+t*t
		}
		fmt.Printf("  effect of %-14s %3d: foretold over true, %% of speed: median %.2f, rms %.2f, mean %+.2f; slope %.2f; members' spread %.2f\n",
			changes[i], k, quantile(over, 0.5), rms(over), mean(over), num/den, mean(e.spread[i]))
	}
}
