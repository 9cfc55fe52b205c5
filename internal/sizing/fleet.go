package sizing

import (
	"math"

	"traplight/internal/car"
	"traplight/internal/physics/air"
	"traplight/internal/quantity"
)

// fleet is the draws of the car, and what was assumed for them.
type fleet struct {
	cars    []vehicle
	air     []air.State
	density []float64 // kg/m³
}

// fleetOf draws n cars from the sheet. The weather's draws are those of that name: two
// days have each their own.
func fleetOf(q *Request, d day, n int, weather string) (*fleet, []Assumption) {
	h := habitsOf(q)
	x := drawsOf(q, &h, d, n, weather)
	f := &fleet{cars: make([]vehicle, n), air: make([]air.State, n), density: make([]float64, n)}
	for i := range n {
		f.air[i] = air.State{Temperature: x.temperature[i], Pressure: x.pressure[i], Humidity: math.Min(1, math.Max(0, x.humidity[i]))}
		rho, _ := f.air[i].Density()
		f.density[i] = rho
		f.cars[i] = x.vehicle(q, i, rho)
	}
	return f, h.told(d)
}

// habits are what is taken of tyres and driver, and from where.
type habits struct {
	grip                     quantity.Estimate // 1
	dead, first, back        quantity.Estimate // s, 1, s
	gripFrom, shiftFrom, how string
	peak                     quantity.Estimate // 1, engine speed of peak power over that of the shifts
	peakFrom                 string
}

// habitsOf are those of such cars at large, or of the car's own passes where they tell.
func habitsOf(q *Request) habits {
	grip, kind := gripOf(q.Sheet.TyreSize)
	h := habits{grip: grip, gripFrom: kind + ", " + practice}
	h.dead, h.first, h.back, h.how = shiftOf(q.Sheet)
	h.shiftFrom = h.how + ", " + practice
	h.peak, h.peakFrom = peakAt, practice
	if m := q.Measured; m != nil {
		if m.Grip != nil {
			h.grip, h.gripFrom = *m.Grip, "own passes"
			if m.Grip.LowerBound {
				h.gripFrom = "own passes, at least"
			}
		}
		if m.ShiftTime != nil {
			h.dead, h.shiftFrom = *m.ShiftTime, "own passes"
		}
		if m.Recovery != nil {
			h.back, h.how = *m.Recovery, "own passes"
		}
		if e := m.peakOver(aimOf(shiftSpeeds(q.Sheet))); e != nil {
			h.peak, h.peakFrom = *e, "own passes"
		}
	}
	return h
}

// told lists what was taken for the result's reader.
func (h *habits) told(d day) []Assumption {
	var told []Assumption
	tell := func(what string, e quantity.Estimate, unit, from string) {
		told = append(told, Assumption{what, e.Value, e.SD, unit, from})
	}
	tell("peak grip", h.grip, "", h.gripFrom)
	tell("share of it used on the mean", gripUse, "", practice)
	tell("time without torque in a shift", h.dead, "s", h.shiftFrom)
	tell("time until all torque is back", h.back, "s", backFrom(h.how))
	tell("engine speed of peak power over that of the shifts", h.peak, "", h.peakFrom)
	tell("fall of power beside its peak", shape, "", "polynomial of Genta, Motor Vehicle Dynamics, widened for boost")
	tell("air temperature", d.temperature, "K", d.source)
	tell("air pressure", d.pressure, "Pa", d.source)
	tell("head wind", d.head, "m/s", windSource(d))
	return told
}

// draws are the figures of n cars and their air, each by car; SI units.
type draws struct {
	mass, dragArea, roll                  []float64
	front, cg, base, liftFront, liftRear  []float64
	engine, driven, undriven              []float64 // kg·m²
	loss, radius, growth                  []float64
	grip, use, slip                       []float64
	shape, peak                           []float64
	dead, first, back                     []float64
	temperature, pressure, humidity, head []float64
	torqueShare                           []float64   // by gear
	shares                                [][]float64 // by gear and car
	shiftAt                               []float64   // rad/s by gear
	aim                                   float64     // rad/s, the shift speed that counts
}

