package reconstruct

import (
	"fmt"
	"math"

	"traplight/internal/car"
	"traplight/internal/force"
	"traplight/internal/gears"
	"traplight/internal/quantity"
)

// driveline is what gears tell of one sweep.
type driveline struct {
	ratios     []float64 // overall, by gear
	spans      []gears.Span
	shifts     []shift
	lift       float64   // s, run clock, start of the final lift; +Inf when there was none
	hub        []float64 // N·m by sample, with the body as believed before the pass
	scaled     bool      // the wheel channel was brought to the engine's scale by the gear ratios
	hasWheel   bool      // driven wheels have their own sensor
	byThrottle bool      // the lift was told by a throttle
	blurred    bool      // a receiver alone tells the motion: edges of torque are smeared
	radius     float64   // m, rolling radius as believed before the pass
	full       []bool    // by sample: full throttle outside shifts
	notes      []string
}

// shift is one change of gear.
type shift struct {
	from, to int
	edge     gears.Edge
	seen     bool    // torque was seen to fall and rise; else the edges are those of the ratio
	left     float64 // s, old ratio last seen
	right    float64 // s, new ratio first seen
	missed   bool
}

func (d *shift) start() float64 {
	if d.seen {
		return d.edge.Off
	}
	return d.left
}

func (d *shift) end() float64 {
	if d.seen {
		return d.edge.On
	}
	return d.right
}

// findGears runs the hidden Markov model on the grid and finds the shifts.
func (s *signals) findGears(w *sweep, g *grid, sheet *car.Sheet, b *force.Body, sur force.Surroundings) *driveline {
	d := &driveline{lift: math.Inf(1), radius: b.Radius, blurred: s.accel == nil && len(s.undriven) == 0}
	for _, r := range sheet.Gears {
		f := sheet.FinalDrive
		if f <= 0 {
			f = 1
		}
		d.ratios = append(d.ratios, r*f)
	}
	known := 0
	for i := range g.wheel {
		if !math.IsNaN(g.wheel[i]) && g.v[i] > 3 {
			known++
		}
	}
	moving := 0
	for i := range g.v {
		if g.v[i] > 3 {
			moving++
		}
	}
	d.hasWheel = moving > 0 && known*10 > moving*7
	d.lift = s.finalLift(w, g)
	for i := range g.throttle {
		d.byThrottle = d.byThrottle || !math.IsNaN(g.throttle[i])
	}
	if s.engine == nil || len(d.ratios) == 0 {
		switch {
		case s.engine == nil:
			d.notes = append(d.notes, "no gears: a channel for engine speed would give them")
		default:
			d.notes = append(d.notes, "no gears: the car sheet has no gear ratios ([driveline] gears and final_drive)")
		}
		d.torque(g, b, sur)
		return d
	}
	p := &gears.Problem{Ratios: d.ratios, From: g.start, Step: gridStep, Engine: g.engine, Logged: g.logged, Pull: g.a, Clutch: g.clutch, Throttle: g.throttle}
	if d.hasWheel {
		p.Wheel = append([]float64(nil), g.wheel...)
		p.Spread = 0.025
		spans, path := gears.Find(p)
		if k, n := d.scale(g, path); n > 100 && math.Abs(k) < 0.06 {
			for i := range g.wheel {
				g.wheel[i] *= math.Exp(k)
				g.dWheel[i] *= math.Exp(k)
			}
			d.scaled = true
			p.Wheel, p.Spread = g.wheel, 0.010
			spans, _ = gears.Find(p)
		}
		d.spans = spans
	} else {
		p.FromCar = true
		p.Wheel = make([]float64, g.n)
		for i, v := range g.v {
			p.Wheel[i] = v / b.RadiusAt(v)
		}
		// until the clutch has closed, engine speed tells nothing of the wheels
		if lock, ok := clutchLock(g, w.launch); ok {
			for i := 0; i < g.index(lock); i++ {
				p.Wheel[i] = math.NaN()
			}
		}
		d.spans, _ = gears.Find(p)
	}
	d.spans = gears.Tidy(d.spans, 0.3, 0.12)
	d.trim(w)
	d.torque(g, b, sur)
	d.dropIdle(g)
	d.torque(g, b, sur)
	d.findShifts(g)
	return d
}

