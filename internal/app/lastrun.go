package app

import (
	"cmp"
	"math"
	"slices"

	"traplight/internal/car"
	"traplight/internal/fitcar"
)

// ranPass is one pass of an analysis, by its log's file and its number in it, from 0.
type ranPass struct {
	file, sum string
	index     int
	hour      float64 // h, from any common origin; NaN where neither notes nor log date it
}

// ranPasses are the passes of an analysis in the order in which they were run, whether they
// teach anything or not. Where not all are dated, the order in which the logs were given
// stands.
func ranPasses(a *Analysis, notes *car.Notes) []ranPass {
	var out []ranPass
	undated := false
	for _, s := range a.Sources {
		for _, p := range s.Passes {
			r := ranPass{file: s.Log.File, sum: s.Log.SHA256, index: p.Index, hour: math.NaN()}
			if n := notes.For(s.Log.File, p.Index); n != nil && n.When != "" {
				r.hour = fitcar.Hours(n.When)
			}
			if math.IsNaN(r.hour) && s.Log.Start != "" {
				r.hour = fitcar.Hours(momentOf(s.Log.Start, 0))
			}
			undated = undated || math.IsNaN(r.hour)
			out = append(out, r)
		}
	}
	if !undated {
		slices.SortStableFunc(out, func(x, y ranPass) int {
			return cmp.Or(cmp.Compare(x.hour, y.hour), cmp.Compare(x.file, y.file), cmp.Compare(x.index, y.index))
		})
	}
	return out
}

// order puts the passes that teach in the order in which they were run, and gives those
// without a date of their own that of the run before them.
func (f *Fitted) order(a *Analysis, obs []*fitcar.Observation) {
	hour := 0.0
	place := map[ranPass]int{}
	for i, r := range ranPasses(a, f.Notes) {
		if !math.IsNaN(r.hour) {
			hour = r.hour
		}
		key := ranPass{file: r.file, index: r.index}
		place[key] = i
		for _, o := range obs {
			if o.File == r.file && o.Index == r.index {
				o.Hour = hour
			}
		}
	}
	at := func(o *fitcar.Observation) int { return place[ranPass{file: o.File, index: o.Index}] }
	slices.SortStableFunc(obs, func(x, y *fitcar.Observation) int { return cmp.Compare(at(x), at(y)) })
}
