package sizing

import (
	"math"
	"math/rand/v2"

	"traplight/internal/car"
	"traplight/internal/num/xrand"
	"traplight/internal/physics/air"
	"traplight/internal/quantity"
)

// source draws figures, each from its own stream: a figure more moves no other.
type source struct{ seed uint64 }

// of gives n draws of an estimate, own unit, normal and cut at 2.5 standard deviations;
// positive ones are log-normal.
func (s source) of(name string, e quantity.Estimate, n int, positive bool) []float64 {
	r := xrand.Stream(s.seed, "sizing/"+name)
	x := make([]float64, n)
	for i := range x {
		z := cut(r)
		switch {
		case !(e.SD > 0):
			x[i] = e.Value
		case positive && e.Value > 0:
			x[i] = e.Value * math.Exp(z*math.Min(0.6, e.SD/e.Value))
		default:
			x[i] = e.Value + z*e.SD
		}
	}
	return x
}

func cut(r *rand.Rand) float64 {
	for {
		if z := r.NormFloat64(); math.Abs(z) < 2.5 {
			return z
		}
	}
}

// day is the air of the event.
type day struct {
	temperature, pressure, humidity, head quantity.Estimate // K, Pa, 1, m/s
	source                                string
}

// dayOf takes the weather that is stated and fills in a warm day's.
func dayOf(w *car.Weather, strip car.Strip) day {
	elevation := 0.0
	if !math.IsNaN(strip.Elevation) {
		elevation = strip.Elevation
	}
	_, p, _ := air.Standard(elevation)
	d := day{airTemp, quantity.Estimate{Value: p, SD: standard.SD}, humid, wind, "a warm day, standard pressure at the strip's elevation (common practice, no source)"}
	if math.IsNaN(strip.Elevation) {
		d.pressure.SD = 2500 // places up to some hundred metres
		d.source = "a warm day near sea level (common practice, no source)"
	}
	if w == nil {
		return d
	}
	set := func(dst *quantity.Estimate, v, sd float64) {
		if !math.IsNaN(v) && v != 0 {
			*dst = quantity.Estimate{Value: v, SD: sd}
			d.source = "notes"
		}
	}
	set(&d.temperature, w.AirTemp, 1)
	set(&d.pressure, w.Pressure, 150)
	set(&d.humidity, w.Humidity, 0.06)
	if !math.IsNaN(w.Headwind) && d.source == "notes" {
		sd := w.HeadwindS
		if !(sd > 0) {
			sd = 0.8
		}
		d.head = quantity.Estimate{Value: w.Headwind, SD: sd}
	}
	return d
}

func backFrom(how string) string {
	if how == "own passes" {
		return how
	}
	return how + ", " + practice
}

func windSource(d day) string {
	if d.source == "notes" && d.head != wind {
		return "notes"
	}
	return practice
}

// sharesOf is the torque by gear over full, 1, by the boost schedule of the sheet;
// all 1 without one, or when free.
func sharesOf(s *car.Sheet, free bool) []float64 {
	out := make([]float64, len(s.Gears))
	top := 0.0
	for _, b := range s.UsualBoost {
		top = math.Max(top, b)
	}
	for g := range out {
		out[g] = 1
		if !free && top > 0 {
			b := s.UsualBoost[min(g, len(s.UsualBoost)-1)]
			out[g] = (standard.Value + b) / (standard.Value + top)
		}
	}
	return out
}

// shiftSpeeds are the engine speeds, rad/s, out of each gear; that of the last is the
// limiter.
func shiftSpeeds(s *car.Sheet) []float64 {
	limit := s.RevLimit
	if s.Limits.MaxEngineSpeed > 0 && (limit == 0 || s.Limits.MaxEngineSpeed < limit) {
		limit = s.Limits.MaxEngineSpeed
	}
	out := make([]float64, len(s.Gears))
	for g := range out {
		switch k := len(s.UsualShiftSpeed); {
		case g == len(out)-1:
			out[g] = math.Inf(1)
			if limit > 0 {
				out[g] = limit
			}
		case k > 0:
			out[g] = s.UsualShiftSpeed[min(g, k-1)]
		default:
			out[g] = 0.94 * limit
		}
	}
	return out
}
