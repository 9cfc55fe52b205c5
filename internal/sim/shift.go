package sim

import (
	"math"

	"traplight/internal/num/ode"
)

// shift carries the state y over the shift out of gear g (from 0): the car
// coasts for the shift's time, the rotor slows, and when the clutch closes the
// engine gives part of its surplus momentum to the car. It returns the time of
// closing. res is completed when the line is passed within the shift.
func (r *Runner) shift(t float64, y []float64, g int, enter *float64, res *Result) (float64, error) {
	p, c := r.p, r.Car
	engine := y[2] * c.Ratios[g]
	dur := at(p.ShiftTime, g, 0)
	// the driven wheels give back what they turned faster than the road
	if rad := r.radius(y[1]); !p.Ideal.Grip && y[2] > y[1]/rad {
		w, v := y[2], y[1]
		y[1] += c.DrivenInertia * (w - v/rad) / rad / (c.Mass + (c.UndrivenInertia+c.DrivenInertia)/(rad*rad))
		y[2] = y[1] / rad
		if len(y) > states {
			y[accTyre] += 0.5 * c.DrivenInertia * (w - y[2]) / rad * (w*rad - v)
		}
	}
	if p.Ideal.Shifts {
		dur = 0
	}
	if dur > 0 {
		stop, err := r.coast(t, y, dur, engine, enter, res)
		if err != nil {
			return t, err
		}
		t = stop
		if res.Complete {
			r.slowed(res, engine, y[2]*c.Ratios[g])
			return t, nil
		}
	}
	if c.Boost.Lifted && dur > 0 {
		y[4] = 0
	}
	v, rad := y[1], r.radius(y[1])
	next := c.Ratios[g+1]
	body := c.Mass + (c.UndrivenInertia+c.DrivenInertia)/(rad*rad)
	// momentum the engine gives while it slows to the new gear's speed
	surplus := max(0, engine-next*v/rad)
	r.meet = Bite{}
	if r.Watch && dur > 0 {
		// what the engine did not lose by itself in the pause the clutch takes
		r.meet = r.bite(y, g+1, next*v/rad+min(1, max(0, c.Dump))*surplus)
	}
	gain := c.Dump * c.Efficiency * c.EngineInertia * surplus * next / rad / body // m/s
	spin := 0.0
	if s := at(p.Spin, g+1, 0); s > 0 && v > 0 && !p.Ideal.Grip {
		// wheels that come out of the shift spinning hold some of that momentum, or all
		holds := (c.DrivenInertia + c.Efficiency*next*next*c.EngineInertia) * s * v / (rad * rad) / body
		took := min(holds, gain)
		spin = s * took / holds
		gain -= took
	}
	y[1] += gain
	y[2] = y[1] / r.radius(y[1]) * (1 + spin)
	if b := res.Books; b != nil {
		give := c.EngineInertia * c.Dump * surplus // N·m·s through the clutch
		shut := next*y[2] + c.Dump*surplus         // engine speed as the clutch begins to close
		r.slowed(res, engine, shut)
		b.Clutch += 0.5 * give * (shut - next*v/rad)
		y[accGears] += (1 - c.Efficiency) * give * next * 0.5 * (v + y[1]) / rad
	}
	return t, nil
}

// coast integrates the car without drive for dur, s.
func (r *Runner) coast(t float64, y []float64, dur, engine float64, enter *float64, res *Result) (float64, error) {
	p, c := r.p, r.Car
	rad := r.radius(y[1])
	body := c.Mass + (c.UndrivenInertia+c.DrivenInertia)/(rad*rad)
	cda := r.c.dragArea
	hill := c.Mass * gravity * p.Grade
	idle := c.Boost.NoCharger || p.Ideal.Lag
	speed, temp := engine/RefSpeed, c.Engine.ChargeTemperature(p.Air.Temperature, y[3], engine)+y[6]
	f := func(_ float64, y, d []float64) {
		v := y[1]
		va := v + p.Air.Headwind
		drag := 0.5 * p.Air.Density * va * math.Abs(va) * cda
		d[0] = v
		d[1] = -(drag + hill + r.c.roll) / body
		switch {
		case idle:
			d[2] = 0
		case c.Boost.Lifted:
			d[2] = -c.Boost.Decay * y[2]
		default:
			m := Flow(engine, Pressure(p.Air.Pressure, y[2]), temp)
			d[2] = min(0, c.Boost.Rise(m, y[2], speed, 1, c.Boost.ShiftHeat))
		}
		d[3], d[4], d[5] = drag*v, r.c.roll*v, hill*v
	}
	evs := []ode.Event{
		{F: func(_ float64, y []float64) float64 { return y[0] - p.Length }, Direction: ode.Rising, Stop: true},
		{F: func(_ float64, y []float64) float64 { return y[0] - (p.Length - p.Window) }, Direction: ode.Rising},
		{F: never}, {F: never},
	}
	for _, m := range r.Marks {
		evs = append(evs, ode.Event{F: func(_ float64, y []float64) float64 { return y[0] - m }, Direction: ode.Rising})
	}
	s := [6]float64{y[0], y[1], y[3]}
	sol, err := r.solve(f, ode.Span{From: t, To: t + dur}, s[:], ode.Config{
		Step: r.coasting(), Events: evs, First: dur})
	if err != nil {
		return t, err
	}
	res.Evaluation += sol.Stats.Evaluations
	r.hits(sol, enter, res)
	flow := 0.0
	if !c.Boost.Lifted {
		flow = Flow(engine, Pressure(p.Air.Pressure, y[3]), temp)
	}
	y[6] += (sol.End - t) * c.Engine.CoreSlope(y[6], flow, p.Air.Temperature, y[3], y[1])
	e := sol.EndY
	y[0], y[1], y[3] = e[0], e[1], e[2]
	y[2] = y[1] / r.radius(y[1])
	if len(y) > states {
		y[accAero] += e[3]
		y[accRoll] += e[4]
		y[accGrade] += e[5]
	}
	if sol.Outcome == ode.Stopped {
		res.Complete = true
		res.Time, res.Instant = sol.End, y[1]
		res.Trap = p.Window / (sol.End - *enter)
	}
	return sol.End, nil
}
