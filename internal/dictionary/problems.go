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
	// noisyWheel is the same for speeds: a car that moves gains or loses speed besides.
	noisyWheel = 1.5
	// coarseWheel and coarseTime are for speeds whose print is coarser: how many of its
	// steps they must usually move, how long they must then stand still, s, and how often
	// they must be read, Hz: one that is read once a second may well hold its speed.
	coarseWheel, coarseTime, coarseRate = 0.9, 1.0, 20.0
	// fewStill is how many equal readings running are the beginning of a standstill.
	fewStill = 4
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
			c.stepped(set.Clock, moving)
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
	c.problem(fmt.Sprintf("%s, first at %.2f s", quantity.Count(len(bad), "spike", "spikes"), clock.Log(t[bad[0].from])))
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
