package sizing

import "math"

const gravity = 9.80665 // m/s²

// vehicle is one draw of the car, ready to run.
type vehicle struct {
	mass, drag, roll float64   // kg, N/(m/s)² (½·ρ·CdA), 1
	lift             float64   // N/(m/s)², load that air puts on the driven axle
	head, grade      float64   // m/s, rise over run
	driven, transfer float64   // 0–1 of the weight, 1: cg height over wheelbase, signed
	wheelie          float64   // N, net force that lifts the front wheels; +Inf for none
	grip, use        float64   // 1, peak and the share of it that is used
	slip             float64   // 1, of peak grip
	radius, growth   float64   // m, 1/(m/s)²
	jEngine          float64   // kg·m²
	jDriven          float64   // kg·m²
	jUndriven        float64   // kg·m²
	efficiency       float64   // 1, crank to hubs
	ratios           []float64 // 1, overall
	share            []float64 // 1, torque by gear over full
	shiftAt          []float64 // rad/s out of each gear; the last is the limiter, +Inf for none
	dead             float64   // s without torque in a shift
	first, back      float64   // 1, s: torque that is there after a shift and until all is
	shape, peakSpeed float64   // 1, rad/s
}

// power is the crank power over its peak, 1, at engine speed w, rad/s: x + x² − x³ (Genta),
// with x the speed over that of peak power, its fall beside the peak multiplied by shape.
// Below plateau the torque stays.
func (c *vehicle) power(w float64) float64 {
	const plateau = 0.55
	x := w / c.peakSpeed
	if x < plateau {
		return c.power(plateau*c.peakSpeed) * x / plateau
	}
	return math.Max(0, 1-c.shape*(1-x*(1+x*(1-x))))
}

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

// accelerate gives the acceleration, m/s², at speed v, m/s, in gear g with crank torque,
// N·m; with what limits and the torques that follow.
func (c *vehicle) accelerate(v float64, g int, torque float64) (a, wheelSpeed, input float64, byTyres bool) {
	r := c.radius * (1 + c.growth*v*v)
	va := v + c.head
	q := va * math.Abs(va)
	weight := c.mass * gravity
	resist := c.drag*q + c.roll*weight*(1-c.driven) + weight*c.grade
	rollDriven := c.roll * weight * c.driven
	body := c.mass + c.jUndriven/(r*r)
	n := c.ratios[g]
	inertia := (c.jDriven + c.efficiency*c.jEngine*n*n) / (r * r)
	a = (c.efficiency*torque*n/r - rollDriven - resist) / (body + inertia)
	force := body*a + resist
	// Load on the driven axle with the transfer that this very force causes.
	k := c.grip * c.use
	limit := k * (c.driven*weight + c.lift*q - c.transfer*resist) / math.Max(0.05, 1-k*c.transfer)
	limit = math.Min(limit, c.wheelie+resist)
	if force > limit {
		force, byTyres = limit, true
		a = (force - resist) / body
	}
	u := math.Min(1, math.Max(0, force/(limit/c.use)))
	s := c.slip * (1 - math.Sqrt(1-u*u))
	wheelSpeed = v * (1 + s) / r
	input = torque
	if !byTyres {
		input = torque - c.jEngine*n*a/r
	} else {
		input = (force + rollDriven) * r / (c.efficiency * n)
	}
	return a, wheelSpeed, input, byTyres
}

const (
	runStep  = 0.08 // s; the closed forms are met within 1e-3
	clearing = 0.5  // s after a shift, from which on peak power counts (design, section 2)
	longest  = 90.0 // s, of a run
)

