package forecast

import (
	"math"
	"math/rand/v2"
	"slices"

	"traplight/internal/fitcar"
	"traplight/internal/sim"
)

const (
	// the share of a change of the air's temperature that does not reach the charge, 1, and
	// the hours in which the cooler follows it. Common practice, no source
	lags, lagsFor = 0.25, 3.0
	followedSD    = 0.08 // 1, of the share when the cooler has followed
	pressureSD    = 0.03 // 1, change of grip per 20 kPa of cold pressure
	nitrousSD     = 0.10 // 1, bottle pressure from pass to pass
)

// plant is one car and pass made of settings and luck.
type plant struct {
	car  *sim.Car
	pass *sim.Pass
	add  float64 // m/s at the trap that the model is known to miss
	gain float64 // m/s, add as it counts in the gain over the pass before: without what both were measured wrong by
}

// build makes the pass of one draw. m's members are not modified.
func build(m *fitcar.Model, n *Next, l *luck) plant {
	mem := &m.Members[l.member%len(m.Members)]
	car := *mem.Car
	prepareCar(&car, m, n)
	car.Nitrous.Power *= 1 + nitrousSD*l.nitrous
	if car.RevLimit > 0 && n.limitDoubt > 0 {
		// the simulator's cut begins below the figure; a computer's holds the engine about it
		car.RevLimit += sim.LimitBand/2 + n.limitDoubt*l.limit
	}
	n.revise(&car, l)
	n.cooler(&car, n.Air.Temperature, l)
	n.spring(&car, l)
	launch := m.Driver.Typical(n.launch.like)
	if !l.typical {
		launch = m.Driver.Draw(rand.New(rand.NewPCG(l.launch, 7)), n.launch.like)
	}
	drv := &m.Driver
	p, gripSD := basePass(m, n, mem)
	p.Start = launch
	n.answer(&car, p, l)
	n.start(&p.Start, m, l)
	n.bound(&car, &p.Start)
	for g := range p.ShiftSpeed {
		p.ShiftSpeed[g] += drv.OverSD * l.over[g%maxGears]
	}
	for g := range p.ShiftTime {
		p.ShiftTime[g] *= math.Exp(drv.TimeSD * l.time[g%maxGears])
	}
	p.Air.Headwind += n.WindSD * l.wind
	p.Air.Density *= 1 + n.DensitySD*l.density
	p.GripScale *= max(0.6, 1+gripSD*l.grip+pressureSD*l.pressure*math.Abs(n.PressureStep)/20e3)
	mean, sd, shared := missing(m, mem, n)
	own := mean + sd*l.residual + shiftAnswer*n.shiftBeside(m)*n.levelOf(m)*l.shifted
	return plant{car: &car, pass: p, add: own + shared*l.level, gain: own + max(missOwn*n.FromSD, n.FromSD-shared)*l.level}
}

// bound keeps the head with which the launch clutch closes to what the boost control lets
// through in that gear.
func (n *Next) bound(c *sim.Car, s *sim.Start) {
	if g := s.Gear - 1; g >= 0 && g < len(n.Target) {
		top := n.Air.Pressure + max(c.Boost.Floor, n.Target[g]) + c.Boost.Over
		s.Head = min(s.Head, max(0, sim.Head(n.Air.Pressure, top)))
	}
}

// prepareCar brings a member's car to what is planned.
func prepareCar(c *sim.Car, _ *fitcar.Model, n *Next) {
	c.Mass += n.MassAdd
	c.DragArea = max(0.1, c.DragArea+n.DragAdd)
	c.Tyre.RefLoad = c.DrivenShare * c.Mass * gravity
	if n.NitrousGears != nil {
		c.Nitrous.Gears = n.NitrousGears
	}
	if n.NitrousBelow > 0 {
		c.Nitrous.Below = n.NitrousBelow
	}
}

