package health

import (
	"math"
	"slices"

	"traplight/internal/dictionary"
	"traplight/internal/num/stats"
)

// sensorFits tests the thought that one sensor reads wrong, in numbers: the
// sensor's readings are altered from the disturbance on, as much as explains the
// main watch, every watch is worked out again, and what then would have been seen
// is compared with what was. The result is a natural logarithm of odds: positive
// when the rest agrees with a sensor that reads wrong, negative when watches that
// share the sensor did not move as they must. Zero when only one watch reads it.
func (j *judge) sensorFits(c *candidate) float64 {
	if c.main.rows == nil {
		return 0
	}
	// A watch may read several sensors of a kind: any one of them may be it.
	best, any := math.Inf(-1), false
	for _, ch := range j.channelsOf(c) {
		key := fitKey{ch, c.main, c.sign}
		v, ok := j.fits[key]
		if !ok {
			v = j.sensorFit(c, ch)
			if j.fits == nil {
				j.fits = map[fitKey]float64{}
			}
			j.fits[key] = v
		}
		if !any || v > best {
			best, any, c.doubted = v, true, ch
		}
	}
	if !any {
		return 0
	}
	return best
}

// fitKey names one test of a sensor.
type fitKey struct {
	ch   *dictionary.Channel
	main *observation
	sign float64
}

func (j *judge) sensorFit(c *candidate, ch *dictionary.Channel) float64 {
	main := c.main
	at := main.rows.T[main.hit.At] - block*cell/2
	// A first alteration by a hundredth of the channel's range finds the scale.
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, v := range ch.Trace.V {
		lo, hi = min(lo, v), max(hi, v)
	}
	delta := c.sign * 0.02 * max(hi-lo, 1e-6*math.Abs(hi))
	if delta == 0 {
		return 0
	}
	var one map[string]*look
	factor := 1.0
	for range 3 {
		one = j.altered(ch, at, main.hit.Shape, delta)
		unit, ok := j.effect(one, main, main)
		if !ok || math.Abs(unit) < 1e-12 {
			return -3
		}
		factor = main.hit.Size / unit
		if factor <= 0 {
			return -10 // reading wrong that way moves the watch the other way
		}
		if factor > 0.5 && factor < 2 {
			break // near enough to be linear
		}
		delta *= min(factor, 20)
	}
	score := 0.0
	for _, o := range j.obs {
		if o == main || o.whole || o.rows == nil {
			continue
		}
		want, ok := j.effect(one, o, main)
		if !ok {
			continue
		}
		want *= factor
		h, ok := o.sizeAt(main)
		if !ok {
			continue
		}
		sd := h.SD * o.model.excess
		if math.Abs(want) < 2*sd {
			continue // would not be seen
		}
		// Against no movement, with some slack in the prediction.
		slack := 0.15 * want
		miss := (h.Size - want) * (h.Size - want) / (sd*sd + slack*slack)
		none := h.Size * h.Size / (sd * sd)
		gain := max(-12, min(3, (none-miss)/2))
		if within(o.channels, main.channels) {
			gain = min(gain, 0) // the same reading once more: that it agrees says nothing
		}
		score += gain
	}
	return max(-40, min(8, score+j.released(main)))
}

// within says that all of a are among b.
func within(a, b []string) bool {
	for _, x := range a {
		if !slices.Contains(b, x) {
			return false
		}
	}
	return true
}

// released asks whether a reading that was off under load comes back when the
// load is gone: what the engine does goes with the load, a wrong sensor stays
// wrong. Only for pressures that follow the load at once; a natural logarithm of
// odds for the sensor.
func (j *judge) released(o *observation) float64 {
	if o.id != "fuel over manifold" && o.id != "crankcase pressure" || o.hit.Shape.Last > 0 {
		return 0
	}
	var before, after []float64
	coef := o.expected()
	for i, t := range j.t {
		if math.IsNaN(o.y[i]) || j.throttle[i] > 0.1 || math.Abs(j.boostRate[i]) > 20e3 {
			continue
		}
		e := o.y[i] - o.predict(coef, i)
		switch {
		case math.IsNaN(e):
		case t < j.launch-1:
			before = append(before, e)
		case t > j.end+1:
			after = append(after, e)
		}
	}
	if len(before) < 25 || len(after) < 25 {
		return 0
	}
	switch r := (stats.Median(after) - stats.Median(before)) / o.hit.Size; {
	case r > 0.5:
		return 3
	case r < 0.25:
		return -3
	}
	return 0
}

// channelsOf finds the channels that a sensor candidate means: those that the main
// watch reads.
func (j *judge) channelsOf(c *candidate) (out []*dictionary.Channel) {
	for _, name := range c.main.channels {
		for i := range j.set.Channels {
			ch := &j.set.Channels[i]
			if ch.Name == name && ch.Trace.Len() > 0 && sensorGroup(string(ch.Quantity)) == c.channel {
				out = append(out, ch)
			}
		}
	}
	return out
}

// sensorGroup maps a quantity to its key in sensorSigns.
func sensorGroup(q string) string {
	switch q {
	case "wheel_speed_fl", "wheel_speed_fr", "wheel_speed_rl", "wheel_speed_rr", "driven_speed":
		return "wheel_speed"
	case "intake_temperature":
		return "charge_temperature"
	case "fuel_volume_flow":
		return "fuel_flow"
	}
	return q
}

// effect is the size that the alteration gives a watch, in the shape and at the
// place of the main disturbance.
func (j *judge) effect(alt map[string]*look, o, main *observation) (float64, bool) {
	l := alt[o.id]
	if l == nil || l.rows.len() < 4 {
		return 0, false
	}
	if l.same && !o.part {
		_, ok := o.sizeAt(main)
		return 0, ok
	}
	a := *o
	if l = o.likewise(l); l.rows.len() < 4 {
		return 0, false
	}
	if o.reach != nil {
		l = l.reaching(l.on, o.reach)
	}
	c := *l
	c.rows = l.rows.centred(o.model.center)
	a.look = &c
	changed, ok := a.sizeAt(main)
	if !ok {
		return 0, false
	}
	before, ok := o.sizeAt(main)
	return changed.Size - before.Size, ok
}

// sizeAt is the size of a watch's departure in the shape and at the time of
// another watch's disturbance.
func (o *observation) sizeAt(main *observation) (h hitSize, ok bool) {
	t := main.rows.T[main.hit.At]
	at := -1
	for i, x := range o.rows.T {
		if x >= t-block*cell {
			at = i
			break
		}
	}
	if main.hit.At == 0 {
		at = 0
	}
	if at < 0 {
		return h, false
	}
	k, fine := o.ready()
	if !fine {
		return h, false
	}
	s := main.hit.Shape
	s.ByLoad = false
	x, ok := k.At(s, at)
	return hitSize{x.Size, x.SD}, ok
}

type hitSize struct{ Size, SD float64 }
