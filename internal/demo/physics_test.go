package demo

import (
	"math"
	"testing"
)

// calm is a day without surprises, so that figures can be compared.
func calm() PassOptions {
	return PassOptions{Weather: &Weather{AirTemp: 293.15, Pressure: 100.8e3, Humidity: 0.5, Gust: 0.5}}
}

func TestEnergyBook(t *testing.T) {
	// Work at the crank is kinetic energy gained and losses, each booked where
	// it occurs: nothing may be left over, burnout and braking included.
	for i, c := range Cars() {
		events := []DriverEvents{{Burnout: true, ReturnDrive: true}, {Creep: true, MissShift: 2}, {Pedal: true}}
		for k, ev := range events[i%3 : i%3+1] {
			o := calm()
			o.Driver = ev
			p := c.plan(o, uint64(10+k))
			p.fast, p.stopAt = true, math.Inf(1)
			s := p.simulate()
			r := math.Abs(s.energy.Residual()) / s.energy.CrankWork
			t.Logf("%s: %.1e of the crank work unaccounted", c.ID, r)
			if !(r < 1e-3) {
				t.Errorf("%s, events %+v: %.0f J of %.0f J unaccounted (%.2e)", c.ID, ev, s.energy.Residual(), s.energy.CrankWork, r)
			}
			if !s.out.line.ok {
				t.Errorf("%s, events %+v: did not reach the line", c.ID, ev)
			}
		}
	}
}

func TestStepIsSmallEnough(t *testing.T) {
	// Random draws fall on steps, so they are switched off here.
	for _, c := range Cars() {
		trap := func(h float64) float64 {
			p := c.plan(calm(), 3)
			p.torqueNoise, p.fuel.octane = 0, 1000 // no knock
			p.fast, p.preface, p.stopAt = true, false, p.strip.Length+0.5
			p.h = h
			return p.simulate().outcome(c).Trap
		}
		a, b := trap(step), trap(step/4)
		if d := math.Abs(a - b); !(d < 0.06) {
			t.Errorf("%s: trap %.4f m/s at the usual step, %.4f at a quarter of it", c.ID, a, b)
		} else {
			t.Logf("%s: a quarter of the step moves the trap by %.4f m/s", c.ID, b-a)
		}
	}
}

func TestMotionFollowsFromForces(t *testing.T) {
	// The samples alone, by the definitions of hub torque: F·r + rolling
	// resistance + J·dω/dt, with F from acceleration, drag and grade.
	for _, c := range Cars() {
		p := c.plan(calm(), 4)
		p.preface, p.stopAt = false, 830
		s := p.simulate()
		tl := newTeller(s, c, logClock{stepAt: math.NaN()}, 0)
		for _, sp := range tl.spans {
			var got, want, n float64
			i, j := tl.idx(sp.from+0.2), tl.idx(sp.to-0.03)
			for k := i; k < j; k++ {
				q := &tl.ss[k]
				if int(q.gear) != sp.gear || q.phase != int8(phRun) {
					continue
				}
				rel := q.v + float64(q.wind)
				crr := p.crr0 + p.crrv*q.v*q.v
				meq := p.mass + p.jUndriven/(p.r0*p.r0)
				und := float64(q.fF+q.fR) - float64(q.driven)
				f := meq*float64(q.a) + 0.5*p.rho*p.cda*rel*rel + crr*und + p.mass*grav*p.strip.Grade
				want += f*float64(q.r) + crr*float64(q.driven)*float64(q.r)
				got += float64(q.hub)
				n++
			}
			if n < 300 {
				continue
			}
			dw := float64(tl.ss[j].wW-tl.ss[i].wW) / (tl.ss[j].t - tl.ss[i].t)
			want += n * p.jDriven * dw
			if d := got/want - 1; math.Abs(d) > 0.006 {
				t.Errorf("%s gear %d: mean hub torque %.1f N·m, from motion %.1f (%.2f %%)", c.ID, sp.gear, got/n, want/n, 100*d)
			}
		}
	}
}

