package fitcar

import (
	"math"

	"traplight/internal/sim"
)

// What a launch that no log shows is worked out with. Common practice, no source.
const (
	clutchSpare = 1.3  // 1, what a clutch without a rating passes over the most that the engine makes
	longRelease = 2.5  // s, the slowest foot
	usualRise   = 15.0 // rad/s that the engine rises over the launch while the clutch slips
)

// LaunchShift is what another launch engine speed does to the start of a pass, at the
// place where the clutch had closed.
type LaunchShift struct {
	Held, Free LaunchStep // with boost at the line as it was; with boost as free to rise as the exhaust lets it
	Bite       float64    // 1, highest torque through the clutch over that of the launch as run
	Heat       float64    // 1, heat left in the clutch over that of the launch as run
	Spun       float64    // s more of slip past the tyres' peak while the clutch slipped
}

// LaunchStep is a change of the start.
type LaunchStep struct {
	Speed float64 // 1, natural logarithm of the ratio of speeds at the same place
	Time  float64 // s later
	Head  float64 // 1, more
}

// Mix takes a share, 0–1, of the boost that is free to rise.
func (s *LaunchShift) Mix(share float64) LaunchStep {
	mix := func(a, b float64) float64 { return a + share*(b-a) }
	return LaunchStep{mix(s.Held.Speed, s.Free.Speed), mix(s.Held.Time, s.Free.Time), mix(s.Held.Head, s.Free.Head)}
}

// Launcher works launches of one car out by the two inertias that meet across its clutch.
type Launcher struct {
	r       sim.Runner
	p       *sim.Pass
	from    float64 // rad/s
	head    float64 // 1, at the line as run
	rise    float64 // rad/s that the engine is let rise while the clutch slips
	release float64 // s
	place   float64 // m, where starts are compared; 0: where the record's clutch closed
	closed  sim.Start
}

// Launcher prepares launches of car c in pass p: the foot is made as quick as it takes to
// close the clutch at the speed of the record. ok is false when the model's clutch does
// not close at all, or no launch engine speed is known.
func (m *Model) Launcher(c *sim.Car, p *sim.Pass) (l *Launcher, ok bool) {
	last, _, _ := m.LaunchRun()
	if last <= 0 {
		return nil, false
	}
	own, q := *c, *p
	if own.Clutch.Capacity <= 0 {
		own.Clutch.Capacity = clutchSpare * mostTorque(c, p)
	}
	q.Nitrous = false
	l = &Launcher{p: &q, from: last, closed: m.Driver.Typical(last)}
	l.r.Car, l.r.Rel, l.rise = &own, sim.Rough, m.launchRise()
	for _, f := range m.Passes {
		if b := f.Obs.LineBoost; b > 0 && !c.Boost.NoCharger {
			l.head = sim.Head(f.Obs.Air.Pressure, b)
		}
	}
	// slower feet close the clutch later and faster
	lo, hi := 0.05, longRelease
	for range 9 {
		l.release = (lo + hi) / 2
		s, err := l.launch(l.from, l.head)
		if err == sim.ErrStall || err == nil && s.V < l.closed.V {
			lo = l.release
		} else {
			hi = l.release
		}
	}
	l.release = hi
	_, err := l.launch(l.from, l.head)
	return l, err == nil
}

func (l *Launcher) launch(speed, head float64) (sim.Start, error) {
	// foot or limiter let the engine rise as far over the launch as in the record
	keep := l.r.Car.RevLimit
	defer func() { l.r.Car.RevLimit = keep }()
	if lim := speed + l.rise; keep <= 0 || lim < keep {
		l.r.Car.RevLimit = lim
	}
	return l.r.Launch(l.p, sim.Launch{Gear: max(1, l.closed.Gear), Speed: speed, Head: head, Release: l.release})
}

// launchRise is how far the engine rises over the launch engine speed before the clutch
// closes, rad/s: the median of the record, a usual foot's without one.
func (m *Model) launchRise() float64 {
	var seen []float64
	for _, p := range m.Passes {
		o, top := p.Obs, 0.0
		for i := 0; i <= o.Lock && i < len(o.Engine) && float64(i)*o.Step < 1; i++ {
			if e := o.Engine[i]; !math.IsNaN(e) {
				top = max(top, e)
			}
		}
		if o.LaunchSeen > 0 && o.Lock > 2 {
			seen = append(seen, max(usualRise, top-o.LaunchSeen))
		}
	}
	if len(seen) == 0 {
		return usualRise
	}
	return median(seen)
}

