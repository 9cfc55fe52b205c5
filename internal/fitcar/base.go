package fitcar

import (
	"math"
	"math/rand/v2"

	"traplight/internal/car"
	"traplight/internal/quantity"
	"traplight/internal/sim"
)

// Priors of what a sheet does not hold. Common practice, no source, unless named.
const (
	peakSlipPrior, peakSlipPriorSD = 0.14, 0.03   // 1, of a creeping tyre; Pacejka's published set peaks at 0.12 to 0.165
	slideFall, slideFallSD         = 0.008, 0.006 // s/m, loss of friction by sliding speed, as in package grip
	tyreShape, tyreShapeSD         = 1.45, 0.2    // 1, C of the curve without curvature term; Pacejka's set has 1.685 with it
	loadSens, loadSensSD           = 0.06, 0.03   // 1 per doubling of load; Pacejka's set has 0.037
	dumpPrior, dumpPriorSD         = 0.6, 0.25    // 1, share of the engine's surplus momentum that reaches the car
	nitrousFlow, nitrousFlowSD     = 0.043, 0.012 // kg/s, a usual single fogger (75 kW)
	nitrousPerKg, nitrousPerKgSD   = 0.7e6, 0.5e6 // J/kg at the crank: the oxygen of 1 kg burns 1.57 kg of air's fuel, but late, with the ignition drawn back
	nitrousFeed                    = 2.0e6        // J/kg in the exhaust, see sim.Nitrous.Feed
	nitrousBelow                   = 8e3          // Pa under target at which it opens
)

// tyrePeak is the prior of peak grip, 1, by what the tyre is called.
func tyrePeak(text string) (peak, sd float64) {
	switch {
	case contains(text, "drag radial"):
		return 1.55, 0.25
	case contains(text, "semi"):
		return 1.25, 0.2
	case contains(text, "slick"):
		return 1.6, 0.3
	}
	return 1.1, 0.2
}

// draws disturbs priors for one ensemble member; a nil *draws leaves them alone.
type draws struct{ r *rand.Rand }

// of draws from an estimate, within 2.5 standard deviations.
func (d *draws) of(e quantity.Estimate) float64 { return d.normal(e.Value, e.SD) }

func (d *draws) normal(mean, sd float64) float64 {
	if d == nil || sd <= 0 || math.IsNaN(sd) {
		return mean
	}
	for {
		if z := d.r.NormFloat64(); math.Abs(z) < 2.5 {
			return mean + sd*z
		}
	}
}

// positive draws log-normally about a positive mean.
func (d *draws) positive(e quantity.Estimate) float64 {
	if e.Value <= 0 {
		return e.Value
	}
	return e.Value * math.Exp(d.normal(0, min(0.6, e.SD/e.Value)))
}

// chassis makes the parts of a car that are stated, not fitted. radius and growth
// come from the passes.
func chassis(s *car.Sheet, radius, growth float64, d *draws) sim.Car {
	c := sim.Car{
		Mass: d.positive(s.Mass), DragArea: d.positive(s.DragArea), Rolling: d.positive(s.RollingResist),
		EngineInertia: d.positive(s.EngineInertia), DrivenInertia: d.positive(s.DrivenInertia), UndrivenInertia: d.positive(s.UndrivenInertia),
		Efficiency: min(0.995, max(0.7, 1-d.of(s.LossShare))), Radius: radius, Growth: growth, RevLimit: s.RevLimit,
		Dump: min(1, max(0, d.normal(dumpPrior, dumpPriorSD))),
	}
	share := min(0.9, max(0.1, d.of(s.FrontWeightShare)))
	h := d.positive(s.CGHeight) / s.Wheelbase.Value
	switch s.Driven {
	case car.FrontDriven:
		c.DrivenShare, c.Transfer, c.LiftDriven = share, -h, d.of(s.LiftFront)
	case car.RearDriven:
		c.DrivenShare, c.Transfer, c.LiftDriven = 1-share, h, d.of(s.LiftRear)
	default:
		c.DrivenShare, c.Transfer, c.LiftDriven = 1, 0, d.of(s.LiftFront)+d.of(s.LiftRear)
	}
	c.Ratios = overall(s)
	c.Tyre = sim.Tyre{Shape: tyreShape, LoadSens: max(0, d.normal(loadSens, loadSensSD)), RefLoad: c.DrivenShare * c.Mass * 9.80665}
	c.Clutch = clutchOf(s)
	c.Nitrous = sim.Nitrous{Below: nitrousBelow, Gears: s.Nitrous.Gears}
	if s.Nitrous.BelowTarget > 0 {
		c.Nitrous.Below = s.Nitrous.BelowTarget
	}
	flow := s.Nitrous.Flow
	if flow <= 0 {
		flow = max(0.012, d.normal(nitrousFlow, nitrousFlowSD))
	}
	c.Nitrous.Power = flow * max(0.2e6, d.normal(nitrousPerKg, nitrousPerKgSD))
	c.Nitrous.Feed = flow * nitrousFeed
	return c
}

// How a clutch closes after a shift. Common practice, no source.
const (
	footClose  = 0.07 // s in which a foot lets the clutch in
	shaftTwist = 15e3 // N·m/rad, both shafts of an axle together
)

// How long after a shift the hubs do not yet show the engine's torque, s. Measured on
// simulated passes: within 1 % from there on.
const afterHeld, afterLifted = 0.16, 0.3

