package main

import (
	"fmt"
	"math"
	"slices"

	"traplight/internal/demo"
)

// parts is what of the way from the plan, y, to the oracle's settings, best, each setting brings
// on the generator, m/s: put into the plan alone.
func (b *bench) parts(y, best demo.Settings, plan float64) string {
	text := "\n   to the oracle's, one by one:"
	swap := func(name string, change func(s *demo.Settings)) {
		s := clone(y)
		change(&s)
		v, outs := b.run(s, b.seeds)
		over := ""
		if anyOver(outs) {
			over = "!"
		}
		text += fmt.Sprintf(" %s %+.2f%s", name, v-plan, over)
	}
	for g := range y.Boost {
		if math.Abs(y.Boost[g]-best.Boost[g]) > 2e3 {
			swap(fmt.Sprint("boost ", g+1), func(s *demo.Settings) { s.Boost[g] = best.Boost[g] })
		}
	}
	swap("all boost", func(s *demo.Settings) { s.Boost = best.Boost })
	swap("all shifts", func(s *demo.Settings) { s.ShiftSpeed = best.ShiftSpeed })
	swap("launch", func(s *demo.Settings) { s.LaunchSpeed = best.LaunchSpeed })
	return text
}

// anyOver tells whether any pass went over a hard limit.
func anyOver(outs []demo.Outcome) bool {
	return slices.ContainsFunc(outs, func(o demo.Outcome) bool { return len(o.Exceeded) > 0 })
}
