package main

import (
	"fmt"
	"io"
	"strings"

	"traplight/internal/demo"
	"traplight/internal/health"
	"traplight/internal/num/stats"
)

// setsTable prints, for each set of channels, the share of shown faults found and of
// healthy passes not clear: how much of a miss is what the log does not tell.
func (b *bench) setsTable(w io.Writer, with bool) {
	fmt.Fprintln(w, "by set of channels: found %, all kinds (95 %), healthy passes not clear")
	for _, set := range []string{"full", "medium", "poor"} {
		found, n := map[string]int{}, map[string]int{}
		for _, o := range b.outcomes {
			if o.set != set || o.change != "" || o.kind != "" && !o.visible {
				continue
			}
			v := o.without
			if with {
				v = o.with
			}
			grade, _, _ := strings.Cut(o.grade, " ")
			hit := v.found
			if o.kind == "" {
				grade, hit = "healthy", v.res.Verdict == health.Inspect || v.res.Verdict == health.StandDown
			}
			n[grade]++
			if hit {
				found[grade]++
			}
		}
		fmt.Fprintf(w, "  %-8s", set)
		for i := len(demo.Grades()) - 1; i >= 0; i-- {
			g := string(demo.Grades()[i])
			p := stats.Binomial(found[g], n[g])
			fmt.Fprintf(w, "  %s %d of %d = %.0f (%.0f to %.0f)", g, p.K, p.N, 100*p.P, 100*p.Low, 100*p.High)
		}
		fmt.Fprintf(w, "  healthy %d of %d\n", found["healthy"], n["healthy"])
	}
}