// clutchOf is the clutch of the sheet: a rating is taken for what it passes slipping.
func clutchOf(s *car.Sheet) sim.Clutch {
	k := sim.Clutch{Capacity: s.ClutchTorque, Shaft: shaftTwist}
	if lifted(s) || contains(s.ShiftStyle, "clutch") {
		k.Close = footClose
	}
	return k
}

// overall are the ratios from engine to wheels, 1, by gear.
func overall(s *car.Sheet) []float64 {
	out := make([]float64, len(s.Gears))
	for i, g := range s.Gears {
		out[i] = g * s.FinalDrive
	}
	return out
}

// work is an observation with what a member derives from it.
type work struct {
	*Observation
	air    sim.Air
	ratios []float64 // 1, overall, of this pass
	radius float64   // m, of this pass's tyres near standstill
	mass   float64   // kg, of this pass
	drag   float64   // m², of this pass
	torque []float64 // N·m, crank, by sample; NaN where it cannot be told
	used   []float64 // 1, grip
	slip   []float64 // 1
	head   []float64 // 1, from the manifold pressure or simulated
	core   []float64 // K, by which the charge is hotter than with the cooler as at the launch; nil not yet
	weight float64   // 1, how far the pass is believed
	bite   float64   // N·m at the gearbox's input, highest while the launch clutch slipped; 0 unknown
	onset  float64   // 1, slip from which electronics are taken to cut torque; 0 where the log says it, or there are none
	slid   []bool    // the clutch slips in gear; nil where it nowhere does
}

func newWork(o *Observation, c *sim.Car, base *car.Sheet, d *draws) *work {
	w := &work{Observation: o, air: o.Air, weight: 1, radius: c.Radius, ratios: c.Ratios}
	if o.Sheet != base {
		w.ratios = overall(o.Sheet)
		if o.Radius > 0 {
			w.radius = o.Radius
		}
	}
	w.mass = c.Mass + o.MassAdd + o.Sheet.Mass.Value - base.Mass.Value
	w.drag = c.DragArea + o.DragAdd + o.Sheet.DragArea.Value - base.DragArea.Value
	if d != nil {
		w.air.Headwind = d.normal(o.Air.Headwind, o.WindSD)
	}
	return w
}

// slope is the central difference of a over ± k samples, per second.
func slope(a []float64, i, k int, step float64) float64 {
	lo, hi := max(0, i-k), min(len(a)-1, i+k)
	if hi == lo {
		return 0
	}
	return (a[hi] - a[lo]) / (float64(hi-lo) * step)
}

// demand fills crank torque, slip and used grip from the motion.
func (w *work) demand(c *sim.Car) {
	n := len(w.X)
	w.torque, w.used, w.slip = make([]float64, n), make([]float64, n), make([]float64, n)
	w.slid = w.slips(w.ratios)
	for i := range w.X {
		w.torque[i], w.used[i], w.slip[i] = math.NaN(), math.NaN(), math.NaN()
		v := w.V[i]
		g := w.Gear[i]
		if g < 1 || g > len(w.ratios) || v < 2 {
			continue
		}
		rad := w.radius * (1 + c.Growth*v*v)
		va := v + w.air.Headwind
		q := 0.5 * w.air.Density * va * math.Abs(va)
		roll := c.Rolling * w.mass * 9.80665
		resist := q*w.drag + w.mass*9.80665*w.Grade + roll*(1-c.DrivenShare)
		body := w.mass + c.UndrivenInertia/(w.radius*w.radius)
		force := body*w.A[i] + resist
		load := c.DrivenShare*w.mass*9.80665 + q*c.LiftDriven + c.Transfer*(force-resist)
		if load > 100 {
			w.used[i] = force / load
		}
		ratio := w.ratios[g-1]
		wheel := w.Wheel[i]
		if math.IsNaN(wheel) {
			wheel = w.Engine[i] / ratio
		}
		if !math.IsNaN(wheel) {
			w.slip[i] = (wheel*rad - v) / max(v, 2)
		}
		if i < w.Lock && w.time(i) > -2 && !math.IsNaN(force) {
			// the clutch passes what drives car and wheels
			spin := 0.0
			if w.Wheel[i] == w.Wheel[i] {
				if spin = slope(w.Wheel, i, 3, w.Step); math.IsNaN(spin) {
					spin = 0
				}
			}
			w.bite = max(w.bite, ((force+roll*c.DrivenShare)*rad+c.DrivenInertia*spin)/(ratio*c.Efficiency))
		}
		if math.IsNaN(w.Engine[i]) || i < w.Lock || !w.Full[i] {
			continue
		}
		spin := slope(w.Engine, i, 3, w.Step)
		if math.IsNaN(spin) {
			continue
		}
		turn := spin / ratio // of the wheels
		if w.slipping(i) {
			turn = slope(w.Wheel, i, 3, w.Step)
		}
		hub := force*rad + roll*c.DrivenShare*rad + c.DrivenInertia*turn
		w.torque[i] = hub/(ratio*c.Efficiency) + c.EngineInertia*spin
	}
	// the edges of shifts carry the clutch's torque, not the engine's; a foot and a
	// throttle come back slower than a dog engages
	for _, s := range w.Shifts {
		after := afterHeld
		if s.Lifted {
			after = afterLifted
		}
		for i := w.at(s.Start - 0.08); i <= w.at(s.End+after); i++ {
			w.torque[i] = math.NaN()
		}
	}
}
