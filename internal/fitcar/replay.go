package fitcar

import (
	"math"
	"slices"

	"traplight/internal/sim"
)

// replay is the pass as its driver ran it, for the simulator.
func (w *work) replay(c *sim.Car, drv *Driver, scale []float64, grip, head float64) *sim.Pass {
	p := &sim.Pass{Start: w.start(head), Air: w.air, Grade: w.Grade, Length: w.Length, Window: w.Window,
		Target: w.Target, TorqueScale: scale, GripScale: grip, Nitrous: w.Nitrous}
	if p.Start.Wheel*w.radius < p.Start.V {
		p.Start.Wheel = 0
	}
	n := len(w.ratios) - 1
	p.ShiftSpeed, p.ShiftTime = make([]float64, n), make([]float64, n)
	for g := 1; g <= n; g++ {
		p.ShiftSpeed[g-1], p.ShiftTime[g-1] = math.Inf(1), drv.Time[min(g-1, len(drv.Time)-1)]
		if k := len(w.ShiftAim); k > 0 {
			p.ShiftSpeed[g-1] = w.ShiftAim[min(g-1, k-1)] + drv.OverIn(g)
		}
		if s := w.shiftOut(g); s != nil {
			if !math.IsNaN(s.Speed) {
				p.ShiftSpeed[g-1] = s.Speed
			}
			p.ShiftTime[g-1] = s.duration(p.ShiftTime[g-1])
		}
	}
	return p
}

// What the driver's usual shift says of one shift: its spread, 1 of it and s. Common practice,
// no source.
const usualRel, usualAbs = 0.15, 0.01

// duration is how long the torque was down, s, given how long it usually is: as seen, but for
// edges that the log shows badly.
func (s *ShiftSeen) duration(usual float64) float64 {
	seen := s.End - s.Start
	if s.Missed || s.SD <= 0 || usual <= 0 {
		return seen
	}
	own := square(usualRel*usual + usualAbs)
	return (seen*own + usual*square(s.SD)) / (own + square(s.SD))
}

// forPass is the car as it was in this pass.
func (w *work) forPass(c *sim.Car) *sim.Car {
	v := *c
	v.Mass, v.DragArea, v.Ratios, v.Radius = w.mass, w.drag, w.ratios, w.radius
	return &v
}

// mostGears is the count of gears of the car as it will be run and as it was.
func mostGears(c *sim.Car, ws []*work) int {
	n := len(c.Ratios)
	for _, w := range ws {
		n = max(n, len(w.ratios))
	}
	return n
}

// gearGain is what the motion says of one gear: where it began and ended.
type gearGain struct{ x0, x1, v0, v1 float64 }

// What is left out at the ends of a gear, s: the clutch's transients.
const edgeIn, edgeOut = 0.08, 0.02

// gainOf is the same of a simulated gear, between the same edges and under limit, rad/s; 0
// none.
func gainOf(res *sim.Result, g *sim.Gear, first int, limit float64) *gearGain {
	from, to := g.T0+edgeIn, g.T1-edgeOut
	if g.Gear == first {
		from = g.T0
	}
	var out *gearGain
	for i := range res.Points {
		q := &res.Points[i]
		if q.Gear != g.Gear || q.T < from-0.01 || q.T > to+0.01 {
			continue
		}
		if limit > 0 && q.EngineSpeed > limit-limiterBand && out != nil {
			break
		}
		if out == nil {
			out = &gearGain{x0: q.X, v0: q.V}
		}
		out.x1, out.v1 = q.X, q.V
	}
	if out == nil || out.x1-out.x0 < 1 {
		return nil
	}
	return out
}

// gains are the gears of the pass from its own motion, by gear, as far as the limiter.
func (w *work) gains(c *sim.Car, gears int) []*gearGain {
	out := make([]*gearGain, gears)
	for g := 1; g <= gears; g++ {
		a, b := -1, len(w.X)-1
		if g == w.start(0).Gear {
			a = w.Lock
		}
		for _, s := range w.Shifts {
			if s.To == g {
				a = w.at(s.End + edgeIn)
			}
			if s.From == g {
				b = w.at(s.Start - edgeOut)
			}
		}
		for i := a; i >= 0 && i <= b; i++ {
			if w.limited(c, i) && w.Gear[i] == g {
				b = i
			}
		}
		if a < 0 || b-a < 12 || w.partThrottle(a, b) > 0.06 {
			continue
		}
		out[g-1] = &gearGain{w.X[a], w.X[b], w.V[a], w.V[b]}
	}
	return out
}

// partThrottle is how long, s, the throttle was not open between two samples.
func (w *Observation) partThrottle(a, b int) float64 {
	n := 0
	for i := a; i <= b && i < len(w.Full); i++ {
		if w.Gear[i] > 0 && !w.Full[i] {
			n++
		}
	}
	return float64(n) * w.Step
}

// Lifted tells that the throttle was shut for a while between the launch and the line:
// the trap speed then says little of the car.
func (o *Observation) Lifted() bool {
	from := o.Lock
	for _, s := range o.Shifts {
		if o.partThrottle(from, o.at(s.Start-0.06)) > 0.12 {
			return true
		}
		from = o.at(s.End + 0.2)
	}
	return o.partThrottle(from, len(o.X)-1) > 0.12
}

const (
	scaleSD  = 0.025 // 1, spread of the torque scale of a gear
	scaleObs = 0.012 // 1, spread of one pass's finding about a gear's scale
)

