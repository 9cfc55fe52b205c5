package dictionary

import (
	"fmt"
	"math"
	"slices"

	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// The sanity of single sensors, told in short phrases with times on the log's own
// clock. What is no reading (a stuck value, a spike) is left out of the trace.
const (
	// stuckOdds is how unlikely a run of equal readings must be by chance, given
	// how often the channel repeats itself elsewhere.
	stuckOdds = 1e-6
	// stuckTime is how long it must last, s.
	stuckTime = 0.3
	// noisyPrint is how many steps of its print a channel must usually move from
	// one reading to the next before its standing still means anything.
	noisyPrint = 2.5
	// dropPeriods and dropTime are how many periods, and how long, s, a channel
	// must be silent.
	dropPeriods, dropTime = 6, 0.25
	// spikeSpread is how far a lone sample must stand off both neighbours, in
	// robust standard deviations of such differences.
	spikeSpread = 25
	// mostTold is how many places are told for one sort of problem.
	mostTold = 3
)

// checkSensors looks at every channel by itself.
func checkSensors(set *Set) {
	moving := standstill(set)
	for i := range set.Channels {
		c := &set.Channels[i]
		if c.Trace.Len() < 20 || c.Quantity == quantity.Unknown {
			continue
		}
		if c.rhythm || !c.held {
			c.dropped(set.Clock)
		}
		c.constant()
		if isSensor(c.Quantity) {
			c.stuck(set.Clock, moving)
			c.saturated(set.Clock)
			c.spikes(set.Clock)
		}
	}
}

// standstill gives a function that says whether the car certainly moves at a
// time, s; where no speed is known it says yes.
func standstill(set *Set) func(float64) bool {
	var v *Channel
	for _, q := range []quantity.Name{quantity.GPSSpeed, quantity.VehicleSpeed, quantity.WheelSpeedFL, quantity.WheelSpeedRL} {
		if v = set.First(q); v != nil {
			break
		}
	}
	return func(t float64) bool {
		if v == nil {
			return true
		}
		x, ok := near(v.Trace, t, 0.3)
		return !ok || x > 1.5
	}
}

// stretch is a piece of a trace by index, to exclusive.
type stretch struct{ from, to int }

// isSensor says whether a quantity is measured by a sensor that has noise, rather
// than computed or set.
func isSensor(q quantity.Name) bool {
	switch q {
	case quantity.IgnitionAngle, quantity.InjectorDuty, quantity.BoostTarget, quantity.LambdaTarget, quantity.FuelTrim, quantity.Heading,
		quantity.PumpDuty, quantity.Humidity, quantity.Altitude, quantity.Time, quantity.FuelLevel, quantity.EthanolFraction:
		return false
	}
	return keepsRepeats(q) != keepAll
}

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
// shows one value.
func (c *Channel) stuck(clock trace.Clock, moving func(float64) bool) {
	v, t := c.Trace.V, c.Trace.T
	low, high := extremes(v)
	if low == high {
		return
	}
	steps := make([]float64, 0, len(v))
	for i := 1; i < len(v); i++ {
		if v[i] != low && v[i] != high {
			steps = append(steps, math.Abs(v[i]-v[i-1]))
		}
	}
	steps = thin(steps)
	slices.Sort(steps)
	if len(steps) < 50 || steps[len(steps)/2] < noisyPrint*c.Resolution {
		return
	}
	var runs []stretch
	again, pairs := 0, 0
	for i := 1; i <= len(v); {
		j := i
		for j < len(v) && v[j] == v[i-1] {
			j++
		}
		if run := j - i; run >= 4 && v[i-1] != low && v[i-1] != high {
			runs = append(runs, stretch{i, j})
		} else {
			again += run
		}
		if v[i-1] != low && v[i-1] != high {
			pairs += j - i + 1
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
		if odds < math.Log(stuckOdds) && t[r.to-1]-t[r.from-1] > stuckTime && moving(t[(r.from+r.to)/2]) {
			bad = append(bad, r)
		}
	}
	if len(bad) == 0 {
		return
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

func (c *Channel) rate() float64 { return max(c.RateHz, 0.01) }

// spikes finds lone samples that stand off both neighbours.
func (c *Channel) spikes(clock trace.Clock) {
	switch c.Quantity {
	case quantity.Knock, quantity.AccelerationLong, quantity.AccelerationLat, quantity.Lambda, quantity.YawRate, quantity.SteeringAngle, quantity.RideHeight:
		return
	}
	if c.RateHz < 5 {
		return
	}
	v, t := c.Trace.V, c.Trace.T
	off := make([]float64, 0, len(v))
	for i := 1; i+1 < len(v); i++ {
		off = append(off, math.Abs(v[i]-(v[i-1]+v[i+1])/2))
	}
	sd := max(spread(off), 2*c.Resolution)
	if sd == 0 {
		return
	}
	low, high := extremes(v)
	span := high - low
	var bad []stretch
	for i := 1; i+1 < len(v); i++ {
		near := math.Abs(v[i+1] - v[i-1])
		if off[i-1] > spikeSpread*sd && off[i-1] > 5*near && off[i-1] > 0.05*span {
			bad = append(bad, stretch{i, i + 1})
			i++
		}
	}
	if len(bad) == 0 || 50*len(bad) > len(v) {
		return
	}
	c.problem(fmt.Sprintf("%s, first at %.2f s", plural(len(bad), "spike", "spikes"), clock.Log(t[bad[0].from])))
	c.leaveOut(bad)
}

// dropped finds stretches without readings.
func (c *Channel) dropped(clock trace.Clock) {
	t := c.Trace.T
	limit := max(dropPeriods/c.rate(), dropTime)
	told := 0
	for i := 1; i < len(t); i++ {
		if t[i]-t[i-1] <= limit || c.gapOfRows(t[i-1], t[i]) {
			continue
		}
		if told++; told <= mostTold {
			c.problem(fmt.Sprintf("no readings from %.2f to %.2f s", clock.Log(t[i-1]), clock.Log(t[i])))
		}
	}
	if told > mostTold {
		c.problem(fmt.Sprintf("no readings in %d more places", told-mostTold))
	}
}

// gapOfRows says whether the rows themselves are missing between two times, s.
func (c *Channel) gapOfRows(from, to float64) bool {
	i, _ := slices.BinarySearch(c.rowTime, from)
	for ; i+1 < len(c.rowTime) && c.rowTime[i] < to; i++ {
		if c.rowTime[i+1]-c.rowTime[i] > 0.5*(to-from) {
			return true
		}
	}
	return false
}