func TestPracticeFigures(t *testing.T) {
	// Common practice, no source: about 1000 hp (746 kW) at the wheels in a
	// front-driven car of about 1.3 t traps at 185 to 205 mph over the half mile.
	for _, c := range Cars() {
		if c.ID != "marl" {
			continue
		}
		p := c.plan(calm(), 5)
		p.preface, p.stopAt = false, 810
		s := p.simulate()
		o := s.outcome(c)
		hub := newTeller(s, c, logClock{stepAt: math.NaN()}, 0).peakPower(0).(js)["power"].(num)
		t.Logf("%.0f kg, %.0f kW at the hubs, %.1f mph", p.mass, hub/1e3, o.Trap/0.44704)
		if hub < 690e3 || hub > 800e3 || p.mass < 1200 || p.mass > 1350 {
			t.Errorf("not the car that the figure speaks of: %.0f kW, %.0f kg", hub/1e3, p.mass)
		}
		if mph := o.Trap / 0.44704; mph < 185 || mph > 205 {
			t.Errorf("trap %.1f mph, practice says 185 to 205", mph)
		}
	}
}

func TestFuelUse(t *testing.T) {
	// Common practice for rich turbocharged engines (references/turbo.md, no
	// source): 0.50 to 0.65 lb/(hp h) on gasoline, 0.70 to 0.95 on E85, 1.0 to
	// 1.4 on methanol; blends between. A tenth is left on either side.
	const perHp = 0.45359237 / 745.7 / 3600 // kg/s per W in 1 lb/(hp h)
	for _, c := range Cars() {
		lo, hi := 0.50, 0.65
		switch e := c.p.fuel.ethanol; {
		case e < 0:
			lo, hi = 1.0, 1.4
		case e > 0:
			lo, hi = lo+0.2*e/0.85, hi+0.3*e/0.85
		}
		p := c.plan(calm(), 5)
		p.preface, p.stopAt = false, 810
		pk := newTeller(p.simulate(), c, logClock{stepAt: math.NaN()}, 0).peakPower(0).(js)
		use := float64(pk["fuel_mass_flow"].(num)) / float64(pk["crank_power"].(num)) / perHp
		t.Logf("%s, %s: %.3f lb/(hp h)", c.ID, c.p.fuel.name, use)
		if use < 0.9*lo || use > 1.1*hi {
			t.Errorf("%s on %s uses %.3f lb/(hp h), practice says %.2f to %.2f", c.ID, c.p.fuel.name, use, lo, hi)
		}
	}
}