// clutchLock is when the clutch closed after the launch: engine speed, which flares
// as the throttle opens, is drawn down to the wheels and turns upward again.
func clutchLock(g *grid, launch float64) (float64, bool) {
	i0, i1 := g.index(launch-0.1), g.index(launch+0.4)
	top := i0
	for i := i0; i <= i1; i++ {
		if g.engine[i] > g.engine[top] || math.IsNaN(g.engine[top]) {
			top = i
		}
	}
	low := top
	for i := top; i < g.n && g.at(i) < launch+3; i++ {
		if math.IsNaN(g.engine[i]) {
			continue
		}
		if g.engine[i] < g.engine[low] {
			low = i
		}
		if g.engine[i] > 1.08*g.engine[low] && i > low+3 {
			if g.engine[low] < 0.985*g.engine[top] {
				return g.at(low), true
			}
			break
		}
	}
	return 0, false
}

// dropIdle removes short contacts without torque: an engine that sweeps through a
// gear's ratio while the clutch is open, as in a missed shift.
func (d *driveline) dropIdle(g *grid) {
	var levels []float64
	level := func(s gears.Span) float64 { return median(d.hub[max(0, s.First):min(g.n, s.Last+1)]) }
	for _, s := range d.spans {
		levels = append(levels, level(s))
	}
	typical := median(levels)
	var out []gears.Span
	for i, s := range d.spans {
		if s.To-s.From < 0.6 && levels[i] < 0.2*typical {
			continue
		}
		out = append(out, s)
	}
	d.spans = gears.Tidy(out, 3, 0.12)
}

// scale is the median of ln(engine speed / ratio / wheel speed) over samples with
// the clutch closed: the wheel channel's scale against the gear ratios, which are exact.
func (d *driveline) scale(g *grid, path []int) (k float64, n int) {
	var x []float64
	for i, gear := range path {
		if gear > 0 && g.v[i] > 8 && g.wheel[i] > 0 {
			x = append(x, math.Log(g.engine[i]/d.ratios[gear-1]/g.wheel[i]))
		}
	}
	return median(x), len(x)
}

// trim drops spans before the launch and cuts at the final lift.
func (d *driveline) trim(w *sweep) {
	var out []gears.Span
	for _, s := range d.spans {
		if s.To < w.launch || s.From > math.Min(d.lift+0.15, w.braked) {
			continue
		}
		out = append(out, s)
	}
	d.spans = out
}

// torque fills hub torque by sample.
func (d *driveline) torque(g *grid, b *force.Body, sur force.Surroundings) {
	d.hub = make([]float64, g.n)
	at := 0
	for i := range d.hub {
		t := g.at(i)
		dw := g.a[i] / b.RadiusAt(g.v[i])
		for at < len(d.spans) && t > d.spans[at].To {
			at++
		}
		locked := at < len(d.spans) && t >= d.spans[at].From
		switch {
		case d.hasWheel && !math.IsNaN(g.dWheel[i]) && g.v[i] > 2:
			dw = g.dWheel[i]
		case !d.hasWheel && locked && !math.IsNaN(g.dEngine[i]):
			dw = g.dEngine[i] / d.ratios[d.spans[at].Gear-1]
		}
		d.hub[i] = b.HubTorque(sur, g.v[i], g.a[i], dw)
	}
}

// findShifts finds the edges between consecutive spans.
func (d *driveline) findShifts(g *grid) {
	q := &gears.Torque{From: g.start, Step: gridStep, Hub: d.hub}
	if d.byThrottle {
		q.Throttle = g.throttle
	}
	for i := 1; i < len(d.spans); i++ {
		a, b := d.spans[i-1], d.spans[i]
		if a.Gear == b.Gear {
			continue
		}
		sh := shift{from: a.Gear, to: b.Gear, left: a.To, right: b.From}
		if !d.byThrottle {
			q.Throttle = g.shut(a.To-0.15, b.From+0.4)
		}
		sh.edge, sh.seen = gears.FindEdge(q, a.From+0.1, a.To, b.From, d.ratios[b.Gear-1]/d.ratios[a.Gear-1])
		if !d.hasWheel && (d.spinning(g, a.To) || d.blurred) {
			// wheels that spin push on while the clutch is open; without their own sensor
			// only the ratio tells when it opened and closed
			sh.seen = false
			if t, ok := d.eased(g, a.From, a.To, b.From, d.spinning(g, a.To)); ok {
				sh.left = t
			}
		}
		d.shifts = append(d.shifts, sh)
	}
	// a shift that took far longer than the car's others was missed at first
	var took []float64
	for i := range d.shifts {
		took = append(took, d.shifts[i].end()-d.shifts[i].start())
	}
	if len(took) >= 3 {
		m := median(took)
		for i := range d.shifts {
			if took[i] > 2*m+0.15 {
				d.shifts[i].missed = true
			}
		}
	}
}

