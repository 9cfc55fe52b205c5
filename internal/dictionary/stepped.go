package dictionary

import (
	"fmt"
	"math"

	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// inert says of what has mass, or is read through a sensor that has, by how much its
// reading can at most step from one sample to the next.
type inert struct {
	least  float64 // SI unit of the quantity, below which nothing is said
	share  float64 // 1, of the reading, likewise
	rate   float64 // SI unit a second that torque can bring, likewise times the samples' distance; 0 none
	within float64 // s, the longest time between two samples for which that holds
	rests  float64 // SI unit, under which a reading may come or go at once: a wheel sensor's dead zone
}

// inertia lists what cannot step. A shift of the whole reading between two samples is
// more than any torque on a wheel, a rotor or a crankshaft does, and more than the
// heat of a fluid or the lag of a thermometer lets through; common practice, no source.
func inertia(q quantity.Name) (inert, bool) {
	switch q {
	case quantity.CoolantTemperature, quantity.OilTemperature, quantity.GearboxTemperature, quantity.FuelTemperature, quantity.CoolerWaterTemperature:
		return inert{least: 4, within: 0.6}, true
	case quantity.IntakeTemperature, quantity.ChargeTemperature, quantity.CompressorOutletTemperature:
		return inert{least: 4, within: 0.25}, true
	case quantity.ExhaustTemperature:
		return inert{least: 60, within: 0.12}, true
	case quantity.TurboSpeed:
		return inert{least: 300, share: 0.06, within: 0.06}, true
	case quantity.VehicleSpeed, quantity.GPSSpeed:
		return inert{least: 2, share: 0.05, within: 0.11, rests: 6}, true
	case quantity.WheelSpeedFL, quantity.WheelSpeedFR, quantity.WheelSpeedRL, quantity.WheelSpeedRR, quantity.DrivenSpeed:
		return inert{least: 2, share: 0.05, within: clutchIn, rests: 6}, true
	case quantity.EngineSpeed:
		return inert{least: 20, share: 0.06, rate: engineRate, within: clutchIn, rests: 60}, true
	}
	return inert{}, false
}

// clutchIn is a time, s, in which a closing clutch does not yet draw an engine down to the next
// gear, nor wheels that spin find grip: some hundredths suffice for the whole of either, so that
// slower logs show each change of gear as one step (1.5 kN m on 0.12 kg m² are 12 rad/s a
// millisecond, and the engine falls by 150 to 250).
const clutchIn = 0.025

// engineRate is what torque can do to a bare engine between two samples, rad/s²: a dog that
// engages or a clutch (twice 1.5 kN m on 0.12 kg m², both from memory).
const engineRate = 25e3

const (
	// aroundStep is how many differences on either side a step is held against.
	aroundStep = 6
	// loneStep is how many times the largest of them it must be: what a lag lets
	// through is followed by more of it.
	loneStep = 5.0
	// steppedBack is the share of a step that must come back at once for the stretch
	// behind it to end.
	steppedBack = 0.5
)

// stepped finds readings that shift as a whole between two samples, though what they
// measure cannot, and leaves out what is behind the shift until it comes back at once;
// before the car has moved, what is ahead of it.
func (c *Channel) stepped(clock trace.Clock, moving func(float64) bool) {
	limit, ok := inertia(c.Quantity)
	if !ok {
		return
	}
	v, t := c.Trace.V, c.Trace.T
	var at []int // steps, by the first sample behind
	for i := aroundStep + 1; i+aroundStep < len(v); i++ {
		if c.stepsAt(i, limit) {
			at = append(at, i)
		}
	}
	var bad []stretch
	for k := 0; k < len(at); k++ {
		i := at[k]
		if !moving(t[i-1] - 0.3) { // the speed itself may be what steps
			bad = append(bad, stretch{0, i})
			continue
		}
		size, end := v[i]-v[i-1], len(v)
		for k+1 < len(at) {
			k++
			if back := v[at[k]] - v[at[k]-1]; -back/size > steppedBack {
				end = at[k]
				break
			}
		}
		if c.Quantity == quantity.GPSSpeed && end == len(v) {
			// What was ahead of the step may be what is wrong: reconstruct asks what turns with the tyres.
			c.Stepped = append(c.Stepped, Span{t[i], t[c.rightAgain(i, end, limit)-1]})
			c.problem(fmt.Sprintf("steps at %.2f s as nothing with its inertia can", clock.Log(t[i])))
			continue
		}
		bad = append(bad, stretch{i, c.rightAgain(i, end, limit)})
	}
	if len(bad) == 0 || len(bad) > mostTold {
		return // a reading that steps all the time is no reading that stepped
	}
	for i, r := range bad {
		if i > 0 && r.from == 0 {
			bad = bad[i:] // the later one covers those before
		}
	}
	for _, r := range bad {
		if r.from > 0 {
			c.Stepped = append(c.Stepped, Span{t[r.from], t[r.to-1]})
			c.problem(fmt.Sprintf("steps at %.2f s as nothing with its inertia can", clock.Log(t[r.from])))
		}
	}
	c.leaveOut(bad)
}

// rightAgain is the first sample behind a step at i that may be believed, end at the
// latest: a speed that has come to rest counts from nothing again, and a receiver has
// found its satellites anew within reflected seconds; what it then still reads wrongly the
// motion's weights tell.
func (c *Channel) rightAgain(i, end int, limit inert) int {
	if limit.rests == 0 {
		return end
	}
	t, v := c.Trace.T, c.Trace.V
	for k := i; k < end; k++ {
		if math.Abs(v[k]) < standsStill && v[i] > limit.rests || c.Quantity == quantity.GPSSpeed && t[k] > t[i]+reflected {
			return k
		}
	}
	return end
}

const (
	standsStill = 0.3 // of a speed in m/s or rad/s, below which it says that nothing moves
	reflected   = 4.0 // s, that a receiver may stay wrong behind a step
)

// stepsAt says whether the reading shifts as a whole before sample i.
func (c *Channel) stepsAt(i int, limit inert) bool {
	v, t := c.Trace.V, c.Trace.T
	d := math.Abs(v[i] - v[i-1])
	if d < max(limit.least, limit.share*math.Abs(v[i-1]), limit.rate*(t[i]-t[i-1]), 4*c.Resolution) || t[i]-t[i-1] > min(limit.within, 2.5/c.rate()) {
		return false
	}
	if limit.rests > 0 && (v[i-1] < limit.rests || v[i] < limit.rests && v[i] > 0.2*v[i-1]) {
		return false
	}
	most := c.Resolution
	for k := i - aroundStep; k <= i+aroundStep; k++ {
		if k != i {
			most = max(most, math.Abs(v[k]-v[k-1]))
		}
	}
	return d > loneStep*most
}