func TestBoostRecovery(t *testing.T) {
	// Common practice, no source: a big single turbo on 3.5 litres recovers
	// from 50 to 235 kPa gauge in about 0.75 s, in about 0.28 s with 75 kW of
	// nitrous (0.048 kg/s).
	c := newCar(spec{
		id: "rig", name: "Rig", driven: allDriven, cyl: 6, banks: 2, layout: "V6", litres: 3.5, rc: 9, fuel: blend(0.8, "E80"), turbos: 1,
		boostMax: 300, airPeak: 1.35, revLimit: 7800, idle: 950, gears: []float64{2.2, 1.6, 1.22, 0.97}, final: 3.3, box: synchroLift, shiftTime: 0.24,
		mass: 1700, cda: 0.7, wheelbase: 2.7, hcg: 0.5, wf: 0.55, r0: 0.33, mu: 1.7, stiff: 26, grow: 2e-6, pCold: 160,
		boost: []float64{180, 240, 260, 260}, shift: []float64{7300, 7300, 7300}, launch: 4500, launchBoost: 40, clutch: 2200, release: 0.6,
		n2o: 0.048, lambda: 0.78, dialect: "long", sensors: "full", spool: 0.5,
	})
	recovery := func(nitrous bool) float64 {
		o := calm()
		set := c.Usual()
		set.Nitrous = nitrous
		o.Settings = &set
		p := c.plan(o, 6)
		p.preface, p.stopAt = false, 900
		s := p.simulate()
		tl := newTeller(s, c, logClock{stepAt: math.NaN()}, 0)
		last := tl.sh[len(tl.sh)-1]
		low, p0 := math.NaN(), p.air.Pressure
		for i := tl.idx(last.engaged); i < len(tl.ss); i++ {
			b := float64(tl.ss[i].pM) - p0
			if math.IsNaN(low) && b > 50e3 {
				low = tl.ss[i].t
			}
			if b > 235e3 {
				return tl.ss[i].t - low
			}
		}
		return math.NaN()
	}
	plain, helped := recovery(false), recovery(true)
	t.Logf("50 to 235 kPa in %.2f s, with nitrous in %.2f s", plain, helped)
	if !(plain > 0.45 && plain < 1.0) {
		t.Errorf("50 to 235 kPa takes %.2f s, practice says about 0.75", plain)
	}
	if !(helped > 0.15 && helped < 0.72*plain) { // helps less here than practice says
		t.Errorf("with nitrous %.2f s against %.2f s, practice says about 0.28 against 0.75", helped, plain)
	}
}

func TestQuarterMileRules(t *testing.T) {
	// Fox, Am. J. Phys. 41 (1973) 311: at constant power without loss the
	// quarter takes 4.80261 (W/hp)^(1/3) s and ends at 281.097 (hp/W)^(1/3) mph
	// (W in lb): nothing may beat it. Hale (from memory): 5.825 and 234. Both
	// stand in references/vehicle.md, and say nothing of gears, traction or
	// turbo lag, so Hale's is a band: speed within 12 %, time not under 0.95
	// and, for these cars that spin their tyres, not over 1.45 of it.
	cars := Cars()
	for seed := uint64(40); seed < 43; seed++ {
		cars = append(cars, RandomCar(seed))
	}
	for _, c := range cars {
		p := c.plan(calm(), 7)
		p.fast, p.preface, p.stopAt = true, false, 806
		s := p.simulate()
		q := s.out.marks[4]
		ratio := math.Cbrt(p.mass / 0.45359237 / (s.out.maxCrank / 745.7))
		et, mph := q.t-s.out.tRollout, q.v/0.44704
		fox, hale := et/(4.80261*ratio), et/(5.825*ratio)
		speed := mph * ratio / 234
		if fox < 1 || mph*ratio > 281.097 {
			t.Errorf("%s beats constant power without loss: %.3f s, %.1f mph", c.ID, et, mph)
		}
		if hale < 0.95 || hale > 1.45 || math.Abs(speed-1) > 0.12 {
			t.Errorf("%s (%s): quarter mile %.2f s at %.1f mph, %.2f and %.2f of the rule of thumb", c.ID, c.Text, et, mph, hale, speed)
		}
	}
}

func TestRandomCars(t *testing.T) {
	for seed := uint64(100); seed < 103; seed++ {
		c := RandomCar(seed)
		o := Run(c, calm(), 1)
		if mph := o.Trap / 0.44704; !o.Complete || mph < 110 || mph > 240 {
			t.Errorf("seed %d (%s): complete %v, trap %.1f mph", seed, c.Text, o.Complete, mph)
		}
	}
}

func BenchmarkRun(b *testing.B) {
	c := Cars()[1]
	o := calm()
	for i := 0; b.Loop(); i++ {
		Run(c, o, uint64(i))
	}
}

func BenchmarkGenerate(b *testing.B) {
	c := Cars()[1]
	for i := 0; b.Loop(); i++ {
		r := Generate(c, PassOptions{NoTruth: true}, uint64(i))
		b.SetBytes(int64(len(r.CSV)))
	}
}
