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

// plateau is the engine speed over that of peak power, 1, below which torque stays.
const plateau = 0.55

// power is the crank power over its peak, 1, at engine speed w, rad/s: x + x² − x³ (Genta),
// with x the speed over that of peak power, its fall beside the peak multiplied by shape.
// Below plateau the torque stays.
func (c *vehicle) power(w float64) float64 {
	x := w / c.peakSpeed
	if x < plateau {
		return c.power(plateau*c.peakSpeed) * x / plateau
	}
	return math.Max(0, 1-c.shape*(1-x*(1+x*(1-x))))
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
