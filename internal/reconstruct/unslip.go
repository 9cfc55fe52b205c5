package reconstruct

import (
	"math"

	"traplight/internal/force"
	"traplight/internal/motion"
	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// Slip of a driven tyre per used grip, below its peak, where nothing in the log tells it,
// and its spread. Common practice, no source: 10 to 15 % at a peak of 1.3 to 1.5, half of
// that at four fifths of the peak.
const (
	slipPerGrip, slipPerGripSD = 0.042, 0.020

	slipLeft    = 0.006 // 1, wander of slip about what used grip makes of it
	shiftSlipSD = 0.012 // 1, spread of the slip that one shift shows: shafts ring as the clutch opens
	openRing    = 0.06  // s after torque has gone until the wheels turn quietly
	openLeast   = 0.03  // s of quiet turning that tell
	gripMost    = 1.7   // 1, used grip that no tyre reaches on an airfield
	spinOver    = 1.03  // a wheel faster than it later falls to by more than this share spins
	spinBy      = 0.3   // m/s, and by this
)

// byDriven says that nothing but the driven wheels, or the engine for them, tells speed.
func (s *signals) byDriven() bool {
	return len(s.undriven) == 0 && len(s.sat) == 0 && s.accel == nil
}

// unslipped is the slip that the driven tyres have by the force that moves the car, where
// no receiver tells their speed from the car's.
type unslipped struct {
	per    quantity.Estimate // 1, slip per used grip
	byPull float64           // 1 per m/s², slip per acceleration: told by the smoother together with the pull
	drag   trace.Trace       // 1, on the grid: the rest, which drag and rolling ask for
	slip   trace.Trace       // 1, on the grid: both
}

// unslip works the slip out from one sweep. Between gears the clutch is open and a driven
// wheel rolls free: by how much it falls back as the torque goes is its slip before.
func (d *driveline) unslip(g *grid, b *force.Body, sur force.Surroundings) unslipped {
	lines := make([][2]float64, len(d.spans))
	for k, sp := range d.spans {
		lines[k] = d.usedLine(g, b, sur, sp.From, sp.To)
	}
	at := func(k int, t float64) float64 {
		return math.Min(math.Max(lines[k][0]+lines[k][1]*(t-d.spans[k].From), 0), 1.6)
	}
	out := unslipped{per: d.slipByShifts(g, b, sur, at)}
	t := make([]float64, g.n)
	drag, slip := make([]float64, g.n), make([]float64, g.n)
	sum, n := 0.0, 0.0
	for i := range t {
		t[i] = g.at(i)
		load := b.DrivenLoad(sur, g.v[i], g.a[i])
		if load < 500 {
			continue
		}
		still := b.TyreForce(sur, g.v[i], 0)
		drag[i] = out.per.Value * still / load
		slip[i] = out.per.Value * math.Min(b.TyreForce(sur, g.v[i], g.a[i])/load, 1.6)
		if d.gearAt(t[i]) > 0 && g.a[i] > 1 {
			sum, n = sum+(b.TyreForce(sur, g.v[i], g.a[i])-still)/g.a[i]/load, n+1
		}
	}
	if n > 0 {
		out.byPull = out.per.Value * sum / n
	}
	out.drag, out.slip = trace.Trace{T: t, V: drag}, trace.Trace{T: t, V: slip}
	return out
}

// usedLine is used grip, 1, at the start of a time in gear and its rise per second.
func (d *driveline) usedLine(g *grid, b *force.Body, sur force.Surroundings, from, to float64) [2]float64 {
	var n, st, su, stt, stu float64
	for i := g.index(from + edgeGuard); i <= g.index(to-edgeGuard); i++ {
		load := b.DrivenLoad(sur, g.v[i], g.a[i])
		if load < 500 || d.open(g.at(i)) {
			continue
		}
		u := math.Min(math.Max(b.TyreForce(sur, g.v[i], g.a[i])/load, -0.5), 2)
		t := g.at(i) - from
		n, st, su, stt, stu = n+1, st+t, su+u, stt+t*t, stu+t*u
	}
	if n < 10 {
		return [2]float64{}
	}
	rise := 0.0
	if den := n*stt - st*st; den > 0 && to-from > 0.6 {
		rise = (n*stu - st*su) / den
	}
	return [2]float64{(su - rise*st) / n, rise}
}

// open tells that a shift is on.
func (d *driveline) open(t float64) bool {
	for k := range d.shifts {
		if t > d.shifts[k].start() && t < d.shifts[k].right {
			return true
		}
	}
	return false
}

// slipByShifts is slip per used grip as the shifts show it, with what is usual as prior.
func (d *driveline) slipByShifts(g *grid, b *force.Body, sur force.Surroundings, used func(int, float64) float64) quantity.Estimate {
	w := 1 / (slipPerGripSD * slipPerGripSD)
	sum := slipPerGrip * w
	if d.hasWheel {
		for k := range d.shifts {
			sh := &d.shifts[k]
			from, to := sh.start()+openRing, sh.right-0.03
			if !sh.seen || to-from < openLeast || k+1 >= len(d.spans) {
				continue
			}
			before, ok1 := lineTo(g, g.wheel, sh.start()-0.35, sh.start()-0.05, sh.start()-0.02)
			free, ok2 := meanIn(g, g.wheel, from, to)
			if !ok1 || !ok2 || free <= 0 {
				continue
			}
			v := g.v[g.index(sh.start())]
			slow := -b.FreeDecel(sur, v) / math.Max(v, 1) * ((from+to)/2 - sh.start())
			u := used(k, sh.start())
			slip := before/(free*(1+slow)) - 1
			if u < 0.2 || slip > 0.12 || slip < 0 {
				continue // spinning, or no pull
			}
			x := 1 / (shiftSlipSD * shiftSlipSD)
			sum, w = sum+u*slip*x, w+u*u*x
		}
	}
	return quantity.Estimate{Value: sum / w, SD: 1 / math.Sqrt(w)}
}

// meanIn is the mean of the known samples of x between two times.
func meanIn(g *grid, x []float64, from, to float64) (float64, bool) {
	sum, n := 0.0, 0.0
	for i := g.index(from); i <= g.index(to); i++ {
		if !math.IsNaN(x[i]) {
			sum, n = sum+x[i], n+1
		}
	}
	return sum / n, n > 0
}

// lineTo is the straight line through the known samples of x between two times, drawn on to t.
func lineTo(g *grid, x []float64, from, to, t float64) (float64, bool) {
	var n, st, sx, stt, stx float64
	for i := g.index(from); i <= g.index(to); i++ {
		if !math.IsNaN(x[i]) {
			u := g.at(i) - t
			n, st, sx, stt, stx = n+1, st+u, sx+x[i], stt+u*u, stx+u*x[i]
		}
	}
	d := n*stt - st*st
	if n < 5 || d <= 0 {
		return 0, false
	}
	return (sx*stt - st*stx) / d, true
}

// holds marks the samples at which driven wheels tell the car's speed, slip taken off:
// those from which they never fall back, a car under power not slowing, and which no tyre
// could have brought the car to.
func (d *driveline) holds(g *grid, b *force.Body, sur force.Surroundings, slip trace.Trace, from, to float64) []bool {
	out := make([]bool, g.n)
	v := nans(g.n)
	least := math.Inf(1)
	for i := g.n - 1; i >= 0; i-- {
		t, om := g.at(i), d.omega(g, i)
		if t < from || t > to || math.IsNaN(om) {
			continue
		}
		if v[i] = om * b.RadiusAt(g.v[i]) / (1 + slip.V[i]); v[i] < 1 {
			continue
		}
		least = math.Min(least, v[i])
		out[i] = v[i] < least*spinOver+spinBy
	}
	most := 0.0
	for i := g.index(from); i < g.n; i++ {
		r := b.RadiusAt(most)
		force := b.CeilingTorque(sur, gripMost, most) / r
		most += gridStep * math.Max(0, force-b.TyreForce(sur, most, 0)) / b.Mass
		switch {
		case !out[i]:
		case v[i] > most*spinOver+spinBy:
			out[i] = false
		default:
			most = math.Min(most, v[i]*spinOver+spinBy)
		}
	}
	return out
}

// unslip takes the slip that drag asks for off a driven wheel's speed.
func (k *told) unslip(src *motion.Source) {
	if len(k.slip.drag.T) == 0 {
		return
	}
	v := make([]float64, len(src.V))
	for i := range v {
		v[i] = src.V[i]
		if s := sampleAt(k.slip.drag, src.T[i], 0.1); !math.IsNaN(s) {
			v[i] /= 1 + s
		}
	}
	src.V = v
}