// reopening is the time, s, from the lowest manifold pressure in a shift to a throttle
// 0.3 open: pressure turns when the blade leaves its stop, and an actuator or a foot
// goes a third of the way in some hundredths. Chosen with simulated logs in view, 26 to
// 30 ms in both simulators; no source.
const reopening = 0.028

// shut stands for a throttle channel about one shift, by manifold pressure between two
// times: 0 until it has turned upward again, else 1. nil when pressure never fell away,
// the throttle having stayed open.
func (g *grid) shut(from, to float64) []float64 {
	if g.manifold == nil {
		return nil
	}
	i0, i1 := g.index(from), g.index(to)
	before, low := g.manifold[i0], i0
	for i := g.index(from - 0.35); i < i0; i++ {
		before = math.Max(before, g.manifold[i])
	}
	for i := i0; i <= i1; i++ {
		if g.manifold[i] < g.manifold[low] {
			low = i
		}
	}
	if !(g.manifold[low] < 0.6*before) || low == i1 {
		return nil
	}
	// where the line through the first of its rise meets the lowest: the bottom is flat
	pass := func(share float64) float64 {
		level := g.manifold[low] + share*(before-g.manifold[low])
		for i := i1; i > low; i-- {
			if g.manifold[i-1] < level && g.manifold[i] >= level {
				return g.at(i-1) + gridStep*(level-g.manifold[i-1])/(g.manifold[i]-g.manifold[i-1])
			}
		}
		return math.NaN()
	}
	t1, t2 := pass(0.05), pass(0.15)
	turn := t1 - 0.5*(t2-t1)
	if !(turn > g.at(low)-0.02) {
		turn = g.at(low)
	}
	out := make([]float64, g.n)
	back := g.index(turn + reopening)
	for i := range out {
		if i < i0 || i >= back {
			out[i] = 1
		}
	}
	return out
}

// eased is when the drive was taken away at the end of a span in gear, s, where nothing
// feels torque: a throttle that closes, else the moment at which engine speed leaves
// the line on which it rose in gear, up with the clutch open or down with the throttle.
// Wheels that spin give back what they hold when the engine is cut: they and the engine
// fall together until the clutch opens, and so long the hubs carry torque. next is when
// the new ratio was first seen, s.
func (d *driveline) eased(g *grid, since, until, next float64, spinning bool) (float64, bool) {
	at := -1.0
	for i := g.index(until - 0.6); i < g.index(until+0.05); i++ {
		if g.throttle[i] >= 0.35 && g.throttle[i+1] < 0.35 {
			at = g.at(i + 1)
		}
	}
	if at > 0 {
		return at, true
	}
	from := math.Max(since+0.1, until-1.2)
	var rate []float64
	for i := g.index(from); i <= g.index(until); i++ {
		if !math.IsNaN(g.dEngine[i]) {
			rate = append(rate, g.dEngine[i])
		}
	}
	if len(rate) < 25 {
		return 0, false
	}
	usual := median(rate)
	for i := range rate {
		rate[i] = math.Abs(rate[i] - usual)
	}
	off := math.Max(math.Max(0.5*math.Abs(usual), 4*median(rate)), 150)
	// back to the last 60 ms in which it rose as usual
	steady, k := 0, -1
	for i := g.index(until + 0.02); i > g.index(from); i-- {
		if math.Abs(g.dEngine[i]-usual) < off {
			if steady++; steady == 6 {
				k = i + 6
				break
			}
		} else {
			steady = 0
		}
	}
	if k < 0 || k >= g.n {
		return 0, false
	}
	if spinning && g.dEngine[k] < usual {
		steep, at := 0.0, k
		for i := k - 4; i < g.n && g.at(i) < math.Min(next-0.04, g.at(k)+0.15); i++ {
			if g.dEngine[i] < steep {
				steep, at = g.dEngine[i], i
			}
		}
		for i := at; i < g.n && g.at(i) < next-0.02; i++ {
			if g.dEngine[i] > steep/2 {
				return g.at(i), true
			}
		}
	}
	// the corner lies where the smoothed rate is half way to what follows
	far := g.dEngine[k]
	for i := k; i < min(g.n, k+6) && g.at(i) < until+0.05; i++ {
		if math.Abs(g.dEngine[i]-usual) > math.Abs(far-usual) {
			far = g.dEngine[i]
		}
	}
	for i := k - 6; i < min(g.n-1, k+6); i++ {
		if math.Abs(g.dEngine[i]-usual) > math.Abs(far-usual)/2 {
			return g.at(i), true
		}
	}
	return g.at(k), true
}

