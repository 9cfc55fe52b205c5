package sizing

import "math"

// gearRun is what one gear did.
type gearRun struct {
	from, to float64 // m/s
	time     float64 // s in gear, without the shift
	end      float64 // rad/s, engine speed at its end
	begin    float64 // rad/s, engine speed when it was engaged; 0 while the clutch slipped
	torque   float64 // N·m, highest crank torque asked of the engine
	input    float64 // N·m, highest at the gearbox's input shaft
	hub      float64 // N·m, highest hub torque
	byTyres  float64 // 1, share of the time in which grip limited
}

// outcome is a pass.
type outcome struct {
	trap, line, time float64 // m/s mean over the trap, m/s at the line, s
	gears            []gearRun
	last             int     // gear at the line, from 1
	lastSpeed        float64 // rad/s, engine speed at the line
	wheel            float64 // W, highest hub power, half a second clear of shifts
	limiter          bool    // the last gear ran out
}

const (
	runStep  = 0.08 // s; the closed forms are met within 1e-3
	clearing = 0.5  // s after a shift, from which on peak power counts (design, section 2)
	longest  = 90.0 // s, of a run
)

// ride is the state of a run.
type ride struct {
	c       *vehicle
	power   float64 // W, peak crank power
	t, x, v float64 // s, m, m/s
	gear    int     // from 0
	since   float64 // s in gear after a shift; +Inf in the first
	coast   float64 // s of the shift left
	factor  float64 // 1, torque that is back after a shift
	now     gearRun
	tyres   float64 // s in gear with grip at its limit
	trapAt  float64 // s, at the trap's beginning; NaN before
	out     outcome
}

// run makes a pass of length and trap window, m, with peak crank power, W. The road begins
// where the car stands; a car that does not get there within longest gives trap 0.
func (c *vehicle) run(power, length, window float64) outcome {
	r := &ride{c: c, power: power, since: math.Inf(1), factor: 1, trapAt: math.NaN()}
	r.out.gears = make([]gearRun, 0, len(c.ratios))
	for r.t < longest {
		dt := runStep
		if r.coast > 0 {
			dt = math.Min(dt, r.coast)
		}
		r.factor = 1
		if r.since < c.back {
			r.factor = c.first + (1-c.first)*r.since/c.back
			dt = math.Min(dt, c.back-r.since+1e-9)
		}
		a, wheel, input, byTyres := r.accel(r.v)
		if r.coast <= 0 {
			if r.shifts(wheel) {
				continue
			}
			dt = r.toShift(dt, a, wheel)
			r.note(dt, wheel, input, byTyres)
		}
		if r.step(dt, a, length, window) {
			break
		}
	}
	r.out.last = r.gear + 1
	_, wheel, _, _ := r.accel(r.out.line)
	r.out.lastSpeed = wheel * c.ratios[r.gear]
	r.close(r.out.line, r.out.lastSpeed)
	return r.out
}

// torque is the crank torque, N·m, at engine speed w, rad/s. The clutch slips below
// where torque is flat; behind the limiter there is none.
func (r *ride) torque(w float64) float64 {
	c := r.c
	w = math.Max(w, plateau*c.peakSpeed)
	if w >= c.shiftAt[len(c.shiftAt)-1] && r.inLast() {
		return 0
	}
	return r.power * c.power(w) / w * c.share[r.gear] * r.factor
}

func (r *ride) inLast() bool { return r.gear == len(r.c.ratios)-1 }

// accel is accelerate, or in a shift what rolling and air take.
func (r *ride) accel(v float64) (a, wheel, input float64, byTyres bool) {
	c := r.c
	if r.coast > 0 {
		weight := c.mass * gravity
		va := v + c.head
		a = -(c.drag*va*math.Abs(va) + c.roll*weight + weight*c.grade) / (c.mass + (c.jDriven+c.jUndriven)/(c.radius*c.radius))
		return a, 0, 0, false
	}
	// Engine speed from a first look at the slip, then torque from it.
	radius := c.radius * (1 + c.growth*v*v)
	w := v / radius * c.ratios[r.gear] * 1.02
	_, wheel, _, _ = c.accelerate(v, r.gear, r.torque(w))
	return c.accelerate(v, r.gear, r.torque(wheel*c.ratios[r.gear]))
}

// shifts changes up when the engine has reached the speed for it.
func (r *ride) shifts(wheel float64) bool {
	w := wheel * r.c.ratios[r.gear]
	if r.inLast() || w < r.c.shiftAt[r.gear]*(1-1e-9) {
		return false
	}
	r.close(r.v, w)
	r.coast = r.c.dead
	r.gear++
	return true
}

// close ends the gear at a speed, m/s, and engine speed, rad/s.
func (r *ride) close(v, w float64) {
	r.now.to, r.now.end = v, w
	if r.now.time > 0 {
		r.now.byTyres = r.tyres / r.now.time
	}
	r.out.gears = append(r.out.gears, r.now)
	r.now, r.tyres = gearRun{}, 0
}

// toShift shortens a step, s, so that it goes no further than to the shift.
func (r *ride) toShift(dt, a, wheel float64) float64 {
	if r.inLast() || a <= 0 {
		return dt
	}
	left := (r.c.shiftAt[r.gear]/(wheel*r.c.ratios[r.gear]) - 1) * r.v // m/s
	if left > 0 && left/a < dt {
		return math.Max(left/a, 1e-4)
	}
	return dt
}

// note keeps what a step of dt, s, asks of the parts.
func (r *ride) note(dt, wheel, input float64, byTyres bool) {
	ratio := r.c.ratios[r.gear]
	w := wheel * ratio
	torque := r.torque(w)
	g := &r.now
	if g.time == 0 {
		g.from = r.v
		if len(r.out.gears) > 0 {
			g.begin = w
		}
	}
	hub := r.c.efficiency * input * ratio
	g.torque, g.input, g.hub = math.Max(g.torque, torque), math.Max(g.input, input), math.Max(g.hub, hub)
	g.time += dt
	if byTyres {
		r.tyres += dt
	}
	if r.since > clearing {
		r.out.wheel = math.Max(r.out.wheel, hub*wheel)
	}
	if r.inLast() && torque == 0 {
		r.out.limiter = true
	}
}

// step goes on by dt, s, with the midpoint rule (Runge–Kutta of second order); true
// when the line is reached. a is the acceleration, m/s², at its beginning.
func (r *ride) step(dt, a, length, window float64) bool {
	am, _, _, _ := r.accel(math.Max(0, r.v+a*dt/2))
	v := math.Max(0, r.v+am*dt)
	x := r.x + (r.v+a*dt/2)*dt
	if math.IsNaN(r.trapAt) && x >= length-window {
		r.trapAt = r.t + reach(r.x, r.v, am, length-window)
	}
	if x >= length {
		h := reach(r.x, r.v, am, length)
		r.out.line = r.v + am*h
		r.out.time = r.t + h
		if h > 0 {
			r.out.trap = window / (r.out.time - r.trapAt)
		}
		return true
	}
	r.x, r.v, r.t = x, v, r.t+dt
	r.since += dt
	if r.coast > 0 {
		if r.coast -= dt; r.coast <= 1e-9 {
			r.coast, r.since = 0, 0
		}
	}
	return false
}

// reach is the time, s, from x, m, at v, m/s, with acceleration a, m/s², to the distance to, m.
func reach(x, v, a, to float64) float64 {
	d := to - x
	if math.Abs(a) < 1e-9 {
		return d / v
	}
	return (math.Sqrt(math.Max(0, v*v+2*a*d)) - v) / a
}
