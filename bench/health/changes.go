package main

import (
	"fmt"
	"io"
	"math"
	"math/rand/v2"

	"traplight/internal/demo"
	"traplight/internal/health"
	"traplight/internal/num/stats"
)

// changed are healthy passes after something was changed that is no fault.
var changed = []struct {
	name  string
	apply func(g *garage, o *demo.PassOptions, r *rand.Rand)
}{
	{"boost raised by 12 %", func(_ *garage, o *demo.PassOptions, _ *rand.Rand) {
		for i, v := range o.Settings.Boost {
			o.Settings.Boost[i] = math.Round(v*1.12/1e3) * 1e3
		}
	}},
	{"shifts 300 rpm earlier", func(_ *garage, o *demo.PassOptions, _ *rand.Rand) {
		for i := range o.Settings.ShiftSpeed {
			o.Settings.ShiftSpeed[i] -= 300 * math.Pi / 30
		}
	}},
	{"a hot day, 38 °C", func(_ *garage, o *demo.PassOptions, _ *rand.Rand) { o.Weather.AirTemp = 311 }},
	{"a cold day, 4 °C", func(_ *garage, o *demo.PassOptions, _ *rand.Rand) { o.Weather.AirTemp = 277 }},
	{"every sensor new", func(g *garage, o *demo.PassOptions, r *rand.Rand) { o.DaySeed = g.rig + 1 + uint64(r.IntN(1000)) }},
	{"another recorder", func(_ *garage, o *demo.PassOptions, r *rand.Rand) {
		d := demo.Dialects()[r.IntN(len(demo.Dialects()))]
		o.Dialect = &d
	}},
	{"25 kg more on board", func(_ *garage, o *demo.PassOptions, _ *rand.Rand) { o.Settings.MassAdd = 25 }},
}

// changes prints how often a healthy pass after a change is not clear.
func (b *bench) changesTable(w io.Writer) {
	if b.changes == 0 {
		return
	}
	fmt.Fprintln(w, "healthy passes after a change, with history: not clear, and how the first finding was named")
	for _, c := range changed {
		n, bad := 0, 0
		named := map[string]int{}
		for _, o := range b.outcomes {
			if o.kind != "" || o.grade != c.name {
				continue
			}
			n++
			if o.with.res.Verdict != health.Clear {
				bad++
				if len(o.with.res.Findings) > 0 {
					named[string(o.with.res.Findings[0].Kind)]++
				}
			}
		}
		p := stats.Binomial(bad, n)
		fmt.Fprintf(w, "  %-24s %d of %d (95 %%: %.1f to %.1f %%) %v\n", c.name, bad, n, 100*p.Low, 100*p.High, named)
	}
	fmt.Fprintln(w)
}
