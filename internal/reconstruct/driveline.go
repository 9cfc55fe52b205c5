package reconstruct

import (
	"math"
	"slices"

	"traplight/internal/car"
	"traplight/internal/force"
	"traplight/internal/gears"
	"traplight/internal/motion"
	"traplight/internal/num/stats"
	"traplight/internal/quantity"
)

// driveline is what gears tell of one sweep.
type driveline struct {
	ratios     []float64 // overall, by gear
	spans      []gears.Span
	shifts     []shift
	lift       float64       // s, run clock, start of the final lift; +Inf when there was none
	hub        []float64     // N·m by sample, with the body as believed before the pass
	scaled     bool          // the wheel channel was brought to the engine's scale by the gear ratios
	scaledBy   float64       // 1, natural logarithm of by how much
	kept       bool          // gears and shifts are the first sweep's: driven wheels alone tell speed
	sure       []motion.Span // then: where they tell it, tyres not spinning
	hasWheel   bool          // driven wheels have their own sensor
	byThrottle bool          // the lift was told by a throttle
	blurred    bool          // a receiver alone tells the motion: edges of torque are smeared
	byEngine   bool          // the wheels' speed was made from the engine's
	radius     float64       // m, rolling radius as believed before the pass
	full       []bool        // by sample: full throttle outside shifts
	notes      []string
}

// findGears runs the hidden Markov model on the grid and finds the shifts.
func (s *signals) findGears(w *sweep, g *grid, sheet *car.Sheet, b *force.Body, sur force.Surroundings) *driveline {
	d := &driveline{lift: math.Inf(1), radius: b.Radius, byEngine: s.byEngine, blurred: s.accel == nil && len(s.undriven) == 0}
	d.ratios = overall(sheet)
	d.hasWheel = mostlyKnown(g)
	d.lift = s.finalLift(w, g)
	for i := range g.throttle {
		d.byThrottle = d.byThrottle || !math.IsNaN(g.throttle[i])
	}
	switch {
	case s.engine == nil:
		d.notes = append(d.notes, "no gears: a channel for engine speed would give them")
	case len(d.ratios) == 0:
		d.notes = append(d.notes, "no gears: the car sheet has no gear ratios ([driveline] gears and final_drive)")
	default:
		d.spans = gears.Tidy(d.findSpans(w, g, b), joinGap, leastSpan)
		d.trim(w)
		d.torque(g, b, sur)
		d.dropIdle(g)
		d.torque(g, b, sur)
		d.findShifts(g)
		return d
	}
	d.torque(g, b, sur)
	return d
}

const (
	joinGap   = 0.3  // s, spans of one gear nearer than this are one
	missedGap = 3.0  // s, the same once what came between had no torque: a missed shift
	leastSpan = 0.12 // s, spans shorter than this are none
)

// overall are the ratios of engine speed to wheel speed by gear.
func overall(sheet *car.Sheet) []float64 {
	final := sheet.FinalDrive
	if final <= 0 {
		final = 1
	}
	var out []float64
	for _, r := range sheet.Gears {
		out = append(out, r*final)
	}
	return out
}

// mostlyKnown says whether a sensor tells the driven wheels' speed for most of the
// time in which the car moves.
func mostlyKnown(g *grid) bool {
	known, moving := 0, 0
	for i, v := range g.v {
		if v <= 3 { // m/s
			continue
		}
		moving++
		if !math.IsNaN(g.wheel[i]) {
			known++
		}
	}
	return moving > 0 && known*10 > moving*7
}

const (
	wheelSpread  = 0.025 // of ln(engine / wheel), before the wheel channel's scale is known
	scaledSpread = 0.010 // and after
	mostScale    = 0.06  // by which a wheel channel may be off: wrong tyre size, worn tyre, rounding of its teeth
)

// findSpans finds the spans in which a gear holds: from the driven wheels where
// they have a sensor, whose scale the ratios settle, else from the car's speed.
func (d *driveline) findSpans(w *sweep, g *grid, b *force.Body) []gears.Span {
	p := &gears.Problem{Ratios: d.ratios, From: g.start, Step: gridStep, Engine: g.engine, Logged: g.logged, Pull: g.a, Clutch: g.clutch, Throttle: g.throttle}
	if !d.hasWheel {
		p.FromCar = true
		p.Wheel = make([]float64, g.n)
		for i, v := range g.v {
			p.Wheel[i] = v / b.RadiusAt(v)
		}
		// until the clutch has closed, engine speed tells nothing of the wheels
		if lock, ok := clutchLock(g, w.launch); ok && !w.st.late {
			for i := 0; i < g.index(lock); i++ {
				p.Wheel[i] = math.NaN()
			}
		}
		spans, _ := gears.Find(p)
		return spans
	}
	p.Wheel = append([]float64(nil), g.wheel...)
	p.Spread = wheelSpread
	far := d.farOff(g)
	if far != 0 && d.wrongRatios(far, g, b) {
		d.correctRatios(far)
		p.Ratios, far = d.ratios, 0
	}
	if far != 0 {
		for i := range p.Wheel {
			p.Wheel[i] *= math.Exp(far)
		}
	}
	spans, path := gears.Find(p)
	if k, n := d.scale(g, path); n > 100 && math.Abs(k-far) < mostScale {
		d.scaled, d.scaledBy = true, k
		d.rescale(g)
		if far != 0 {
			d.sayFarOff()
		}
		p.Wheel, p.Spread = g.wheel, scaledSpread
		spans, _ = gears.Find(p)
	}
	return spans
}

// rescale brings the wheel channel to the engine's scale.
func (d *driveline) rescale(g *grid) {
	for i := range g.wheel {
		g.wheel[i] *= math.Exp(d.scaledBy)
		g.dWheel[i] *= math.Exp(d.scaledBy)
	}
}

// keep takes another sweep's movement for gears and shifts that stay.
func (d *driveline) keep(g *grid, b *force.Body, sur force.Surroundings, sure []motion.Span) {
	d.kept, d.sure = true, sure
	d.rescale(g)
	d.torque(g, b, sur)
}

// blind tells that at t driven wheels alone would tell the car's speed, and spin.
func (d *driveline) blind(t float64) bool {
	return d.kept && !slices.ContainsFunc(d.sure, func(s motion.Span) bool { return t >= s.From && t <= s.To })
}

// dropIdle removes short contacts without torque: an engine that sweeps through a
// gear's ratio while the clutch is open, as in a missed shift.
func (d *driveline) dropIdle(g *grid) {
	var levels []float64
	level := func(s gears.Span) float64 { return stats.Median(d.hub[max(0, s.First):min(g.n, s.Last+1)]) }
	for _, s := range d.spans {
		levels = append(levels, level(s))
	}
	typical := stats.Median(levels)
	var out []gears.Span
	for i, s := range d.spans {
		if s.To-s.From < 0.6 && levels[i] < 0.2*typical {
			continue
		}
		out = append(out, s)
	}
	d.spans = gears.Tidy(out, missedGap, leastSpan)
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
	return stats.Median(x), len(x)
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

func estimate(v, sd float64) *quantity.Estimate { return &quantity.Estimate{Value: v, SD: sd} }