// mostTorque is the most that the engine makes at its highest target, N·m.
func mostTorque(c *sim.Car, p *sim.Pass) float64 {
	boost := 0.0
	for _, b := range p.Target {
		boost = max(boost, b)
	}
	pressure, most := p.Air.Pressure+boost, 1.0
	temp := c.Engine.LateCharge(p.Air.Temperature, sim.Head(p.Air.Pressure, pressure))
	for w := 200.0; w < 900; w += 25 {
		most = max(most, c.Engine.Torque(w, c.Engine.Charge(w, pressure, temp, 0)))
	}
	return most
}

// To is what a launch at another engine speed, rad/s, changes.
func (l *Launcher) To(speed float64) (LaunchShift, bool) {
	was, err := l.launch(l.from, l.head)
	if err != nil {
		return LaunchShift{}, false
	}
	held, err := l.launch(speed, l.head)
	if err != nil {
		return LaunchShift{}, false
	}
	free, err := l.launch(speed, l.lineHead(speed))
	if err != nil {
		return LaunchShift{}, false
	}
	at := l.place
	if at <= 0 {
		at = max(l.closed.X, was.X+0.5, held.X+0.5, free.X+0.5)
	}
	a, ok := l.reach(was, at)
	b, ok1 := l.reach(held, at)
	c, ok2 := l.reach(free, at)
	if !ok || !ok1 || !ok2 {
		return LaunchShift{}, false
	}
	step := func(x sim.Start) LaunchStep { return LaunchStep{math.Log(x.V / a.V), x.Time - a.Time, x.Head - a.Head} }
	s := LaunchShift{Held: step(b), Free: step(c), Bite: 1, Heat: 1, Spun: held.Spun - was.Spun}
	if was.Bite.Torque > 0 && was.Bite.Heat > 0 {
		s.Bite, s.Heat = held.Bite.Torque/was.Bite.Torque, held.Bite.Heat/was.Bite.Heat
	}
	return s, true
}

// reach runs a start on to a place, m.
func (l *Launcher) reach(s sim.Start, at float64) (sim.Start, bool) {
	q := *l.p
	q.Start, q.Length, q.Window = s, at, 0.2
	l.r.Keep = 0.02
	res, err := l.r.Run(&q)
	if err != nil || !res.Complete || len(res.Points) == 0 {
		return s, false
	}
	s.X, s.V, s.Time = at, res.Instant, res.Time
	s.Head = sim.Head(q.Air.Pressure, q.Air.Pressure+res.Points[len(res.Points)-1].Boost)
	return s, true
}

// lineHead is the head, 1, at which the rotor would settle at the line at another engine
// speed, rad/s: the heat of the held engine is what keeps the head that was seen, and
// the flow grows with engine speed. Boost control lets it rise no further than the first
// gear's target.
func (l *Launcher) lineHead(speed float64) float64 {
	c := l.r.Car
	if l.head <= 0.005 || c.Boost.NoCharger {
		return l.head
	}
	rise := func(w, h, heat float64) float64 {
		pressure := sim.Pressure(l.p.Air.Pressure, h)
		temp := c.Engine.ChargeTemperature(l.p.Air.Temperature, h, w)
		return c.Boost.Rise(sim.Flow(w, pressure, temp), h, w/sim.RefSpeed, 1, heat)
	}
	root := func(f func(x float64) float64, lo, hi float64) float64 {
		for range 40 {
			mid := (lo + hi) / 2
			if f(mid) > 0 {
				hi = mid
			} else {
				lo = mid
			}
		}
		return (lo + hi) / 2
	}
	heat := root(func(x float64) float64 { return rise(l.from, l.head, x) }, 0, 8)
	most := l.head
	if len(l.p.Target) > 0 {
		most = max(most, sim.Head(l.p.Air.Pressure, l.p.Air.Pressure+l.p.Target[0]))
	}
	return root(func(h float64) float64 { return -rise(speed, h, heat) }, 0.5*l.head, most)
}
