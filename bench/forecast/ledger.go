package main

import (
	"fmt"
	"math"
	"slices"

	"traplight/internal/ledger"
)

// truthName names the counterfactual of a ledger line.
var truthName = map[string]string{"grip": "perfect_traction", "held-back torque": "held_back_torque", "shifts": "instant_shifts",
	"boost recovery": "no_boost_lag", "drag": "no_drag", "wind": "still_air"}

// ninety is how many standard deviations a 90 % interval reaches to either side, 1.
const ninety = 1.645

type ledgerScore struct {
	good  map[string]int
	count map[string]int
	err   map[string][]float64
	held  map[string]int       // of the 90 % intervals
	width map[string][]float64 // m/s
}

func newLedgerScore() *ledgerScore {
	return &ledgerScore{good: map[string]int{}, count: map[string]int{}, err: map[string][]float64{}, held: map[string]int{}, width: map[string][]float64{}}
}

func (l *ledgerScore) tell(kind, name string, lines []ledger.Line, truth map[string]float64) {
	fmt.Printf("ledger %-26s", name)
	for _, x := range lines {
		t, ok := truth[truthName[x.Cause]]
		if !ok {
			continue
		}
		e := x.Alone - t
		good := math.Abs(e) <= 0.5 || math.Abs(e) <= 0.25*math.Abs(t)
		key := kind + " " + x.Cause
		l.count[key]++
		l.err[key] = append(l.err[key], e)
		l.width[key] = append(l.width[key], 2*ninety*x.AloneSD)
		mark := "!"
		if good {
			l.good[key]++
			mark = ""
		}
		if math.Abs(e) <= ninety*x.AloneSD {
			l.held[key]++
		} else {
			mark += "*"
		}
		fmt.Printf("  %s %.2f±%.2f/%.2f%s", x.Cause, x.Alone, x.AloneSD, t, mark)
	}
	fmt.Println()
}

func (l *ledgerScore) summary() {
	if len(l.count) == 0 {
		return
	}
	fmt.Println("\nledger, gain alone against the true counterfactual: within 25 % or 0.5 m/s; mean error, m/s; 90 % intervals that hold and their mean width, m/s")
	var keys []string
	for k := range l.count {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	for _, k := range keys {
		fmt.Printf("  %-28s %3d of %3d   %+.2f   %3.0f %%   %.2f\n", k, l.good[k], l.count[k], mean(l.err[k]), 100*float64(l.held[k])/float64(l.count[k]), mean(l.width[k]))
	}
}
