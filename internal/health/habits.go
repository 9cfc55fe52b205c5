package health

import (
	"fmt"
	"slices"
)

// A rule of common practice asks for what most cars do. One that the car's own clear
// passes break as well is a habit of the car (a wastegate too small for the low targets,
// a filter that is tight, a mixture that its owner wants so): what would be new is told
// by the watches. Limits of the sheet, the rules that no engine survives, and gas in
// the coolant are never a habit.

// A habit is what so many clear passes at least, and so large a share of them, show.
const (
	habitPasses = 3
	habitShare  = 2.0 / 3
)

// canBeHabit says whether a breach may be one.
func (b *breach) canBeHabit() bool {
	return b.score == ofPractice && b.severity != Gross && b.kind != CoolantPressure
}

// habits is the kinds whose rules of common practice the pass breaks.
func (j *judge) habits() []Kind {
	var out []Kind
	for _, b := range j.anyEngine() {
		if b.canBeHabit() && !slices.Contains(out, b.kind) {
			out = append(out, b.kind)
		}
	}
	return out
}

// unusual leaves out what is a habit of the car, and says so.
func (j *judge) unusual(bs []breach) []breach {
	var out []breach
	for _, b := range bs {
		n := 0
		for _, s := range j.past {
			if slices.Contains(s.Practice, b.kind) {
				n++
			}
		}
		if b.canBeHabit() && n >= habitPasses && float64(n) >= habitShare*float64(len(j.past)) {
			j.doubts = append(j.doubts, fmt.Sprintf("whether it is right that %s: so it was on %d of the %d earlier clear passes too", b.text, n, len(j.past)))
			continue
		}
		out = append(out, b)
	}
	return out
}
