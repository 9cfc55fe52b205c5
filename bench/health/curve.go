package main

import (
	"fmt"
	"io"

	"traplight/internal/demo"
	"traplight/internal/num/stats"
)

// strengths are the alarms tried, natural logarithm of odds; the screen's own is 4.5.
var strengths = []float64{3, 4, 5, 6, 8, 12}

// curve prints, for each kind, the share of shown faults of all grades that would
// be found if the alarm were set elsewhere, beside the share of healthy passes
// that would raise one.
func (b *bench) curve(w io.Writer, with bool) {
	strength := func(o outcome) float64 {
		if with {
			return o.with.res.Strength
		}
		return o.without.res.Strength
	}
	count := func(in func(o outcome) bool, alarm float64) stats.Proportion {
		k, n := 0, 0
		for _, o := range b.outcomes {
			if o.change != "" || !in(o) {
				continue
			}
			n++
			if strength(o) >= alarm {
				k++
			}
		}
		return stats.Binomial(k, n)
	}
	row := func(name string, in func(o outcome) bool) {
		fmt.Fprintf(w, "  %-20s", name)
		for _, a := range strengths {
			p := count(in, a)
			fmt.Fprintf(w, "  %5.1f (%4.1f-%5.1f)", 100*p.P, 100*p.Low, 100*p.High)
		}
		fmt.Fprintln(w)
	}
	fmt.Fprint(w, "found %, all grades (95 %), were the alarm at")
	for _, a := range strengths {
		fmt.Fprintf(w, " %g", a)
	}
	fmt.Fprintln(w)
	row("healthy", func(o outcome) bool { return o.kind == "" })
	for _, k := range demo.Kinds() {
		in := func(o outcome) bool { return o.kind == string(k) && o.visible }
		if count(in, 0).N > 0 {
			row(string(k), in)
		}
	}
	row("all faults", func(o outcome) bool { return o.kind != "" && o.visible })
}