func drawsOf(q *Request, h *habits, d day, n int, weather string) *draws {
	s, src := q.Sheet, source{q.Seed}
	draw := func(name string, e quantity.Estimate, positive bool) []float64 { return src.of(name, e, n, positive) }
	x := &draws{
		mass: draw("mass", s.Mass, true), dragArea: draw("drag", s.DragArea, true), roll: draw("rolling", s.RollingResist, true),
		front: draw("front share", s.FrontWeightShare, false), cg: draw("cg", s.CGHeight, true), base: draw("wheelbase", s.Wheelbase, true),
		liftFront: draw("lift front", s.LiftFront, false), liftRear: draw("lift rear", s.LiftRear, false),
		engine: draw("engine inertia", s.EngineInertia, true), driven: draw("driven inertia", s.DrivenInertia, true), undriven: draw("undriven inertia", s.UndrivenInertia, true),
		loss: draw("loss", s.LossShare, false), radius: draw("radius", s.TyreRadius, true), growth: draw("growth", growth, false),
		grip: draw("grip", h.grip, true), use: draw("use", gripUse, false), slip: draw("slip", peakSlip, true),
		shape: draw("shape", shape, true), peak: draw("peak", h.peak, false),
		dead: draw("dead", h.dead, true), first: draw("first", h.first, false), back: draw("back", h.back, true),
		temperature: draw(weather+" temperature", d.temperature, false), pressure: draw(weather+" pressure", d.pressure, false),
		humidity: draw(weather+" humidity", d.humidity, false), head: draw(weather+" wind", d.head, false),
		torqueShare: sharesOf(s, q.FreeBoost), shiftAt: shiftSpeeds(s),
	}
	for g := range x.torqueShare {
		x.shares = append(x.shares, draw("share "+string(rune('1'+g)), quantity.Estimate{Value: 1, SD: boostShare}, false))
	}
	x.aim = aimOf(x.shiftAt)
	return x
}

// aimOf is the shift speed, rad/s, that counts: the last, or one short of the limiter.
func aimOf(shiftAt []float64) float64 {
	if len(shiftAt) == 1 {
		return shiftAt[0] * 0.96
	}
	return shiftAt[max(0, len(shiftAt)-2)]
}

// vehicle is the i-th car in air of density rho, kg/m³.
func (x *draws) vehicle(q *Request, i int, rho float64) vehicle {
	c := vehicle{
		mass: x.mass[i], drag: 0.5 * rho * x.dragArea[i], roll: x.roll[i], head: x.head[i], grip: x.grip[i], use: math.Min(0.98, x.use[i]), slip: x.slip[i],
		radius: x.radius[i], growth: math.Max(0, x.growth[i]), jEngine: x.engine[i], jDriven: x.driven[i], jUndriven: x.undriven[i],
		efficiency: math.Min(0.995, math.Max(0.7, 1-x.loss[i])), shiftAt: x.shiftAt, dead: x.dead[i], first: math.Min(1, math.Max(0.1, x.first[i])), back: x.back[i],
		shape: x.shape[i], peakSpeed: x.aim * x.peak[i], wheelie: math.Inf(1),
	}
	if !math.IsNaN(q.Strip.Grade) {
		c.grade = q.Strip.Grade
	}
	w := math.Min(0.9, math.Max(0.1, x.front[i]))
	switch q.Sheet.Driven {
	case car.FrontDriven:
		c.driven, c.transfer, c.lift = w, -x.cg[i]/x.base[i], 0.5*rho*x.liftFront[i]
	case car.RearDriven:
		c.driven, c.transfer, c.lift = 1-w, x.cg[i]/x.base[i], 0.5*rho*x.liftRear[i]
		c.wheelie = x.mass[i] * gravity * w * x.base[i] / x.cg[i]
	default:
		c.driven, c.lift = 1, 0.5*rho*(x.liftFront[i]+x.liftRear[i])
	}
	for g, ratio := range q.Sheet.Gears {
		c.ratios = append(c.ratios, ratio*q.Sheet.FinalDrive)
		k := x.torqueShare[g]
		if k < 1 {
			k = math.Min(1, k*x.shares[g][i])
		}
		c.share = append(c.share, k)
	}
	return c
}
