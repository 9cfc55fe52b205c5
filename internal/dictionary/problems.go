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

// spikes finds lone samples that stand off both neighbours, and looks again where some
// were found: spikes that stand close hide one another.
func (c *Channel) spikes(clock trace.Clock) {
	switch c.Quantity {
	case quantity.Knock, quantity.AccelerationLat, quantity.Lambda, quantity.YawRate, quantity.SteeringAngle, quantity.RideHeight:
		return
	}
	if c.RateHz < 5 {
		return
	}
	var bad []int
	at := make([]int, c.Trace.Len()) // of what is left
	for i := range at {
		at[i] = i
	}
	for range 3 {
		found := lone(c.Trace, at, 2*c.Resolution)
		if len(found) == 0 {
			break
		}
		bad = append(bad, found...)
		at = slices.DeleteFunc(at, func(i int) bool { _, is := slices.BinarySearch(found, i); return is })
	}
	if len(bad) == 0 || c.mostSpikes()*len(bad) > c.Trace.Len() {
		return
	}
	slices.Sort(bad)
	c.problem(fmt.Sprintf("%s, first at %.2f s", quantity.Count(len(bad), "spike", "spikes"), clock.Log(c.Trace.T[bad[0]])))
	out := make([]stretch, len(bad))
	for k, i := range bad {
		out[k] = stretch{i, i + 1}
		c.Spikes = append(c.Spikes, c.Trace.T[i])
	}
	c.leaveOut(out)
}

// mostSpikes is of how many readings one may be a spike: what turns or holds a fluid has
// so much inertia that no lone reading off its neighbours can be true.
func (c *Channel) mostSpikes() int {
	if isSpeed(c.Quantity) || c.Quantity == quantity.EngineSpeed || c.Quantity == quantity.TurboSpeed || c.Quantity == quantity.AccelerationLong {
		return 8
	}
	return 50
}

// lone finds, among the samples at some places, those that stand off both neighbours;
// least is the least standard deviation of such differences.
func lone(x trace.Trace, at []int, least float64) []int {
	n := len(at)
	if n < 20 {
		return nil
	}
	off, values := make([]float64, 0, n), make([]float64, 0, n)
	for k, i := range at {
		values = append(values, x.V[i])
		if k > 0 && k+1 < n {
			off = append(off, math.Abs(x.V[i]-(x.V[at[k-1]]+x.V[at[k+1]])/2))
		}
	}
	sd := max(spread(off), least)
	if sd == 0 {
		return nil
	}
	low, high := extremes(values)
	var bad []int
	for k := 1; k+1 < n; k++ {
		near := math.Abs(x.V[at[k+1]] - x.V[at[k-1]])
		if off[k-1] > spikeSpread*sd && off[k-1] > 5*near && off[k-1] > 0.05*(high-low) {
			bad = append(bad, at[k])
			k++
		}
	}
	return bad
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
