package reconstruct

import (
	"math"

	"traplight/internal/car"
	"traplight/internal/force"
	"traplight/internal/grip"
	"traplight/internal/motion"
	"traplight/internal/quantity"
)

// free lists the stretches within shifts in which the driven wheels roll free.
func (d *driveline) free(g *grid) []motion.Span {
	var out []motion.Span
	for i := range d.shifts {
		sh := &d.shifts[i]
		if !sh.seen {
			continue
		}
		a, b := sh.edge.Off+0.06, math.Min(sh.edge.On, sh.right+0.05)-0.05
		if b-a < 0.06 {
			continue
		}
		// torque really gone in between
		gone := true
		for k := g.index(a); k <= g.index(b); k++ {
			if math.Abs(d.hub[k]) > 0.25*sh.edge.Before {
				gone = false
			}
		}
		if gone {
			out = append(out, motion.Span{From: a, To: b})
		}
	}
	return out
}

// coast weighs the clutch-open rolls.
func (d *driveline) coast(w *sweep, g *grid, b *force.Body, sur force.Surroundings, prior force.Resistance) force.Resistance {
	var rolls []force.Roll
	for _, f := range d.free(g) {
		_, v1, _ := w.res.At(f.From)
		_, v2, _ := w.res.At(f.To)
		dt := f.To - f.From
		rolls = append(rolls, force.Roll{V: (v1 + v2) / 2, Accel: (v2 - v1) / dt, SD: w.res.SpeedChangeSD(f.From, f.To) / dt})
	}
	return force.Coast(*b, sur, prior, rolls)
}

// omega is the driven wheels' speed, rad/s, at sample i: by their own sensor, or
// by the engine where the clutch is closed; NaN where neither tells.
func (d *driveline) omega(g *grid, i int) float64 {
	if d.hasWheel {
		return g.wheel[i]
	}
	t := g.at(i)
	for k, sp := range d.spans {
		if t < sp.From || t > sp.To-0.02 {
			continue
		}
		if k > 0 && t < d.closed(g, k) {
			return math.NaN()
		}
		return g.engine[i] / d.ratios[sp.Gear-1]
	}
	return math.NaN()
}

// closed is when the clutch has closed after the shift into span k, s: the engine,
// which is dragged down to the new gear, no longer falls at more than a third of its
// fastest. A clutch still slips after the ratio first fits, when tyres spin.
func (d *driveline) closed(g *grid, k int) float64 {
	from := d.spans[k].From
	i0, i1 := g.index(from-0.12), g.index(from+0.15)
	low := i0
	for i := i0; i <= i1; i++ {
		if g.dEngine[i] < g.dEngine[low] {
			low = i
		}
	}
	if !(g.dEngine[low] < -100) {
		return from
	}
	for i := low; i < g.n && g.at(i) < from+0.35; i++ {
		if g.dEngine[i] > g.dEngine[low]/3 {
			return math.Max(from, g.at(i))
		}
	}
	return from + 0.2
}

// gearAt is the gear at time t, 0 within shifts and outside all.
func (d *driveline) gearAt(t float64) int {
	for k := range d.shifts {
		if t > d.shifts[k].start() && t < d.shifts[k].end() {
			return 0
		}
	}
	for _, sp := range d.spans {
		// between torque edge and ratio edge the old gear still holds, or the new one already
		if t >= sp.From-0.3 && t <= sp.To+0.3 && !d.left(sp.Gear, sp.From, t) {
			return sp.Gear
		}
	}
	return 0
}

// left tells that the gear entered at from was left again, by a shift that was over at t.
func (d *driveline) left(gear int, from, t float64) bool {
	for k := range d.shifts {
		if s := &d.shifts[k]; s.from == gear && s.end() > from && s.end() <= t {
			return true
		}
	}
	return false
}

// drivenGrowthSD is how far the driven tyres' growth may lie from that of the wheels that only
// roll, s²/m²: they are wider and softer, as a rule of another make (common practice, no source).
const drivenGrowthSD = 1.5e-6

// grip fits the tyre curve.
func (d *driveline) grip(g *grid, b *force.Body, sur force.Surroundings, sheet *car.Sheet, w *sweep) grip.Curve {
	const k = 5 // 50 ms
	var samples []grip.Sample
	free := d.free(g)
	mean := func(i int) (v, om, a float64, ok bool) {
		for j := i; j < i+k; j++ {
			o := d.omega(g, j)
			if math.IsNaN(o) {
				return 0, 0, 0, false
			}
			v += g.v[j]
			om += o
			a += g.a[j]
		}
		return v / k, om / k, a / k, true
	}
	for i := 0; i+k <= g.n; i += k {
		t1, t2 := g.at(i), g.at(i+k-1)
		if t1 < w.launch || g.v[i] < 3 || t2 > math.Min(d.lift, w.braked)-0.02 {
			continue
		}
		gear := d.gearAt((t1 + t2) / 2)
		near := false
		for j := range d.shifts {
			if t2 > d.shifts[j].start()-0.06 && t1 < d.shifts[j].end()+0.12 {
				near = true
			}
		}
		if near {
			in := false
			for _, f := range free {
				if t1 >= f.From && t2 <= f.To {
					in = true
				}
			}
			if !in || !d.hasWheel {
				continue
			}
			gear = 0
		} else if gear == 0 {
			continue
		}
		v, om, a, ok := mean(i)
		if !ok || om <= 0 {
			continue
		}
		load := b.DrivenLoad(sur, v, a)
		if load < 500 {
			continue
		}
		samples = append(samples, grip.Sample{V: v, Omega: om, Used: b.TyreForce(sur, v, a) / load, Gear: gear})
	}
	growth := quantity.Estimate{Value: b.Growth, SD: drivenGrowthSD}
	scale := 0.0
	if d.hasWheel && !d.scaled {
		scale = 0.02
	}
	radius := sheet.TyreRadius
	if d.kept {
		// speed was made of these wheels by this radius: it cannot tell the radius
		radius.SD, growth.SD = 1e-5*radius.Value, 1e-8
	}
	c := grip.Fit(&grip.Problem{Samples: samples, Gears: len(d.ratios), Radius: radius, Growth: growth, ScaleSD: scale})
	if d.kept {
		c.Radius.SD, c.Growth.SD = sheet.TyreRadius.SD, 1.2e-6
	}
	return c
}

// findShiftsAgain finds the edges again with the torque as now known.
func (d *driveline) findShiftsAgain(g *grid) {
	if d.kept {
		return
	}
	d.shifts = nil
	d.findShifts(g)
}
