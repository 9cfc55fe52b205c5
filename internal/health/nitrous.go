package health

import (
	"slices"

	"traplight/internal/quantity"
)

const (
	// nitrousBelow is how far under its target boost is, Pa, where nitrous may flow.
	nitrousBelow = 15e3
	// nitrousAfter is how long after a shift it helps the boost back, s.
	nitrousAfter = 2.0
)

// supposeNitrous marks, where no channel tells when nitrous flowed, the times at which
// it may have: boost well under its target. After a shift it comes at once, where the
// crew says that it was on. In first gear it waits for the clutch and for traction, as
// long as the boost does, and nobody knows whether it flowed; nor where the sheet has
// nitrous and nobody said that it was off. Such times are left out.
func (f *frame) supposeNitrous() {
	if f.set.First(quantity.Nitrous) != nil {
		return
	}
	told, fitted := f.note != nil && f.note.Nitrous != nil, f.sheet.Nitrous.Flow > 0
	if told && !*f.note.Nitrous || !told && !fitted {
		return
	}
	f.nitrous = make([]float64, f.n)
	for i, g := range f.gear {
		if g < 1 || !(f.throttle[i] > 0.9 && f.boost[i] < f.target[i]-nitrousBelow) {
			continue
		}
		if gs := f.sheet.Nitrous.Gears; len(gs) > 0 && !slices.Contains(gs, g) {
			continue
		}
		switch {
		case g > 1 && f.since[i] >= nitrousAfter:
		case told && g > 1:
			f.nitrous[i] = 1
		case !fitted && f.since[i] < nitrousAfter:
			f.nitrous[i] = 1
		case fitted:
			f.leaveOut(i)
		}
	}
}

// leaveOutSwitching marks the times just after nitrous comes or goes.
func (f *frame) leaveOutSwitching() {
	for i := 1; i < f.n; i++ {
		if (f.nitrous[i] > 0.5) != (f.nitrous[i-1] > 0.5) {
			f.leaveOut(i)
		}
	}
}

// leaveOut marks a cell at which nitrous may come or go, and those about it in which
// nothing is in step.
func (f *frame) leaveOut(i int) {
	if f.switching == nil {
		f.switching = make([]bool, f.n)
	}
	for k := max(0, i-3); k < min(f.n, i+20); k++ {
		f.switching[k] = true
	}
}
