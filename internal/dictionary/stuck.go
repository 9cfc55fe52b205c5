package dictionary

import (
	"fmt"
	"math"

	"traplight/internal/num/stats"
	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// constant finds a channel that should move and never does.
func (c *Channel) constant() {
	v, t := c.Trace.V, c.Trace.T
	if low, high := extremes(v); low != high || t[len(t)-1]-t[0] < 5 || mayRest(c.Quantity, v[0]) || !isSensor(c.Quantity) {
		return
	}
	switch c.Quantity {
	case quantity.BarometricPressure, quantity.AmbientTemperature, quantity.TyreTemperature, quantity.TyrePressure, quantity.BottlePressure,
		quantity.Latitude, quantity.Longitude, quantity.GearboxTemperature, quantity.FuelTemperature, quantity.CoolerWaterTemperature:
		return
	}
	c.problem("never changes")
	c.Confidence *= 0.6
}

// stuck finds stretches in which a channel whose noise is well above its print
// shows one value. At its least it may rest, and at its greatest if that can be an end: a
// wheel that stuck while the car gained speed shows its greatest ever after.
func (c *Channel) stuck(clock trace.Clock, moving func(float64) bool) {
	v, t := c.Trace.V, c.Trace.T
	low, high := extremes(v)
	if low == high {
		return
	}
	ends := func(x float64) bool { return x == low || x == high && c.mayEnd() }
	steps := make([]float64, 0, len(v))
	for i, still := 1, 0; i < len(v); i++ {
		if still++; v[i] != v[i-1] {
			still = 0
		}
		if !ends(v[i]) && still < fewStill { // a channel that sticks for half the log is no less noisy for it
			steps = append(steps, math.Abs(v[i]-v[i-1]))
		}
	}
	least := noisyPrint
	if quantity.DimensionOf(c.Quantity) == quantity.DimSpeed {
		least = noisyWheel
	}
	if steps = thin(steps); len(steps) < 50 {
		return
	}
	lasting, usual := stuckTime, stats.Select(steps, len(steps)/2)
	if usual < least*c.Resolution {
		// A speed at a coarser print that does change from reading to reading: for longer.
		if least != noisyWheel || c.RateHz < coarseRate || usual < coarseWheel*c.Resolution {
			return
		}
		lasting = coarseTime
	}
	var runs []stretch
	again, pairs := 0, 0
	for i := 1; i <= len(v); {
		j := i
		for j < len(v) && v[j] == v[i-1] {
			j++
		}
		if run := j - i; !ends(v[i-1]) {
			if pairs += run + 1; run >= fewStill {
				runs = append(runs, stretch{i, j})
			} else {
				again += run
			}
		}
		i = j + 1
	}
	for _, r := range runs {
		pairs -= r.to - r.from
	}
	p := (float64(again) + 1) / (float64(max(pairs, again)) + 2)
	if p > 0.3 {
		return
	}
	var bad []stretch
	for _, r := range runs {
		n := r.to - r.from
		odds := math.Log(float64(len(v))) + float64(n)*math.Log(p)
		if odds < math.Log(stuckOdds) && t[r.to-1]-t[r.from-1] > lasting && moving(t[(r.from+r.to)/2]) {
			bad = append(bad, r)
		}
	}
	if len(bad) == 0 {
		return
	}
	for _, r := range bad {
		c.Stuck = append(c.Stuck, Span{t[r.from-1], t[r.to-1]})
	}
	for k, r := range bad {
		if k == mostTold {
			c.problem(fmt.Sprintf("stuck in %d more places", len(bad)-k))
			break
		}
		if r.to == len(v) {
			c.problem(fmt.Sprintf("stuck from %.2f s", clock.Log(t[r.from-1])))
		} else {
			c.problem(fmt.Sprintf("stuck from %.2f to %.2f s", clock.Log(t[r.from-1]), clock.Log(t[r.to-1])))
		}
	}
	c.leaveOut(bad)
}

// mayEnd says whether readings may lie still at their greatest while all is well: a rail
// of the sensor, an open throttle, a full duty; speeds have no such end.
func (c *Channel) mayEnd() bool { return quantity.DimensionOf(c.Quantity) != quantity.DimSpeed }

// extremes are the smallest and the greatest of readings, none of which is NaN.
func extremes(v []float64) (low, high float64) {
	low, high = v[0], v[0]
	for _, x := range v {
		if x < low {
			low = x
		} else if x > high {
			high = x
		}
	}
	return low, high
}

// mayRest says whether a constant value is a natural rest of the quantity.
func mayRest(q quantity.Name, v float64) bool {
	switch quantity.DimensionOf(q) {
	case quantity.DimShare, quantity.DimSpeed, quantity.DimMassFlow, quantity.DimVolumeFlow, quantity.DimNumber:
		return v == 0 || q == quantity.Gear
	}
	return false
}

// leaveOut takes stretches out of the trace.
func (c *Channel) leaveOut(bad []stretch) {
	var x trace.Trace
	at := 0
	for _, r := range append(bad, stretch{c.Trace.Len(), c.Trace.Len()}) {
		x.T = append(x.T, c.Trace.T[at:r.from]...)
		x.V = append(x.V, c.Trace.V[at:r.from]...)
		at = r.to
	}
	c.Trace = x
}

// railed lists quantities whose sensors end at a rail while the thing goes on.
func railed(q quantity.Name) bool {
	switch q {
	case quantity.ManifoldPressure, quantity.ExhaustPressure, quantity.CompressorOutletPressure, quantity.FuelPressure, quantity.OilPressure,
		quantity.ExhaustTemperature, quantity.Knock, quantity.AccelerationLong, quantity.AccelerationLat, quantity.TurboSpeed, quantity.BrakePressure:
		return true
	}
	return false
}

// saturated finds a sensor that lies at its greatest value while others of its
// readings are never still.
func (c *Channel) saturated(clock trace.Clock) {
	if !railed(c.Quantity) {
		return
	}
	v, t := c.Trace.V, c.Trace.T
	_, high := extremes(v)
	again := 0
	for i := 1; i < len(v); i++ {
		if v[i] == v[i-1] && v[i] != high {
			again++
		}
	}
	if 5*again > 2*len(v) {
		return
	}
	longest, total, first := 0, 0, -1
	for i := 0; i < len(v); {
		j := i
		for j < len(v) && v[j] == high {
			j++
		}
		if n := j - i; n >= 6 {
			total += n
			if n > longest {
				longest = n
			}
			if first < 0 {
				first = i
			}
		}
		i = max(j, i+1)
	}
	if longest >= 6 && float64(longest)/c.rate() > 0.1 {
		u, _ := quantity.ParseUnit(c.Unit)
		shown := high
		if u.Factor != 0 {
			shown = u.Of(high)
		}
		c.problem(fmt.Sprintf("saturated at %.4g for %.2f s, first at %.2f s", shown, float64(total)/c.rate(), clock.Log(t[first])))
	}
}
