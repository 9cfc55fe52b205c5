package demo

import (
	"fmt"
	"math"
	"math/rand/v2"
)

// RandomCar draws a car that could be: size, power, gearing and tyres go
// together as they would in a shop, boost by gear is what its tyres nearly
// carry.
func RandomCar(seed uint64) Car {
	return draw(seed, spec{id: fmt.Sprintf("x%04x", seed&0xffff)})
}

// OtherCar is a car drawn alike that runs by other forms of its laws (tyre, friction, ignition,
// compressor, turbine, drag), as in another simulator.
func OtherCar(seed uint64) Car {
	return draw(seed, spec{id: fmt.Sprintf("y%04x", seed&0xffff), otherwise: true})
}

func draw(seed uint64, c spec) Car {
	d := drawing{stream(seed, "random car"), c}
	d.engine()
	power := d.power()
	d.chassis()
	n := d.equipment()
	d.settings(n, d.gearing(n, power))
	return d.bearable()
}

// drawing is a spec while it is drawn. The order of the draws is that of the calls.
type drawing struct {
	r *rand.Rand
	spec
}

func (d *drawing) between(lo, hi float64) float64 { return lo + (hi-lo)*d.r.Float64() }

// engine draws the name, what drives, and the engine but for its air.
func (d *drawing) engine() {
	d.driven = axle(d.r.IntN(3))
	d.name = []string{"Agate", "Basalt", "Dolerite", "Felsite", "Halite", "Jasper", "Lignite", "Mica", "Onyx", "Pumice", "Rhyolite", "Shale"}[d.r.IntN(12)]
	d.cyl = []int{4, 4, 5, 6, 6, 8}[d.r.IntN(6)]
	if d.driven == frontDriven {
		d.cyl = []int{4, 4, 5, 6}[d.r.IntN(4)]
	}
	d.banks, d.layout = 1, fmt.Sprintf("inline-%d", d.cyl)
	if d.cyl == 8 || d.cyl == 6 && d.r.IntN(2) == 0 {
		d.banks, d.layout = 2, fmt.Sprintf("V%d", d.cyl)
	}
	d.litres = float64(d.cyl) * d.between(0.45, 0.66)
	d.fuel = []fuel{gasoline(), blend(0.3, "E30"), blend(0.5, "E50"), blend(0.75, "E75"), methanol()}[d.r.IntN(5)]
	d.rc = d.between(8.8, 10)
	d.revLimit = clamp(9300-620*d.litres+d.between(-300, 300), 6600, 9000)
	d.idle = d.between(900, 1200)
	d.turbos, d.turboText = 1, "single"
	if d.banks == 2 && d.r.IntN(2) == 0 {
		d.turbos, d.turboText = 2, "two, equal"
	}
	d.mass = d.between(1080, 1380) + 40*d.litres
	if d.driven == allDriven {
		d.mass += 130
	}
}

// powerSpeed is the engine speed, rad/s, at which power is counted.
func (d *drawing) powerSpeed() float64 { return 0.92 * d.revLimit * rpm }

// power draws the power, W, within what pressures from 190 to 390 kPa give, with the air and the
// boost for it.
func (d *drawing) power() float64 {
	power := d.between(300e3, 780e3) * math.Sqrt(d.litres/2.8)
	d.airPeak = power / 0.84e6
	w := d.powerSpeed()
	p := clamp(d.airPeak*4*math.Pi*rAir*325/(0.97*d.litres*1e-3*w), 190e3, 390e3)
	d.airPeak = 0.97 * p * d.litres * 1e-3 * w / (4 * math.Pi * rAir * 325)
	d.boostMax = (p - 100e3) / 1e3
	return d.airPeak * 0.84e6
}

func (d *drawing) chassis() {
	d.cda, d.clf, d.clr = d.between(0.55, 0.76), d.between(0, 0.08), d.between(-0.03, 0.14)
	d.wheelbase, d.hcg = d.between(2.45, 2.85), d.between(0.43, 0.53)
	d.wf = map[axle]float64{frontDriven: d.between(0.61, 0.67), rearDriven: d.between(0.44, 0.55), allDriven: d.between(0.52, 0.60)}[d.driven]
	d.r0 = d.between(0.298, 0.352)
	d.mu, d.stiff, d.grow = d.between(1.22, 1.60), d.between(20, 28), d.between(1.2e-6, 5e-6)
	d.pCold = math.Round(d.between(120, 200)/5) * 5
	d.tyreSize = fmt.Sprintf("%.1fx%.1f drag radial", 2*(d.r0+0.007)/0.0254, d.between(9, 12))
}

