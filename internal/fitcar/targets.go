package fitcar

import (
	"math"
	"slices"

	"traplight/internal/dictionary"
	"traplight/internal/pass"
	"traplight/internal/quantity"
)

// usualWithin is how far from the sheet's usual boost, share, a gear's boost may settle for the
// usual to be what was asked for all the same: a control settles a little beside its target.
const usualWithin = 0.1

// targets puts what the log shows of a pass without noted targets in place of the sheet's usual
// ones: its channel of the target, else where boost settled, if that is clearly elsewhere.
// A plan steps from what was run; the usual boost of a car that was run softly is no such thing.
func (o *Observation) targets(p *pass.Pass, set *dictionary.Set) {
	logged := set != nil && set.First(quantity.BoostTarget) != nil
	if !logged && len(o.Target) == 0 {
		return // where boost settled is found with the other passes
	}
	var run []RunGear
	for _, g := range p.Gears {
		if g.BoostTarget != nil {
			run = append(run, RunGear{g.Gear, g.End - g.Start, *g.BoostTarget})
		}
	}
	if t := RunTargets(o.Target, run, logged); t != nil {
		o.Target = t
	}
}

// RunGear is what a gear of a pass shows of its boost target.
type RunGear struct {
	Gear   int     // from 1
	Lasts  float64 // s
	Target float64 // Pa gauge, of the log's channel or where boost settled
}

// RunTargets are the boost targets, Pa gauge by gear, with which a pass without noted ones was
// run, where the sheet's usual ones are usual and gears show what they do; logged says that the log has
// the target itself. nil where no gear shows any.
func RunTargets(usual []float64, gears []RunGear, logged bool) []float64 {
	longest := map[int]float64{}
	var run []float64
	for _, g := range gears {
		if g.Gear < 1 || g.Lasts <= longest[g.Gear] {
			continue
		}
		longest[g.Gear] = g.Lasts
		for len(run) < g.Gear {
			run = append(run, math.NaN())
		}
		run[g.Gear-1] = g.Target
	}
	if len(run) == 0 {
		return nil
	}
	out := slices.Clone(usual)
	for g := range max(len(run), len(usual)) {
		was := math.NaN()
		if len(usual) > 0 {
			was = usual[min(g, len(usual)-1)]
		}
		now := was
		if g < len(run) && !math.IsNaN(run[g]) && (logged || !(math.Abs(run[g]-was) <= usualWithin*was)) {
			now = run[g]
		}
		if g < len(out) {
			out[g] = now
		} else {
			out = append(out, now)
		}
	}
	return filled(out)
}

// filled gives a gear without a target that of the gear before it, the first ones that of the
// next that has one.
func filled(x []float64) []float64 {
	for i := 1; i < len(x); i++ {
		if math.IsNaN(x[i]) {
			x[i] = x[i-1]
		}
	}
	for i := len(x) - 2; i >= 0; i-- {
		if math.IsNaN(x[i]) {
			x[i] = x[i+1]
		}
	}
	return x
}
