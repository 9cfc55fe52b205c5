package health

import (
	"math"

	"traplight/internal/quantity"
)

// A foot that comes off the pedal in the middle of a gear lets the boost fall as a shift
// does, and what was settled is so no more.

const (
	liftedBelow = 0.8 // throttle, 1, under which the foot is off
	liftedAfter = 0.4 // s into a gear; before that the closing is the shift's
	cutShort    = 0.3 // s for which nothing is in step after a cut
	openedAgain = 0.7 // s from where the throttle opens again until rotor and exhaust have caught up
)

// reopened counts the time in a gear from where the throttle opened again, if it was shut
// and open again within a driver's time: a plate that closes by itself is a fault, and the
// time in the gear goes on.
func (f *frame) reopened() {
	for i := 0; i < f.n; i++ {
		if !f.lifts(i, i) {
			continue
		}
		k, shut := i, 1.0
		for ; k < f.n && f.lifts(i, k); k++ {
			shut = min(shut, f.throttle[k])
		}
		if k < f.n && f.gear[k] == f.gear[i] && shut < 0.2 && float64(k-i)*cell < shiftLongest {
			for m := k; m < f.n && f.gear[m] == f.gear[i] && f.t[m] <= f.end; m++ {
				f.since[m], f.again[m] = f.t[m]-f.t[k], true
				f.full[m] = f.full[m] && f.since[m] > openedAgain
			}
		}
		i = k
	}
}

// lifts says that the foot is off in cell k of the gear of cell from, after its shift.
func (f *frame) lifts(from, k int) bool {
	return f.gear[k] > 0 && f.gear[k] == f.gear[from] && f.t[k] > f.launch && f.t[k] <= f.end &&
		f.throttle[k] < liftedBelow && f.since[k] > liftedAfter
}

// limited takes from full throttle the time on the rev limiter, and that in which
// electronics cut torque because the tyres spin: ignition or fuel is cut, and no relation
// of torque, mixture or exhaust holds. That there is either, and at which speed, the
// sheet says. An engine that runs away from the road to its limiter is judged: that is
// what a slipping clutch does.
func (f *frame) limited() {
	top := f.sheet.RevLimit
	const near = 0.99 // a limiter begins a little under its speed
	until := math.Inf(-1)
	for i, n := range f.speed {
		atTop := top > 0 && n > near*top && !f.runsAway(i)
		f.cut[i] = atTop && f.throttle[i] > 0.3
		if atTop || f.sheet.SlipCut && f.slip[i] > spinning {
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

// A wheel that turns this much faster than the road, 1, has broken loose from second gear
// on: the engine races through its speeds in a fraction of a second, faster than rotor,
// mixture and gauges follow, and no relation holds until it has come back for cutShort.
const brokenLoose = 0.3

// racing marks that time, in which nothing is judged, where a sensor on the driven wheels tells it
// from a clutch that slips.
func (f *frame) racing() {
	if driven, _ := f.wheels(); len(driven) == 0 && f.set.First(quantity.DrivenSpeed) == nil {
		return
	}
	until := math.Inf(-1)
	for i := range f.full {
		if f.gear[i] >= 2 && f.slip[i] > brokenLoose {
			until = f.t[i] + cutShort
		}
		if f.t[i] <= until {
			f.full[i], f.raced[i] = false, true
		}
	}
}

// runsAway says that the engine turns faster in cell i than the driven wheels ask for; where
// none is sensed, faster than tyres that do not spin do, from second gear on.
func (f *frame) runsAway(i int) bool {
	g, r := f.gear[i], f.sheet.TyreRadius.Value
	if g < 1 || g > len(f.sheet.Gears) || r <= 0 || !(f.v[i] > 15) {
		return false
	}
	tread := f.v[i]
	driven, _ := f.wheels()
	if len(driven) > 0 || f.set.First(quantity.DrivenSpeed) != nil {
		tread *= 1 + max(0, f.slip[i])
	} else if g == 1 {
		return false
	}
	return f.speed[i] > (1+spinning)*tread*f.sheet.Gears[g-1]*f.sheet.FinalDrive/r
}

// leastFull is the share of a pass at full throttle in gear under which it is a halting one: on
// 400 healthy passes of invented cars it is 0.59 at least, on a wet strip, on which the driver
// opens and closes again and again, 0.03 to 0.6, and no open log is under it (set by hand).
const leastFull = 0.55

// halts says that the driver hardly ever let the pass run: a row just after the throttle opened
// is like no row of a pass at full throttle, and no two such passes are alike. Such rows count as
// those of the launch do, and what warms is not judged: no balance of heat was seen so. An engine
// on its limiter with tyres that hold, or one that a slipping clutch lets run away, is no driver's doing.
func (f *frame) halts() bool {
	run, all := 0, 0
	for i, t := range f.t {
		if t > f.launch && t < f.end {
			all++
			if f.full[i] || f.cut[i] && !(f.slip[i] > spinning) || f.runsAway(i) {
				run++
			}
		}
	}
	return float64(run) < leastFull*float64(all)
}
