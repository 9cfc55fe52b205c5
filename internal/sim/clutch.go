package sim

import "math"

// Clutch is the friction clutch, for what the gearbox's input shaft carries while
// it slips: that torque is the clutch's, whatever the engine makes.
type Clutch struct {
	Capacity float64 // N·m that it passes slipping; 0 unknown
	Holds    float64 // N·m beyond which it slips in gear; 0: it holds whatever the engine makes
	Close    float64 // s in which it is let in after a shift, torque rising evenly; 0: it stays shut and the dogs meet it whole
	Shaft    float64 // N·m/rad, twist stiffness of the shafts at the hubs; 0 rigid
}

// Bite is the closing of the clutch after a shift or at the launch.
type Bite struct {
	Torque float64 // N·m, highest at the gearbox's input shaft; 0 when the clutch's capacity is unknown
	Time   float64 // s of slip
	Heat   float64 // J left in the clutch
}

const (
	biteStep = 2.5e-4 // s
	biteMost = 0.5    // s, after which the clutch is taken for slipping on
)

// bite closes the clutch in gear next (from 0) at state y, the engine turning at
// speed, rad/s. Engine and driven wheels meet across it by the equations of two
// inertias, the wheels on the tyre's curve, the car's speed held:
//
//	J_e·dω_e/dt = T_e − T,   J_w·dω_w/dt = i·η·T − F(slip)·r − roll
//
// T is what the clutch passes; with the clutch shut all the time it rises no faster
// than the shafts' twist lets it, dT/dt = k·(ω_e/i − ω_w)/(i·η).
func (r *Runner) bite(y []float64, next int, speed float64) Bite {
	c, p := r.Car, r.p
	k := c.Clutch
	if k.Capacity <= 0 {
		return Bite{}
	}
	gear, keep := r.gear, r.c
	r.enter(next)
	defer func() { r.gear, r.c = gear, keep }()
	rad, ratio := r.radius(y[1]), r.c.ratio
	v, we, ww := y[1], speed, y[1]/r.radius(y[1])
	pressure := Pressure(p.Air.Pressure, y[3])
	charge := c.Engine.Charge(we, pressure, c.Engine.ChargeTemperature(p.Air.Temperature, y[3], we)+y[6], y[6])
	va := v + p.Air.Headwind
	q := 0.5 * p.Air.Density * va * math.Abs(va)
	resist := q*r.c.dragArea + r.c.roll*(1-c.DrivenShare) + c.Mass*gravity*p.Grade
	var b Bite
	twist := 0.0
	for t := 0.0; t < biteMost; t += biteStep {
		gap := we - ratio*ww
		if gap <= 0 {
			break
		}
		torque := k.Capacity
		if k.Close > 0 {
			torque *= min(1, (t+biteStep/2)/k.Close)
		} else if k.Shaft > 0 {
			twist += k.Shaft * gap / (ratio * ratio * c.Efficiency) * biteStep
			torque = min(torque, twist)
		}
		force := (c.Efficiency*ratio*torque - r.c.roll*c.DrivenShare*rad) / rad
		if !p.Ideal.Grip {
			force, _ = r.tyre(y[0], v, (ww*rad-v)/max(v, slipFloor), q, resist)
		} else {
			ww += biteStep * (force - resist) / r.c.body / rad
		}
		engine := r.c.scale * c.Engine.Torque(we, charge)
		we += biteStep * (engine - torque) / c.EngineInertia
		if !p.Ideal.Grip {
			ww += biteStep * (c.Efficiency*ratio*torque - (force+r.c.roll*c.DrivenShare)*rad) / c.DrivenInertia
		}
		b.Torque = max(b.Torque, torque)
		b.Time += biteStep
		b.Heat += torque * gap * biteStep
	}
	return b
}