// run makes a pass of length and trap window, m, with peak crank power, W. The road begins
// where the car stands; a car that does not get there within longest gives trap 0.
func (c *vehicle) run(power, length, window float64) outcome {
	var o outcome
	o.gears = make([]gearRun, 0, len(c.ratios))
	g, v, x, t := 0, 0.0, 0.0, 0.0
	since, factor := math.Inf(1), 1.0 // s in gear after a shift
	cur := gearRun{}
	coast := 0.0 // s of the shift left
	trapAt := math.NaN()
	torqueAt := func(v, w float64) float64 {
		w = math.Max(w, 0.55*c.peakSpeed)
		if w >= c.shiftAt[len(c.shiftAt)-1] && g == len(c.ratios)-1 {
			return 0
		}
		return power * c.power(w) / w * c.share[g] * factor
	}
	accel := func(v float64) (a, wheel, input float64, tyres bool) {
		if coast > 0 {
			weight := c.mass * gravity
			va := v + c.head
			a = -(c.drag*va*math.Abs(va) + c.roll*weight + weight*c.grade) / (c.mass + (c.jDriven+c.jUndriven)/(c.radius*c.radius))
			return a, 0, 0, false
		}
		// Engine speed from a first look at the slip, then torque from it.
		r := c.radius * (1 + c.growth*v*v)
		w := v / r * c.ratios[g] * 1.02
		_, wheel, _, _ = c.accelerate(v, g, torqueAt(v, w))
		return c.accelerate(v, g, torqueAt(v, wheel*c.ratios[g]))
	}
	tyreTime := 0.0
	for t < longest {
		dt := runStep
		if coast > 0 {
			dt = math.Min(dt, coast)
		}
		if since < c.back {
			factor = c.first + (1-c.first)*since/c.back
			dt = math.Min(dt, c.back-since+1e-9)
		} else {
			factor = 1
		}
		a1, wheel, input, tyres := accel(v)
		if coast <= 0 {
			w := wheel * c.ratios[g]
			last := g == len(c.ratios)-1
			if !last && w >= c.shiftAt[g]*(1-1e-9) {
				cur.to, cur.end = v, w
				o.gears = append(o.gears, cur.closed(tyreTime))
				cur, tyreTime, coast = gearRun{}, 0, c.dead
				g++
				continue
			}
			if !last && a1 > 0 {
				// Step no further than to the shift.
				if left := (c.shiftAt[g]/w - 1) * v; left > 0 && left/a1 < dt {
					dt = math.Max(left/a1, 1e-4)
				}
			}
			torque := torqueAt(v, w)
			if cur.time == 0 {
				cur.from = v
				if len(o.gears) > 0 {
					cur.begin = w
				}
			}
			hub := c.efficiency * input * c.ratios[g]
			cur.torque, cur.input, cur.hub = math.Max(cur.torque, torque), math.Max(cur.input, input), math.Max(cur.hub, hub)
			cur.time += dt
			if tyres {
				tyreTime += dt
			}
			if since > clearing {
				o.wheel = math.Max(o.wheel, hub*wheel)
			}
			if last && torque == 0 {
				o.limiter = true
			}
		}
		// Runge–Kutta of second order (midpoint).
		am, _, _, _ := accel(math.Max(0, v+a1*dt/2))
		vn := math.Max(0, v+am*dt)
		xn := x + (v+a1*dt/2)*dt
		if math.IsNaN(trapAt) && xn >= length-window {
			trapAt = t + reach(x, v, am, length-window)
		}
		if xn >= length {
			h := reach(x, v, am, length)
			o.line = v + am*h
			o.time = t + h
			if h > 0 {
				o.trap = window / (o.time - trapAt)
			}
			break
		}
		x, v, t = xn, vn, t+dt
		since += dt
		if coast > 0 {
			if coast -= dt; coast <= 1e-9 {
				coast, since = 0, 0
			}
		}
	}
	o.last = g + 1
	_, wheel, _, _ := accel(o.line)
	o.lastSpeed = wheel * c.ratios[g]
	cur.to, cur.end = o.line, o.lastSpeed
	o.gears = append(o.gears, cur.closed(tyreTime))
	return o
}

func (g gearRun) closed(tyreTime float64) gearRun {
	if g.time > 0 {
		g.byTyres = tyreTime / g.time
	}
	return g
}

// reach is the time, s, from x, m, at v, m/s, with acceleration a, m/s², to the distance to, m.
func reach(x, v, a, to float64) float64 {
	d := to - x
	if math.Abs(a) < 1e-9 {
		return d / v
	}
	return (math.Sqrt(math.Max(0, v*v+2*a*d)) - v) / a
}

// powerFor is the peak crank power, W, whose trap speed is target, m/s; +Inf when no
// power gives it, for grip or gears end before. The root is found in the logarithm of power
// by the Illinois method (M. Dowell, P. Jarratt, BIT 11 (1971) 168–174), to 2e-5.
func (c *vehicle) powerFor(target, length, window float64) float64 {
	miss := func(u float64) float64 { return c.run(math.Exp(u), length, window).trap - target }
	const most = 6e6 // W
	lo, hi := math.Log(1e5), math.Log(4e5)
	flo, fhi := miss(lo), miss(hi)
	for fhi < 0 {
		lo, flo = hi, fhi
		if hi += 0.5; hi > math.Log(most) {
			return math.Inf(1)
		}
		fhi = miss(hi)
	}
	for flo > 0 {
		hi, fhi = lo, flo
		if lo -= 0.7; lo < math.Log(1e3) {
			return math.Exp(lo)
		}
		flo = miss(lo)
	}
	side := 0
	for range 60 {
		if hi-lo < 2e-5 {
			break
		}
		u := (lo*fhi - hi*flo) / (fhi - flo)
		if !(u > lo && u < hi) {
			u = (lo + hi) / 2
		}
		f := miss(u)
		switch {
		case math.Abs(f) < 1e-5*target:
			return math.Exp(u)
		case f > 0:
			hi, fhi = u, f
			if side == 1 {
				flo /= 2
			}
			side = 1
		default:
			lo, flo = u, f
			if side == -1 {
				fhi /= 2
			}
			side = -1
		}
	}
	return math.Exp((lo + hi) / 2)
}
