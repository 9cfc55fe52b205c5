package health

import (
	"math"
	"slices"

	"traplight/internal/dictionary"
	"traplight/internal/pass"
	"traplight/internal/quantity"
)

// broken is a channel whose own readings show that its sensor, wiring or input
// has failed, whatever the engine did.
type broken struct {
	channel *dictionary.Channel
	mode    string  // "stuck", "silent", "noisy", "jumps"
	from    float64 // s, run clock
	text    string  // what is seen, a clause
	score   float64 // natural logarithm of odds
}

type channel = dictionary.Channel

// restless are the quantities whose readings cannot stand still during a pass.
var restless = map[quantity.Name]bool{
	quantity.ManifoldPressure: true, quantity.ExhaustPressure: true, quantity.FuelPressure: true, quantity.OilPressure: true,
	quantity.CoolantPressure: true, quantity.CrankcasePressure: true, quantity.CompressorOutletPressure: true, quantity.CompressorInletPressure: true,
	quantity.ChargeTemperature: true, quantity.IntakeTemperature: true, quantity.CoolantTemperature: true, quantity.OilTemperature: true,
	quantity.CompressorOutletTemperature: true, quantity.ExhaustTemperature: true, quantity.Lambda: true, quantity.FuelFlow: true, quantity.FuelVolumeFlow: true,
	quantity.Knock: true, quantity.TurboSpeed: true, quantity.BatteryVoltage: true, quantity.Throttle: true, quantity.InjectorDuty: true,
	quantity.WheelSpeedFL: true, quantity.WheelSpeedFR: true, quantity.WheelSpeedRL: true, quantity.WheelSpeedRR: true, quantity.AccelerationLong: true,
	quantity.GearboxTemperature: true, quantity.EngineSpeed: true,
}

// selfCheck looks at each channel alone.
func selfCheck(set *dictionary.Set, p *pass.Pass, usual map[string]float64) []broken {
	from, to := passSpan(p)
	var out []broken
	looked, still := 0, 0
	for i := range set.Channels {
		c := &set.Channels[i]
		if !restless[c.Quantity] {
			continue
		}
		looked++
		if b, ok := readerDoubts(c, from, to); ok {
			out = append(out, b)
			continue
		}
		if b, ok := silent(c, from, to); ok {
			out = append(out, b)
			still++
			continue
		}
		if c.Trace.Len() < 40 {
			continue
		}
		if b, ok := stuck(c, from, to); ok {
			out = append(out, b)
			continue
		}
		if c.Quantity == quantity.Knock || c.Quantity == quantity.AccelerationLong {
			continue // noise is what they measure
		}
		at, rough := roughness(c.Trace, from-3, to, c.Resolution)
		if b, ok := noisy(c, at, rough, usual[c.Name]); ok {
			out = append(out, b)
			continue
		}
		if b, ok := jumpy(c, from, to, rough); ok {
			out = append(out, b)
		}
	}
	if still > 2 && 2*still > looked { // the recorder missed a stretch, not the sensors
		return slices.DeleteFunc(out, func(b broken) bool { return b.mode == silently })
	}
	return out
}

// silently is the mode of a channel that gives no readings any more.
const silently = "silent"

// passSpan is the time from the launch to the lift, s.
func passSpan(p *pass.Pass) (from, to float64) {
	from = p.Launch.Value
	to = math.Inf(1)
	if p.Finish != nil {
		to = p.Finish.Value
	}
	if p.Lift != nil {
		to = *p.Lift
	}
	if n := len(p.Motion.V); n > 0 {
		to = min(to, p.Motion.Start+float64(n-1)*p.Motion.Step)
	}
	return from, to
}

// readerDoubts tells of a stretch in which the reader already found the reading stuck, or
// shifted as it cannot, and left it out.
func readerDoubts(c *dictionary.Channel, from, to float64) (b broken, ok bool) {
	for _, s := range c.Stuck {
		if min(s.To, to)-max(s.From, from) >= stuckFor {
			return broken{c, "stuck", max(s.From, from), "its reading does not change any more", most}, true
		}
	}
	for _, s := range c.Stepped {
		if min(s.To, to) > max(s.From, from) {
			return broken{c, "stepped", max(s.From, from), "its reading steps at once by what nothing with its inertia can", most}, true
		}
	}
	return b, false
}