// calibrate sets the torque scale by gear so that the energy gained in each gear
// comes out on average over the passes, beginning at scale, nil for 1. With wide the passes are
// run on all processors.
func calibrate(c *sim.Car, ws []*work, drv *Driver, scale, levels, heads []float64, wide bool) []float64 {
	n, rounds := mostGears(c, ws), 2 // near the answer already
	if scale == nil {
		scale, rounds = slices.Repeat([]float64{1}, n), 4
	}
	meas := make([][]*gearGain, len(ws))
	for k, w := range ws {
		meas[k] = w.gains(c, n)
	}
	found := make([][]gearScale, len(ws))
	for range rounds {
		each(len(ws), wide, func(k int) {
			found[k] = ws[k].scales(c, drv, scale, levels[k], heads[k], meas[k])
		})
		num, den := make([]float64, n), make([]float64, n)
		for _, gears := range found {
			for _, g := range gears {
				num[g.gear-1] += g.weight * g.scale
				den[g.gear-1] += g.weight
			}
		}
		for i := range scale {
			k := den[i] / (scaleObs * scaleObs)
			mean := 1.0
			if den[i] > 0 {
				mean = num[i] / den[i]
			}
			// a gear nobody used takes the mean of the others through the prior
			scale[i] = (k*mean + 1/(scaleSD*scaleSD)) / (k + 1/(scaleSD*scaleSD))
			scale[i] = max(0.85, min(1.15, scale[i]))
		}
	}
	return scale
}

// gearScale is what one pass says of the torque scale of a gear, 1, and how much that counts, 1.
type gearScale struct {
	gear          int
	scale, weight float64
}

// scales lays the pass as replayed with a scale by gear beside its motion, meas.
func (w *work) scales(c *sim.Car, drv *Driver, scale []float64, level, head float64, meas []*gearGain) (out []gearScale) {
	r := sim.Runner{Car: w.forPass(c), Rel: sim.Rough, Watch: true, Keep: 0.02}
	p := w.replay(c, drv, scale, level, head)
	if len(w.X) > 0 {
		p.Length = min(p.Length, w.X[len(w.X)-1])
		p.Window = min(p.Window, 5)
	}
	if p.Length <= p.Start.X+20 {
		return nil
	}
	res, err := r.Run(p)
	if err != nil {
		return nil
	}
	for _, g := range res.Gears {
		m := meas[g.Gear-1]
		if m == nil || g.X1-g.X0 < 2 || m.x1-m.x0 < 2 {
			continue
		}
		body := 0.5 * w.mass
		got := body * (m.v1*m.v1 - m.v0*m.v0) / (m.x1 - m.x0)
		s := gainOf(res, &g, p.Start.Gear, c.RevLimit)
		if s == nil {
			continue
		}
		sim := body * (s.v1*s.v1 - s.v0*s.v0) / (s.x1 - s.x0)
		va := (g.V0 + g.V1) / 2
		drive := sim + 0.5*w.air.Density*w.drag*va*va + c.Rolling*w.mass*9.8
		if drive < 200 {
			continue
		}
		rel := (got - sim) / drive
		weight := w.weight * min(1, (m.x1-m.x0)/40)
		if w.slidIn(g.Gear) > 0.2 {
			continue // the clutch decides there, not the engine
		}
		if g.PastPeak > 0.1 {
			// where the tyre decides, more torque does not help: not the engine's account
			weight *= 0.1
			rel = max(-0.02, min(0.02, rel))
		}
		out = append(out, gearScale{g.Gear, scale[g.Gear-1] * (1 + max(-0.15, min(0.15, rel))), weight})
	}
	return out
}

// Replay is pass k of the record as its driver ran it, and the car of that pass,
// by a member; nil when the member has no such pass.
func (m *Model) Replay(mem *Member, k int) (*sim.Car, *sim.Pass) {
	if k < 0 || k >= len(m.Passes) || k >= len(mem.Heads) {
		return nil, nil
	}
	w := newWork(m.Passes[k].Obs, mem.Car, m.Sheet, nil)
	w.air.Headwind = mem.Winds[k]
	return w.forPass(mem.Car), w.replay(mem.Car, &m.Driver, mem.Scale, mem.Levels[k], mem.Heads[k])
}

// Usual is how the driver usually shifts under the aims of pass k: engine speeds,
// rad/s, and times, s, by gear. speeds is nil when no aim was written down.
func (m *Model) Usual(k int) (speeds, times []float64) {
	o := m.Passes[k].Obs
	return m.ShiftSpeeds(o.ShiftAim), m.Driver.Time
}

// ShiftSpeeds are the engine speeds, rad/s by gear, where torque ends when the
// driver aims at aim, rad/s by gear; nil without an aim.
func (m *Model) ShiftSpeeds(aim []float64) []float64 {
	if len(aim) == 0 {
		return nil
	}
	out := make([]float64, max(1, len(m.Mean.Car.Ratios)-1))
	for g := range out {
		out[g] = aim[min(g, len(aim)-1)] + m.Driver.OverIn(g+1)
	}
	return out
}

// SeenAim are the engine speeds, rad/s by gear, at which the driver of the last pass
// seems to have aimed: where he shifted, less what he is usually over.
func (m *Model) SeenAim() []float64 {
	last := m.Passes[len(m.Passes)-1].Replay
	out := make([]float64, len(last.ShiftSpeed))
	for g, s := range last.ShiftSpeed {
		out[g] = s - m.Driver.OverIn(g+1)
	}
	return out
}
