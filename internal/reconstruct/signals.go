package reconstruct

import (
	"math"
	"sort"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// signals are the channels that motion, gears and force stand on, sorted by use.
type signals struct {
	set      *dictionary.Set
	undriven []*dictionary.Channel // wheels that only roll
	driven   []*dictionary.Channel // wheels that also drive
	sat      []*dictionary.Channel
	lat, lon *dictionary.Channel
	accel    *dictionary.Channel
	engine   *dictionary.Channel
	throttle *dictionary.Channel
	pedal    *dictionary.Channel
	brake    *dictionary.Channel
	gear     *dictionary.Channel
	onOff    *dictionary.Channel // a throttle that only tells open or not
	still    bool                // speed channels are there and never move
	started  []engineStart       // launches as the engine tells them, where byEngine
	counted  trace.Trace         // 1, gear by the falls of engine speed, where byEngine and none is logged
	byEngine bool                // driven holds a speed made from the engine
	start    float64             // s, run clock, first sample of any of these
	end      float64             // s, last
	notes    []string
}

// pick sorts the channels. Which wheels drive is the sheet's word.
func pick(set *dictionary.Set, sheet *car.Sheet) *signals {
	s := &signals{set: set}
	drivenAt := map[quantity.Name]bool{}
	switch sheet.Driven {
	case car.FrontDriven:
		drivenAt[quantity.WheelSpeedFL], drivenAt[quantity.WheelSpeedFR] = true, true
	case car.RearDriven:
		drivenAt[quantity.WheelSpeedRL], drivenAt[quantity.WheelSpeedRR] = true, true
	default:
		for _, q := range []quantity.Name{quantity.WheelSpeedFL, quantity.WheelSpeedFR, quantity.WheelSpeedRL, quantity.WheelSpeedRR} {
			drivenAt[q] = true
		}
	}
	for _, q := range []quantity.Name{quantity.WheelSpeedFL, quantity.WheelSpeedFR, quantity.WheelSpeedRL, quantity.WheelSpeedRR} {
		for _, c := range set.All(q) {
			if !usable(c) {
				s.still = s.still || c.Trace.Len() >= 5
				continue
			}
			if drivenAt[q] {
				s.driven = append(s.driven, c)
			} else {
				s.undriven = append(s.undriven, c)
			}
		}
	}
	for _, c := range set.All(quantity.DrivenSpeed) {
		if usable(c) {
			s.driven = append(s.driven, c)
		} else {
			s.still = s.still || c.Trace.Len() >= 5
		}
	}
	for _, c := range set.All(quantity.VehicleSpeed) {
		s.still = s.still || !usable(c) && c.Trace.Len() >= 5
		if usable(c) {
			s.placeVehicleSpeed(c)
		}
	}
	s.sat = append([]*dictionary.Channel(nil), set.All(quantity.GPSSpeed)...)
	s.lat, s.lon = set.First(quantity.Latitude), set.First(quantity.Longitude)
	s.accel = set.First(quantity.AccelerationLong)
	s.engine = set.First(quantity.EngineSpeed)
	if c := set.First(quantity.Throttle); moves(c) && !twoValued(c) {
		s.throttle = c
	} else if moves(c) {
		s.onOff = c
		s.notes = append(s.notes, "the throttle channel only tells open or not: it tells full throttle, and shifts are judged from boost and torque")
	} else if c != nil {
		s.notes = append(s.notes, "the throttle channel never moves and is left aside: full throttle and shifts are judged from boost and torque")
	}
	if c := set.First(quantity.Pedal); moves(c) {
		s.pedal = c
	}
	s.brake = set.First(quantity.Brake)
	s.gear = set.First(quantity.Gear)
	s.start, s.end = math.Inf(1), math.Inf(-1)
	for _, list := range [][]*dictionary.Channel{s.undriven, s.driven, s.sat, {s.accel, s.engine}} {
		for _, c := range list {
			if c != nil && c.Trace.Len() > 0 {
				s.start = math.Min(s.start, c.Trace.T[0])
				s.end = math.Max(s.end, c.Trace.T[c.Trace.Len()-1])
			}
		}
	}
	for i, c := range s.sat {
		s.sat[i] = withoutBursts(c)
	}
	for _, list := range [][]*dictionary.Channel{s.undriven, s.sat} {
		for i, c := range list {
			list[i] = withoutGaps(c)
		}
	}
	for i, c := range s.sat {
		s.sat[i] = withoutLeaps(c)
	}
	if sheet.Driven != car.AllDriven && s.swapped() {
		s.driven, s.undriven = s.undriven, s.driven
		s.notes = append(s.notes, swappedNote)
	}
	s.leaveStrays(sheet)
	return s
}

// twoValued says whether a channel is a switch: it does not tell when a blade begins to move.
func twoValued(c *dictionary.Channel) bool {
	other, seen := 0.0, false
	for _, v := range c.Trace.V {
		if v == c.Trace.V[0] {
			continue
		}
		if seen && v != other {
			return false
		}
		other, seen = v, true
	}
	return true
}

// usable reports whether a speed channel moves at all.
func usable(c *dictionary.Channel) bool {
	if c.Trace.Len() < 5 {
		return false
	}
	lo, hi := c.Trace.V[0], c.Trace.V[0]
	for _, v := range c.Trace.V {
		lo, hi = math.Min(lo, v), math.Max(hi, v)
	}
	return hi-lo > 2
}

// sampleAt interpolates a trace at t, bridging gaps up to gap seconds; NaN elsewhere.
func sampleAt(x trace.Trace, t, gap float64) float64 {
	n := len(x.T)
	if n == 0 || t < x.T[0]-gap/2 || t > x.T[n-1]+gap/2 {
		return math.NaN()
	}
	i := sort.SearchFloat64s(x.T, t)
	if i == 0 {
		return x.V[0]
	}
	if i >= n {
		return x.V[n-1]
	}
	if x.T[i]-x.T[i-1] > gap {
		return math.NaN()
	}
	f := (t - x.T[i-1]) / (x.T[i] - x.T[i-1])
	return x.V[i-1] + f*(x.V[i]-x.V[i-1])
}

func sq(x float64) float64 { return x * x }

// selectAt is the k-th smallest of x, which it reorders.
func selectAt(x []float64, k int) float64 {
	sort.Float64s(x)
	return x[max(0, min(len(x)-1, k))]
}
