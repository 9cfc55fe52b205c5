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
	d := day{airTemp, quantity.Estimate{Value: p, SD: standard.SD}, humid, wind, "a warm day of 25 °C, standard pressure at the strip's elevation (common practice, no source)"}
	if math.IsNaN(strip.Elevation) {
		d.pressure.SD = 2500 // places up to some hundred metres
		d.source = "a warm day of 25 °C near sea level (common practice, no source)"
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

// fleet is the draws of the car, and what was assumed for them.
type fleet struct {
	cars    []vehicle
	air     []air.State
	density []float64 // kg/m³
}

// fleetOf draws n cars from the sheet. The weather's draws are those of that name: two
// days have each their own.
func fleetOf(q *Request, d day, n int, weather string) (*fleet, []Assumption) {
	s := q.Sheet
	src := source{q.Seed}
	f := &fleet{cars: make([]vehicle, n), air: make([]air.State, n), density: make([]float64, n)}
	var told []Assumption
	tell := func(what string, e quantity.Estimate, unit, from string) {
		told = append(told, Assumption{what, e.Value, e.SD, unit, from})
	}
	draw := func(name string, e quantity.Estimate, positive bool) []float64 { return src.of(name, e, n, positive) }
	grip, kind := gripOf(s.TyreSize)
	gripFrom := kind + ", " + practice
	use := gripUse
	dead, first, back, how := shiftOf(s)
	shiftFrom := how + ", " + practice
	if m := q.Measured; m != nil {
		if m.Grip != nil {
			grip, gripFrom = *m.Grip, "own passes"
			if m.Grip.LowerBound {
				gripFrom = "own passes, at least"
			}
		}
		if m.ShiftTime != nil {
			dead, shiftFrom = *m.ShiftTime, "own passes"
		}
		if m.Recovery != nil {
			back, how = *m.Recovery, "own passes"
		}
	}
	tell("peak grip", grip, "", gripFrom)
	tell("share of it used on the mean", use, "", practice)
	tell("time without torque in a shift", dead, "s", shiftFrom)
	tell("time until all torque is back", back, "s", backFrom(how))
	tell("engine speed of peak power over that of the shifts", peakAt, "", practice)
	tell("fall of power beside its peak", shape, "", "polynomial of Genta, Motor Vehicle Dynamics, widened for boost")
	tell("air temperature", d.temperature, "K", d.source)
	tell("air pressure", d.pressure, "Pa", d.source)
	tell("head wind", d.head, "m/s", windSource(d))

	mass, cda, roll := draw("mass", s.Mass, true), draw("drag", s.DragArea, true), draw("rolling", s.RollingResist, true)
	front, cg, base := draw("front share", s.FrontWeightShare, false), draw("cg", s.CGHeight, true), draw("wheelbase", s.Wheelbase, true)
	lf, lr := draw("lift front", s.LiftFront, false), draw("lift rear", s.LiftRear, false)
	je, jd, ju := draw("engine inertia", s.EngineInertia, true), draw("driven inertia", s.DrivenInertia, true), draw("undriven inertia", s.UndrivenInertia, true)
	loss, rad, gro := draw("loss", s.LossShare, false), draw("radius", s.TyreRadius, true), draw("growth", growth, false)
	gr, us, sl := draw("grip", grip, true), draw("use", use, false), draw("slip", peakSlip, true)
	sh, pk := draw("shape", shape, true), draw("peak", peakAt, false)
	de, fi, ba := draw("dead", dead, true), draw("first", first, false), draw("back", back, true)
	tt, pp, hh, ww := draw(weather+" temperature", d.temperature, false), draw(weather+" pressure", d.pressure, false), draw(weather+" humidity", d.humidity, false), draw(weather+" wind", d.head, false)
	torqueShare := sharesOf(s, q.FreeBoost)
	var shareDraws [][]float64
	for g := range torqueShare {
		shareDraws = append(shareDraws, draw("share "+string(rune('1'+g)), quantity.Estimate{Value: 1, SD: boostShare}, false))
	}
	shiftAt := shiftSpeeds(s)
	aim := shiftAt[max(0, len(shiftAt)-2)]
	if len(shiftAt) == 1 {
		aim = shiftAt[0] * 0.96
	}
	for i := range n {
		f.air[i] = air.State{Temperature: tt[i], Pressure: pp[i], Humidity: math.Min(1, math.Max(0, hh[i]))}
		rho, _ := f.air[i].Density()
		f.density[i] = rho
		c := &f.cars[i]
		*c = vehicle{
			mass: mass[i], drag: 0.5 * rho * cda[i], roll: roll[i], head: ww[i], grip: gr[i], use: math.Min(0.98, us[i]), slip: sl[i],
			radius: rad[i], growth: math.Max(0, gro[i]), jEngine: je[i], jDriven: jd[i], jUndriven: ju[i],
			efficiency: math.Min(0.995, math.Max(0.7, 1-loss[i])), shiftAt: shiftAt, dead: de[i], first: math.Min(1, math.Max(0.1, fi[i])), back: ba[i],
			shape: sh[i], peakSpeed: aim * pk[i], wheelie: math.Inf(1),
		}
		if !math.IsNaN(q.Strip.Grade) {
			c.grade = q.Strip.Grade
		}
		w := math.Min(0.9, math.Max(0.1, front[i]))
		switch s.Driven {
		case car.FrontDriven:
			c.driven, c.transfer, c.lift = w, -cg[i]/base[i], 0.5*rho*lf[i]
		case car.RearDriven:
			c.driven, c.transfer, c.lift = 1-w, cg[i]/base[i], 0.5*rho*lr[i]
			c.wheelie = mass[i] * gravity * w * base[i] / cg[i]
		default:
			c.driven, c.lift = 1, 0.5*rho*(lf[i]+lr[i])
		}
		for g, ratio := range s.Gears {
			c.ratios = append(c.ratios, ratio*s.FinalDrive)
			k := torqueShare[g]
			if k < 1 {
				k = math.Min(1, k*shareDraws[g][i])
			}
			c.share = append(c.share, k)
		}
	}
	return f, told
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
