package demo

// Car is one of the demo's cars: what it is, and what its owner knows of it.
type Car struct {
	ID, Name, Text string
	spec           spec
	p              phys
}

func newCar(c spec) Car { return Car{ID: c.id, Name: c.name, Text: c.text, spec: c, p: build(c)} }

// Cars returns the demo's own shop.
func Cars() []Car {
	var out []Car
	for _, c := range shop() {
		out = append(out, newCar(c))
	}
	return out
}

// Usual returns the settings that the car usually runs.
func (c Car) Usual() Settings {
	return Settings{Boost: append([]float64(nil), c.p.boost...), ShiftSpeed: append([]float64(nil), c.p.shiftAim...),
		Nitrous: false, ColdPressure: c.p.pCold, LaunchSpeed: c.p.launchSpeed, SlipCut: c.p.slipCutAt > 0}
}

// plan settles everything for a run.
func (c Car) plan(o PassOptions, seed uint64) *plan {
	p := &plan{phys: c.p, seed: seed, h: step, record: 2, preface: true}
	if o.Settings != nil {
		p.set = o.Settings.clone()
	} else {
		p.set = c.Usual()
	}
	p.mass += p.set.MassAdd
	p.cda += p.set.DragAreaAdd
	p.strip = HomeStrip()
	if o.Strip != nil {
		p.strip = *o.Strip
	}
	if p.strip.Length == 0 {
		p.strip.Length = halfMile
	}
	if o.Weather != nil {
		p.air = *o.Weather
	} else {
		p.air = DrawWeather(p.strip, seed)
	}
	day := o.DaySeed
	if day == 0 {
		day = seed
	}
	p.grip = gripProfile(p.strip, day)
	p.gust = gustField(seed)
	p.hand, p.moods = drawHand(&p.phys, seed), drawMoods(seed, o.Driver)
	p.fault = o.Fault
	p.events = o.Driver
	if o.Start != nil {
		p.start = *o.Start
	} else {
		r := stream(seed, "start")
		p.start = Heat{Coolant: 350 + 4*r.NormFloat64(), Oil: 359 + 5*r.NormFloat64(), Charge: p.air.AirTemp + 8 + 3*r.Float64(),
			Tread: 322 + 5*r.NormFloat64(), Bottle: 6.2e6 + 1.5e5*r.NormFloat64()}
	}
	p.rho = moistDensity(p.air.Pressure, p.air.AirTemp, p.air.Humidity)
	p.dry = dryShare(p.air.Pressure, p.air.AirTemp, p.air.Humidity)
	p.oxygen = p.dry / (p.dry + 0.622*(1-p.dry))
	return p
}

func (p *plan) simulate() *sim {
	s := newSim(p)
	s.run()
	return s
}
