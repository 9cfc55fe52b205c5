package dictionary

import (
	"fmt"
	"math"

	"traplight/internal/num/stats"
	"traplight/internal/quantity"
)

// Pressures of fuel, coolant and oil are gauge pressures by habit. A recorder that counts
// them from vacuum, in a unit that does not say so, is found out by physics: a regulator
// holds fuel a known step over the manifold; coolant below its boiling point stands far
// below what a cap lets off (common practice, no source: 90 to 140 kPa); an engine at rest
// makes no oil pressure. What is found of one holds for those that nothing tells of.

const (
	baseNear    = 25 * kPa  // how near the step of the regulator must be met
	baseFar     = 60 * kPa  // how far the other reading of it must be off
	stepSteady  = 60 * kPa  // between the quartiles of fuel over manifold pressure
	coldCap     = 88 * kPa  // coolant over the barometer that is not met standing below 95 °C
	surelyGauge = 60 * kPa  // less than any barometer a strip has
	restBand    = 15 * kPa  // oil pressure of an engine at rest
	atRest      = 100 * rpm // engine at rest below, rad/s
)

// settleGauges finds pressures that count from vacuum without saying so. base is the step
// of the fuel's regulator over the manifold, Pa, 0 unknown.
func settleGauges(set *Set, cands []*candidate, base float64) {
	verdict := map[int]int{} // channel → +1 from vacuum, -1 from the barometer, 0 not told
	var silent []int
	for i := range set.Channels {
		c := &set.Channels[i]
		u := cands[i].best.unit
		if u.Dim != quantity.DimPressure || u.Reference != quantity.NotStated || !c.Gauge || cands[i].forced || c.Trace.Len() < 20 {
			continue
		}
		switch c.Quantity {
		case quantity.FuelPressure:
			verdict[i] = fuelFrom(set, c, base)
		case quantity.CoolantPressure:
			verdict[i] = coolantFrom(set, c)
		case quantity.OilPressure:
			verdict[i] = oilFrom(set, c)
		default:
			continue
		}
		silent = append(silent, i)
	}
	vacuum, barometer := 0, 0
	for _, v := range verdict {
		switch v {
		case 1:
			vacuum++
		case -1:
			barometer++
		}
	}
	for _, i := range silent {
		if verdict[i] == 1 || verdict[i] == 0 && vacuum > 0 && barometer == 0 {
			set.fromVacuum(&set.Channels[i], verdict[i] == 1)
		}
	}
}

// fromVacuum counts a pressure anew.
func (s *Set) fromVacuum(c *Channel, seen bool) {
	v := make([]float64, c.Trace.Len())
	for k, x := range c.Trace.V {
		v[k] = x - s.Barometer
	}
	c.Trace.V, c.Gauge = v, false
	if n := len(c.Unit) - len(" gauge"); n > 0 && c.Unit[n:] == " gauge" {
		c.Unit = c.Unit[:n] + " abs"
	}
	why := "as its readings show"
	if !seen {
		why = "as the others of this log do"
	}
	s.Notes = append(s.Notes, fmt.Sprintf("channel %q is taken to count from vacuum, %s; correct it if it is a gauge pressure", c.Name, why))
}

// fuelFrom holds fuel over manifold pressure against the regulator's step.
func fuelFrom(set *Set, c *Channel, base float64) int {
	p := set.First(quantity.ManifoldPressure)
	if base <= 0 || p == nil {
		return 0
	}
	var over []float64
	for k, t := range c.Trace.T {
		if m, ok := p.Trace.At(t); ok {
			over = append(over, c.Trace.V[k]-m) // as if the reading counted from vacuum
		}
	}
	if len(over) < 20 {
		return 0
	}
	n := len(over)
	low, mid, high := stats.Select(over, n/4), stats.Select(over, n/2), stats.Select(over, 3*n/4)
	if high-low > stepSteady {
		return 0
	}
	vacuum, gauge := math.Abs(mid-base), math.Abs(mid+set.Barometer-base)
	switch {
	case vacuum < baseNear && gauge > baseFar:
		return 1
	case gauge < baseNear && vacuum > baseFar:
		return -1
	}
	return 0
}

// coolantFrom holds the coolant's pressure while the car stands before the pass against
// what a cap and its temperature allow.
func coolantFrom(set *Set, c *Channel) int {
	temp := set.First(quantity.CoolantTemperature)
	moves := standstill(set)
	var still []float64
	for k, t := range c.Trace.T {
		if moves(t) {
			if len(still) >= 10 {
				break
			}
			continue
		}
		still = append(still, c.Trace.V[k])
	}
	if len(still) < 10 {
		return 0
	}
	low := stats.Select(still, len(still)/2)
	switch {
	case low < surelyGauge:
		return -1
	case low < coldCap*set.Barometer:
		return 0
	}
	if temp != nil && temp.Trace.V[0] > 90+degC {
		return 0
	}
	return 1
}

// oilFrom looks for oil pressure while the engine is at rest.
func oilFrom(set *Set, c *Channel) int {
	engine := set.First(quantity.EngineSpeed)
	if engine == nil {
		return 0
	}
	var rest []float64
	for k, t := range c.Trace.T {
		if n, ok := engine.Trace.At(t); ok && n < atRest {
			rest = append(rest, c.Trace.V[k])
		}
	}
	if len(rest) < 10 {
		return 0
	}
	low := stats.Select(rest, len(rest)/4) // pressure falls off after the engine stops
	switch {
	case math.Abs(low) < restBand:
		return -1
	case math.Abs(low-set.Barometer) < restBand:
		return 1
	}
	return 0
}