// revise gives the car what its new sheet changes.
func (n *Next) revise(c *sim.Car, l *luck) {
	r := &n.Revision
	if r.Grip > 0 {
		c.Tyre.Peak *= r.Grip * math.Exp(r.GripSD*l.tyre)
	}
	c.Boost.Rate *= math.Exp(r.SpoolSD * l.spool)
}

// cooler lets the charge follow the air only in part: a charge cooler whose water stays as
// warm as it was passes on a third of what the air changed, one in the wind all of it; on
// another day both have followed. The logs do not tell which it is until the car has run in
// other air.
func (n *Next) cooler(c *sim.Car, air float64, l *luck) {
	if n.KnownTemp <= 0 {
		return
	}
	const rise = 1.25 // 1, charge over ambient temperature that the fitted charge follows with
	left := lags * math.Exp(-max(0, n.Hour-n.KnownHour)/lagsFor)
	share := min(1.2, max(0.3, 1-left+max(followedSD, left)*l.cooler))
	c.Engine.ChargeBase += (share - 1) * rise * (air - n.KnownTemp)
}

// answer scales the torque of each gear by how it answers to boost that was not run,
// and by what a new engine, fuel or turbo may bring.
func (n *Next) answer(c *sim.Car, p *sim.Pass, l *luck) {
	scale := slices.Clone(p.TorqueScale)
	heat := 1.0
	if n.KnownTemp > 0 {
		heat = heated(c, n.Air.Temperature-n.KnownTemp, l.heat)
	}
	for g := range scale {
		will := setting{n.Air.Pressure, n.Air.Pressure}
		if g < len(n.Target) && len(n.Known) > 0 {
			floor := c.Boost.Floor
			was := max(floor, n.Known[min(g, len(n.Known)-1)]) + n.KnownPressure
			will.manifold += max(floor, n.within(g))
			scale[g] *= answered(c, l.response, l.thin, setting{was, n.KnownPressure}, will)
		}
		if n.KnownTemp > 0 {
			scale[g] *= knocked(c, will, n.Air.Temperature, n.Air.Temperature-max(n.KnownTemp, n.KnownWarm), l.heat)
		}
		scale[g] *= heat * math.Exp(n.Revision.TorqueSD*l.torque)
	}
	p.TorqueScale = scale
}

// within is the target half way through gear g (from 0), Pa gauge.
func (n *Next) within(g int) float64 {
	if g < len(n.TargetRise) {
		return n.Target[g] + n.TargetRise[g]/2
	}
	return n.Target[g]
}

// basePass is the pass with the driver's means, and the spread of its grip, 1.
func basePass(m *fitcar.Model, n *Next, mem *fitcar.Member) (p *sim.Pass, gripSD float64) {
	grip, sd := gripNext(m, mem, n)
	p = &sim.Pass{Air: n.Air, Grade: n.Grade, Length: n.Length, Window: n.Window, Target: n.Target, TargetRise: n.TargetRise, TorqueScale: mem.Scale,
		GripScale: grip, Nitrous: n.Nitrous, ShiftTime: slices.Clone(m.Driver.Time)}
	if p.ShiftSpeed = m.ShiftSpeeds(n.ShiftAim); p.ShiftSpeed == nil {
		last := m.Passes[len(m.Passes)-1]
		p.ShiftSpeed = slices.Clone(last.Replay.ShiftSpeed)
	}
	return p, sd
}

// Usual is the pass with the driver's means and the latest launch but one spread,
// by a member.
func Usual(m *fitcar.Model, n *Next, mem *fitcar.Member) (*sim.Car, *sim.Pass) {
	car := *mem.Car
	prepareCar(&car, m, n)
	p, _ := basePass(m, n, mem)
	n.revise(&car, &luck{})
	n.cooler(&car, n.Air.Temperature, &luck{})
	n.spring(&car, &luck{})
	n.answer(&car, p, &luck{})
	p.Start = m.Driver.Typical(n.launch.like)
	n.bound(&car, &p.Start)
	return &car, p
}
