package health

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"traplight/internal/num/stats"
	"traplight/internal/quantity"
)

// A wastegate holds no less boost than its spring, or than what its bore lets past: on many a
// car the targets of the low gears lie under that. Whether it opens all the way a first pass
// cannot tell from one that is too small, and an engine that is given less boost there than in
// its upper gears takes no harm: such gears are said, and not judged. Set by hand.
const (
	unheldOver  = 1.15 // of its target that boost is over at least, and by
	unheldMore  = 10e3 // Pa besides
	unheldUnder = 0.95 // of what a gear that holds its target is given, which boost stays under
	heldWithin  = 0.05 // of its target within which boost is held, or
	heldPa      = 5e3  // Pa
	heldFor     = 0.5  // s of that from which a gear did hold it: what comes after is a fault
	unheldAfter = 1.2  // s in the gear
	unheldCells = 25   // least of a gear
)

// unheldGears are the gears whose targets the wastegate does not hold while it does higher
// ones; what boost they had and were to have, Pa gauge, medians.
func (f *frame) unheldGears() (gears []int, had, asked []float64) {
	held := func(i int) bool {
		return f.full[i] && math.Abs(f.boost[i]-f.target[i]) <= max(heldWithin*f.target[i], heldPa)
	}
	type gear struct {
		n           int
		had, asked  float64
		holds, over bool
	}
	var all []gear
	top := 0.0
	for n := 1; n <= slices.Max(append(f.gear[:len(f.gear):len(f.gear)], 0)); n++ {
		var b, t []float64
		for i := range f.t {
			if f.gear[i] == n && f.full[i] && f.since[i] > unheldAfter && f.boost[i] == f.boost[i] && f.target[i] == f.target[i] {
				b, t = append(b, f.boost[i]), append(t, f.target[i])
			}
		}
		if len(b) < unheldCells {
			continue
		}
		g := gear{n: n, had: stats.Median(b), asked: stats.Median(t)}
		g.holds = math.Abs(g.had-g.asked) <= max(heldWithin*g.asked, heldPa)
		_, was := f.lasting(heldFor, func(i int) bool { return f.gear[i] == n && held(i) })
		g.over = g.had > unheldOver*g.asked+unheldMore && !was
		if g.holds {
			top = max(top, g.asked)
		}
		all = append(all, g)
	}
	for _, g := range all {
		if g.over && g.had < unheldUnder*top {
			gears, had, asked = append(gears, g.n), append(had, g.had), append(asked, g.asked)
		}
	}
	return gears, had, asked
}

// unjudgedGears are those of them that are said, and not judged: on a first pass, and as long as
// the few earlier clear passes all had boost over its target too and are no habit yet; what
// would be new is told by the watches.
func (j *judge) unjudgedGears() (gears []int, had, asked []float64) {
	if !j.alone && (len(j.past) == 0 || len(j.past) >= habitPasses) {
		return nil, nil, nil
	}
	for _, s := range j.past {
		if !slices.Contains(s.Practice, Overboost) {
			return nil, nil, nil
		}
	}
	return j.unheldGears()
}

// unheldText says them; "" for none.
func (j *judge) unheldText() string {
	gears, had, asked := j.unjudgedGears()
	if len(gears) == 0 {
		return ""
	}
	w := j.opts.Units
	var parts []string
	for k, g := range gears {
		parts = append(parts, fmt.Sprintf("%s where %s is asked for in %s gear", w.Pressure(had[k]), w.Pressure(asked[k]), ordinal[min(g, len(ordinal)-1)]))
	}
	return "boost over its target in low gears: " + strings.Join(parts, ", ") + "; higher targets are held, so the wastegate's spring or bore gives no less, or it does not open all the way: " + j.soFar()
}

// soFar says why that cannot be told.
func (j *judge) soFar() string {
	if j.alone {
		return "a first pass cannot tell which"
	}
	return "so it was on every earlier clear pass"
}

// whereHeld leaves the cells of gears that the wastegate does not hold out of a first pass's mask.
func (f *frame) whereHeld(mask []bool) []bool {
	if !f.alone {
		return mask
	}
	gears, _, _ := f.unheldGears()
	if len(gears) == 0 || f.set.First(quantity.ManifoldPressure) == nil {
		return mask
	}
	return f.mask(func(i int) bool { return mask[i] && !slices.Contains(gears, f.gear[i]) })
}