// spinning reports whether the tyres spun before t, by engine speed in gear.
func (d *driveline) spinning(g *grid, t float64) bool {
	for i := g.index(t - 0.15); i < g.index(t-0.03); i++ {
		om := d.omega(g, i)
		if !math.IsNaN(om) && g.v[i] > 3 && om*d.radius/g.v[i]-1 > 0.15 {
			return true
		}
	}
	return false
}

// finalLift is when the driver closed the throttle for good, s; +Inf when the log
// ends before. Without a throttle it is when the pull ends for good.
func (s *signals) finalLift(w *sweep, g *grid) float64 {
	last := -1
	known := false
	for i := range g.throttle {
		if math.IsNaN(g.throttle[i]) {
			continue
		}
		known = true
		if g.throttle[i] > 0.9 && g.at(i) > w.launch {
			last = i
		}
	}
	if known {
		if last >= 0 {
			// the lift is where the throttle is half closed
			for i := last; i < g.n; i++ {
				if g.throttle[i] < 0.5 {
					return g.at(i-1) + gridStep*(g.throttle[i-1]-0.5)/math.Max(g.throttle[i-1]-g.throttle[i], 1e-6)
				}
			}
			return math.Inf(1)
		}
		if last < 0 { // never fully open: the last time above half
			for i := range g.throttle {
				if g.throttle[i] > 0.5 && g.at(i) > w.launch {
					last = i
				}
			}
			if last >= 0 && last < g.n-3 {
				return g.at(last)
			}
		}
		return math.Inf(1)
	}
	// from motion: the last sample that still pulled
	for i := g.n - 1; i > 0; i-- {
		if g.a[i] > 0.4 {
			if i < g.n-8 {
				return g.at(i)
			}
			return math.Inf(1)
		}
	}
	return math.Inf(1)
}

// fullThrottle marks samples of full throttle outside shifts, from launch to
// lift or line.
func (d *driveline) fullThrottle(w *sweep, g *grid, until float64) (byThrottle bool) {
	d.full = make([]bool, g.n)
	for i := range g.throttle {
		if !math.IsNaN(g.throttle[i]) {
			byThrottle = true
			break
		}
	}
	top := 0.0
	for i := range d.hub {
		top = math.Max(top, d.hub[i]*g.v[i])
	}
	for i := range d.full {
		t := g.at(i)
		if t < w.launch || t > until || t > d.lift {
			continue
		}
		in := false
		for k := range d.shifts {
			if t >= d.shifts[k].start() && t <= d.shifts[k].end() {
				in = true
				break
			}
		}
		if in {
			continue
		}
		if byThrottle {
			d.full[i] = g.throttle[i] > 0.9
		} else {
			d.full[i] = d.hub[i] > 0
		}
	}
	return byThrottle
}

func estimate(v, sd float64) *quantity.Estimate { return &quantity.Estimate{Value: v, SD: sd} }

func plural(n int, one, many string) string {
	if n == 1 {
		return fmt.Sprintf("1 %s", one)
	}
	return fmt.Sprintf("%d %s", n, many)
}