// equipment draws gearbox, turbocharger, electronics and logger, and returns the number of gears.
func (d *drawing) equipment() (gears int) {
	gears = 4 + d.r.IntN(4)
	d.box = []boxKind{synchroLift, synchroFlat, dogCut, paddleCut}[d.r.IntN(4)]
	d.shiftTime = map[boxKind]float64{synchroLift: d.between(0.21, 0.28), synchroFlat: d.between(0.12, 0.16), dogCut: d.between(0.055, 0.085), paddleCut: d.between(0.04, 0.055)}[d.box]
	d.lambda = map[bool]float64{true: d.between(0.72, 0.76), false: d.between(0.80, 0.84)}[d.fuel.name == "methanol"]
	d.spool = d.between(0.8, 1.4)
	d.spring = d.between(22, 45)
	if d.r.IntN(3) == 0 {
		d.n2o = d.between(0.03, 0.07)
	}
	if d.r.IntN(4) == 0 {
		d.slipCut = d.between(0.13, 0.2)
	}
	d.absolute = d.r.IntN(4) == 0
	d.dialect = Dialects()[d.r.IntN(len(Dialects()))].Name
	d.sensors = []string{"full", "full", "medium", "poor"}[d.r.IntN(4)]
	return gears
}

// carried is the hub torque, N·m, that the driven tyres nearly carry.
func (d *drawing) carried() float64 {
	share := map[axle]float64{frontDriven: d.wf - 0.7*d.hcg/d.wheelbase*0.9, rearDriven: 1 - d.wf + 0.9*d.hcg/d.wheelbase, allDriven: 1}[d.driven]
	return 0.86 * d.mu * share * (d.mass * grav) * d.r0
}

// gearing draws n gears for the power, W: the trap comes near the top of the last or last but one
// gear. It returns the engine's highest torque, N·m.
func (d *drawing) gearing(n int, power float64) float64 {
	vt := math.Pow(3*0.56*power*halfMile/d.mass, 1.0/3)
	d.target = vt
	top := vt * d.between(1.03, 1.12)
	// First gear is tall enough that the least boost the gate allows does not
	// spin the wheels at once.
	tMax := power / d.powerSpeed()
	least := tMax * (d.spring + 106) / (d.boostMax + 100)
	first := math.Max(d.between(27, 34), 0.94*least/(0.82*d.carried())*d.revLimit*rpm*0.965*d.r0)
	d.final = math.Round(d.between(3.0, 3.9)*100) / 100
	for g := range n {
		f := math.Pow(float64(g)/float64(n-1), 0.92)
		v := first * math.Pow(top/first, f)
		d.gears = append(d.gears, math.Round(d.revLimit*rpm*0.965*d.r0*1.01/v/d.final*1000)/1000)
		if g < n-1 {
			d.shift = append(d.shift, math.Round(d.revLimit*0.935/10)*10)
		}
	}
	return tMax
}

// settings draws how the car is launched, its clutch, and the boost of its n gears: what the
// tyres carry, with some nerve. tMax is the engine's highest torque, N·m.
func (d *drawing) settings(n int, tMax float64) {
	d.launch = math.Round(d.revLimit*d.between(0.50, 0.62)/50) * 50
	if d.driven == frontDriven {
		d.throttleIn = d.between(0.4, 1)
	}
	d.release = d.between(0.6, 1.0)
	d.clutch = math.Round(tMax*d.between(1.35, 1.6)/50) * 50
	nerve := d.between(0.80, 0.95)
	for g := range n {
		need := nerve * d.carried() / (d.gears[g] * d.final * 0.94)
		b := (need/tMax)*(d.boostMax+100) - 100
		d.boost = append(d.boost, math.Round(clamp(b, d.spring+4, d.boostMax*0.95)))
	}
	d.launchBoost = math.Round(clamp(0.4*d.boost[0], 8, 60))
	d.text = fmt.Sprintf("%s-drive, %.1f %s, %s turbo, %d-speed %s box, %s", map[axle]string{frontDriven: "front", rearDriven: "rear", allDriven: "all-wheel"}[d.driven],
		d.litres, d.layout, d.turboText, n, map[bool]string{true: "synchro", false: "dog"}[d.box == synchroLift || d.box == synchroFlat], d.fuel.name)
}

// bearable lowers the boost until the wheels do not spin all the way: a crew would not keep such
// settings.
func (d *drawing) bearable() Car {
	n := len(d.boost)
	car := newCar(d.spec)
	for range 16 {
		day := PassOptions{Weather: &Weather{AirTemp: 293, Pressure: 100e3, Humidity: 0.5, Gust: 0.5}}
		a, b := Run(car, day, 3), Run(car, day, 4)
		if a.Complete && b.Complete && a.Pedals+b.Pedals < 2 {
			break
		}
		for g := range d.boost {
			f := 0.86 + 0.1*float64(g)/float64(n-1)
			d.boost[g] = math.Round(math.Max(d.boost[g]*f, d.spring+3))
		}
		d.launchBoost = math.Round(0.85 * d.launchBoost)
		car = newCar(d.spec)
	}
	return car
}
