package health

import "math"

// A foot that comes off the pedal in the middle of a gear lets the boost fall as a shift
// does, and what was settled is so no more.

const (
	liftedBelow = 0.8 // throttle, 1, under which the foot is off
	liftedAfter = 0.4 // s into a gear; before that the closing is the shift's
	cutShort    = 0.3 // s for which nothing is in step after a cut
)

// reopened counts the time in a gear from where the throttle opened again.
func (f *frame) reopened() {
	at := nan()
	for i, g := range f.gear {
		switch {
		case g < 1 || i > 0 && f.gear[i-1] != g || f.t[i] > f.end:
			at = nan()
		case f.t[i] > f.launch && f.throttle[i] < liftedBelow && (f.since[i] > liftedAfter || !math.IsNaN(at)):
			at = f.t[i]
		}
		if !math.IsNaN(at) {
			f.since[i] = f.t[i] - at
			if f.since[i] < 0.25 {
				f.full[i] = false
			}
		}
	}
}

// limited takes from full throttle the time on the rev limiter, and that in which
// electronics cut torque because the tyres spin: ignition or fuel is cut, and no relation
// of torque, mixture or exhaust holds. That there is either, and at which speed, the
// sheet says.
func (f *frame) limited() {
	top := f.sheet.RevLimit
	const near = 0.99 // a limiter begins a little under its speed
	until := math.Inf(-1)
	for i, n := range f.speed {
		if top > 0 && n > near*top || f.sheet.SlipCut && f.slip[i] > spinning {
			until = f.t[i] + cutShort
			for k := max(0, i-3); k < i; k++ {
				f.full[k] = false
			}
		}
		if f.t[i] <= until {
			f.full[i] = false
		}
	}
}
