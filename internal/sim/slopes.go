package sim

import "math"

// slopes is the car in gear with the clutch closed.
func (r *Runner) slopes(_ float64, y, d []float64) {
	c, p, k := r.Car, r.p, &r.c
	x, v, w, h := y[0], y[1], y[2], y[3]
	rad := r.radius(v)
	if p.Ideal.Grip {
		w = v / rad
	}
	speed := w * k.ratio
	pressure := Pressure(p.Air.Pressure, h)
	temp := c.Engine.ChargeTemperature(p.Air.Temperature, h, speed) + y[6]
	charge := c.Engine.Charge(speed, pressure, temp, y[6])
	torque := k.scale * c.Engine.Torque(speed, charge)
	surplus, extra := 1.0, 0.0
	if k.nitrous {
		surplus, extra = r.nitrous(speed, pressure, charge)
	}
	torque += extra
	slip := 0.0
	if !p.Ideal.Grip {
		slip = (w*rad - v) / max(v, slipFloor)
		if cut := r.cut(slip); cut < 1 {
			torque *= cut
		}
	}
	if l := c.RevLimit; l > 0 && speed > l-LimitBand {
		// the limiter takes the torque away within a narrow band below its speed
		torque *= max(0, min(1, (l-speed)/LimitBand))
	}
	va := v + p.Air.Headwind
	q := 0.5 * p.Air.Density * va * math.Abs(va)
	drag := q * k.dragArea
	grade := c.Mass * gravity * p.Grade
	rollDriven := k.roll * c.DrivenShare
	resist := drag + grade + (k.roll - rollDriven)
	hub := c.Efficiency * k.ratio * torque
	var force, dv, dw, use float64
	if p.Ideal.Grip {
		dv = (hub/rad - rollDriven - resist) / (k.body + k.inertia/(rad*rad))
		dw = dv / rad
		force = dv*k.body + resist
	} else {
		force, use = r.tyre(x, v, slip, q, resist)
		dv = (force - resist) / k.body
		dw = (hub - force*rad - rollDriven*rad) / k.inertia
	}
	if most := c.Clutch.Holds; most > 0 && torque-c.EngineInertia*k.ratio*dw > most {
		// the clutch slips: it passes what it holds and the engine runs ahead. The engine's
		// own speed is not followed; torque is what reaches the gearbox and turns a shut clutch
		pass := c.Efficiency * k.ratio * most
		if p.Ideal.Grip {
			dv = (pass/rad - rollDriven - resist) / (k.body + c.DrivenInertia/(rad*rad))
			dw = dv / rad
			force = dv*k.body + resist
		} else {
			dw = (pass - force*rad - rollDriven*rad) / c.DrivenInertia
		}
		torque = most + c.EngineInertia*k.ratio*dw
	}
	d[0], d[1], d[2] = v, dv, dw
	m := Flow(speed, pressure, temp)
	d[6] = c.Engine.CoreSlope(y[6], m, p.Air.Temperature, h, v)
	target := k.head
	if k.slope != 0 {
		target += k.slope * max(0, min(k.span, speed-k.from))
	}
	if r.noting {
		r.noteBends(y, speed, pressure, target, slip)
		r.bent[bendGate] = 1
	}
	if c.Boost.NoCharger || p.Ideal.Lag {
		d[3], d[4], d[5] = 0, 0, 0
	} else {
		r.rotor(y, d, c.Boost.Rise(m, h, speed/RefSpeed, surplus, 1), target)
	}
	if len(d) > states { // the books of energy, W
		d[accCrank] = speed * torque
		d[accAero] = drag * v
		d[accRoll] = (k.roll-rollDriven)*v + rollDriven*rad*w
		d[accGrade] = grade * v
		d[accTyre] = force * (w*rad - v)
		d[accGears] = (1 - c.Efficiency) * ((torque - c.EngineInertia*(dw*k.ratio)) * speed)
		if p.Ideal.Grip {
			d[accTyre] = 0
		}
	}
	if r.want {
		r.out = rates{force: force, torque: torque, slip: slip, pressure: pressure, head: h, flow: m, use: use, accelWheel: dw, drag: drag}
	}
}

// nitrous is what it adds to the exhaust, as a factor of it, and to the torque, N·m, at an engine
// speed, rad/s, a manifold pressure, Pa, and a charge.
func (r *Runner) nitrous(speed, pressure, charge float64) (surplus, extra float64) {
	n := &r.Car.Nitrous
	open := min(1, max(0, (r.c.target-n.Below-pressure)/openBand))
	if !(open > 0) {
		return 1, 0
	}
	surplus, extra = 1, open*n.Power/max(speed, 100)
	if ind := r.Car.Engine.Indicated(speed, charge); ind > 0 {
		surplus = 1 + open*n.Feed/max(speed, 100)/ind
	}
	return surplus, extra
}

// rotor is the slopes of head, wastegate and overshoot, for the rise of the head that the turbine
// can bring, 1/s, and the head that is aimed at, 1.
func (r *Runner) rotor(y, d []float64, rise, target float64) {
	b := &r.Car.Boost
	if b.Unlimited {
		d[3], d[4], d[5] = rise, 0, 0
		return
	}
	h, z := y[3], max(0, y[4])
	excess := rise - b.Gate*(target+y[5]-h)
	r.bent[bendGate] = excess
	d[3] = rise - z
	d[4] = b.GateLag * (max(0, excess) - z)
	d[5] = -y[5] * b.Settling(h-target)
}

// cut is the share of torque that electronics or the driver leave at a slip, 1.
func (r *Runner) cut(slip float64) float64 {
	f := 1.0
	if c := r.Car; c.SlipCut > 0 && slip > c.SlipCut {
		u := (slip - c.SlipCut) / c.SlipCutWidth
		f = 1 / (1 + u*u)
	}
	if g := r.p.GuardSlip; g > 0 && slip > g {
		u := (slip - g) / g
		f /= 1 + u*u
	}
	return f
}

// tyre gives the force, N, at a speed, m/s, and a slip, and used grip over that of a creeping tyre's peak. Load
// moves with the force: F = µ·(W + λ·(F − R)), λ cg height over wheelbase.
func (r *Runner) tyre(x, v, slip, q, resist float64) (force, use float64) {
	c, k := r.Car, &r.c
	t := &c.Tyre
	shape := t.curve(slip/t.PeakSlip, k.tyre) * t.kept(slip, v)
	top := t.Peak * k.grip * t.profile(x)
	if r.p.Grip != nil {
		top *= r.p.Grip.At(x)
	}
	w := k.weight + q*c.LiftDriven
	mu := top * shape
	lam := c.Transfer
	for range 2 {
		force = mu * (w - lam*resist) / max(0.2, 1-mu*lam)
		load := w + lam*(force-resist)
		mu = top * shape * max(0.3, 1-t.LoadSens*(load/t.RefLoad-1))
	}
	force = mu * (w - lam*resist) / max(0.2, 1-mu*lam)
	// the driven axle cannot carry more than the car: its nose is in the air then
	r.bent[bendNose] = 1
	if lam > 0 {
		most := mu * (c.Mass*gravity + q*c.LiftDriven)
		r.bent[bendNose] = force - most
		force = min(force, most)
	}
	return force, shape
}