// silent finds a channel that gave readings and then none for silentFor of the pass. What it
// would have told is not known, and a wire that breaks is no healthy one.
func silent(c *dictionary.Channel, from, to float64) (b broken, ok bool) {
	x := c.Trace.Slice(from-3, math.Inf(1))
	if x.Len() < 10 || x.T[0] > from+1 || c.RateHz <= 0 {
		return b, false
	}
	least := max(silentFor, silentPeriods/c.RateHz)
	for i, t := range x.T {
		next := math.Inf(1)
		if i+1 < len(x.T) {
			next = x.T[i+1]
		}
		if since := max(t, from); t < to && min(next, to)-since >= least {
			return broken{c, silently, since, "it gives no readings any more", most}, true
		}
	}
	return b, false
}

const (
	silentFor     = 2.0  // s
	silentPeriods = 10.0 // 1, of its usual spacing
)

// stuckFor is how long, s, a reading must stand still in the pass to be called stuck.
const stuckFor = 1.5

// stuck finds a run of equal readings that the channel's ordinary repeats do not
// explain: the chance that a reading equals the one before it, from the rest of
// the trace, to the power of the run's length.
func stuck(c *dictionary.Channel, from, to float64) (b broken, ok bool) {
	x := c.Trace.Slice(from-3, to)
	if quantity.DimensionOf(c.Quantity) == quantity.DimSpeed {
		x = c.Trace.Slice(from+1, to) // at rest it may stand still
	}
	n := x.Len()
	if n < 40 {
		return b, false
	}
	start, length, i := 0, 0, 0
	for i < n {
		j := i
		for j+1 < n && x.V[j+1] == x.V[i] {
			j++
		}
		if j-i > length {
			start, length = i, j-i
		}
		i = j + 1
	}
	if length < 10 {
		return b, false
	}
	end := start + length
	lasted := x.T[end] - max(x.T[start], from)
	if lasted < stuckFor || x.T[end]-x.T[start] < stuckFor {
		return b, false
	}
	same, pairs, again := 0, 0, 0
	for k := 1; k < n; k++ {
		if k > start && k <= end {
			continue
		}
		pairs++
		if x.V[k] == x.V[k-1] {
			same++
			if x.V[k] == x.V[start] {
				again++
			}
		}
	}
	if pairs < 20 || again > 5 {
		// Seen at this very value before: an end stop, not a fault.
		return b, false
	}
	p := (float64(same) + 1) / (float64(pairs) + 2)
	// A slow channel at coarse steps repeats in runs: the longest run elsewhere
	// counts as one chance event.
	other := longestRun(x.V[:start])
	if end+1 < n {
		other = max(other, longestRun(x.V[end+1:]))
	}
	odds := -float64(length) * math.Log(p)
	if odds < 20 || float64(length) < 5*float64(other) {
		return b, false
	}
	return broken{c, "stuck", x.T[start], "its reading does not change any more", min(most, odds)}, true
}

func longestRun(v []float64) int {
	best, n := 0, 0
	for i := 1; i < len(v); i++ {
		if v[i] == v[i-1] {
			n++
			best = max(best, n)
		} else {
			n = 0
		}
	}
	return best
}

// without gives the set with broken channels cut from the time on from which
// they tell nothing.
func without(set *dictionary.Set, bs []broken) *dictionary.Set {
	if len(bs) == 0 {
		return set
	}
	out := *set
	out.Channels = slices.Clone(set.Channels)
	for _, b := range bs {
		for i := range set.Channels {
			if &set.Channels[i] == b.channel {
				out.Channels[i].Trace = set.Channels[i].Trace.Slice(math.Inf(-1), b.from)
			}
		}
	}
	return &out
}

// same is the channel of a set that has the name of another set's; nil for none.
func same(set *dictionary.Set, c *dictionary.Channel) *dictionary.Channel {
	for i := range set.Channels {
		if x := &set.Channels[i]; x.Name == c.Name && x.Quantity == c.Quantity {
			return x
		}
	}
	return nil
}
