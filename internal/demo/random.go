package demo

import (
	"fmt"
	"math"
)

// RandomCar draws a car that could be: size, power, gearing and tyres go
// together as they would in a shop, boost by gear is what its tyres nearly
// carry.
func RandomCar(seed uint64) Car {
	r := stream(seed, "random car")
	u := func(lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }
	pick := func(n int) int { return r.IntN(n) }
	c := spec{id: fmt.Sprintf("x%04x", seed&0xffff), driven: axle(pick(3))}
	c.name = []string{"Agate", "Basalt", "Dolerite", "Felsite", "Halite", "Jasper", "Lignite", "Mica", "Onyx", "Pumice", "Rhyolite", "Shale"}[pick(12)]
	c.cyl = []int{4, 4, 5, 6, 6, 8}[pick(6)]
	if c.driven == frontDriven {
		c.cyl = []int{4, 4, 5, 6}[pick(4)]
	}
	c.banks, c.layout = 1, fmt.Sprintf("inline-%d", c.cyl)
	if c.cyl == 8 || c.cyl == 6 && pick(2) == 0 {
		c.banks, c.layout = 2, fmt.Sprintf("V%d", c.cyl)
	}
	c.litres = float64(c.cyl) * u(0.45, 0.66)
	c.fuel = []fuel{gasoline(), blend(0.3, "E30"), blend(0.5, "E50"), blend(0.75, "E75"), methanol()}[pick(5)]
	c.rc = u(8.8, 10)
	c.revLimit = clamp(9300-620*c.litres+u(-300, 300), 6600, 9000)
	c.idle = u(900, 1200)
	c.turbos, c.turboText = 1, "single"
	if c.banks == 2 && pick(2) == 0 {
		c.turbos, c.turboText = 2, "two, equal"
	}
	c.mass = u(1080, 1380) + 40*c.litres
	if c.driven == allDriven {
		c.mass += 130
	}
	power := u(300e3, 780e3) * math.Sqrt(c.litres/2.8)
	c.airPeak = power / 0.84e6
	w := 0.92 * c.revLimit * rpm
	p := c.airPeak * 4 * math.Pi * rAir * 325 / (0.97 * c.litres * 1e-3 * w)
	if p < 190e3 {
		p = 190e3
	} else if p > 390e3 {
		p = 390e3
	}
	c.airPeak = 0.97 * p * c.litres * 1e-3 * w / (4 * math.Pi * rAir * 325)
	power = c.airPeak * 0.84e6
	c.boostMax = (p - 100e3) / 1e3
	c.cda, c.clf, c.clr = u(0.55, 0.76), u(0, 0.08), u(-0.03, 0.14)
	c.wheelbase, c.hcg = u(2.45, 2.85), u(0.43, 0.53)
	c.wf = map[axle]float64{frontDriven: u(0.61, 0.67), rearDriven: u(0.44, 0.55), allDriven: u(0.52, 0.60)}[c.driven]
	c.r0 = u(0.298, 0.352)
	c.mu, c.stiff, c.grow = u(1.22, 1.60), u(20, 28), u(1.2e-6, 5e-6)
	c.pCold = math.Round(u(120, 200)/5) * 5
	c.tyreSize = fmt.Sprintf("%.1fx%.1f drag radial", 2*(c.r0+0.007)/0.0254, u(9, 12))
	n := 4 + pick(4)
	c.box = []boxKind{synchroLift, synchroFlat, dogCut, paddleCut}[pick(4)]
	c.shiftTime = map[boxKind]float64{synchroLift: u(0.21, 0.28), synchroFlat: u(0.12, 0.16), dogCut: u(0.055, 0.085), paddleCut: u(0.04, 0.055)}[c.box]
	c.lambda = map[bool]float64{true: u(0.72, 0.76), false: u(0.80, 0.84)}[c.fuel.name == "methanol"]
	c.spool = u(0.8, 1.4)
	c.spring = u(22, 45)
	if pick(3) == 0 {
		c.n2o = u(0.03, 0.07)
	}
	if pick(4) == 0 {
		c.slipCut = u(0.13, 0.2)
	}
	c.absolute = pick(4) == 0
	c.dialect = Dialects()[pick(len(Dialects()))].Name
	c.sensors = []string{"full", "full", "medium", "poor"}[pick(4)]

	// Gearing: the trap comes near the top of the last or last but one gear.
	vt := math.Pow(3*0.56*power*halfMile/c.mass, 1.0/3)
	c.target = vt
	top := vt * u(1.03, 1.12)
	// First gear is tall enough that the least boost the gate allows does not
	// spin the wheels at once.
	weight := c.mass * grav
	share := map[axle]float64{frontDriven: c.wf - 0.7*c.hcg/c.wheelbase*0.9, rearDriven: 1 - c.wf + 0.9*c.hcg/c.wheelbase, allDriven: 1}[c.driven]
	tMax := power / w
	hubMost := 0.86 * c.mu * share * weight * c.r0
	least := tMax * (c.spring + 106) / (c.boostMax + 100)
	first := math.Max(u(27, 34), 0.94*least/(0.82*hubMost)*c.revLimit*rpm*0.965*c.r0)
	c.final = math.Round(u(3.0, 3.9)*100) / 100
	for g := range n {
		f := math.Pow(float64(g)/float64(n-1), 0.92)
		v := first * math.Pow(top/first, f)
		c.gears = append(c.gears, math.Round(c.revLimit*rpm*0.965*c.r0*1.01/v/c.final*1000)/1000)
		if g < n-1 {
			c.shift = append(c.shift, math.Round(c.revLimit*0.935/10)*10)
		}
	}
	c.launch = math.Round(c.revLimit*u(0.50, 0.62)/50) * 50
	if c.driven == frontDriven {
		c.throttleIn = u(0.4, 1)
	}
	c.release = u(0.6, 1.0)

	// Boost by gear: what the tyres carry, with some nerve.
	c.clutch = math.Round(tMax*u(1.35, 1.6)/50) * 50
	nerve := u(0.80, 0.95)
	for g := range n {
		need := nerve * hubMost / (c.gears[g] * c.final * 0.94)
		b := (need/tMax)*(c.boostMax+100) - 100
		c.boost = append(c.boost, math.Round(clamp(b, c.spring+4, c.boostMax*0.95)))
	}
	c.launchBoost = math.Round(clamp(0.4*c.boost[0], 8, 60))
	c.text = fmt.Sprintf("%s-drive, %.1f %s, %s turbo, %d-speed %s box, %s", map[axle]string{frontDriven: "front", rearDriven: "rear", allDriven: "all-wheel"}[c.driven],
		c.litres, c.layout, c.turboText, n, map[bool]string{true: "synchro", false: "dog"}[c.box == synchroLift || c.box == synchroFlat], c.fuel.name)

	// A crew would not keep settings that spin the wheels all the way.
	car := newCar(c)
	for range 16 {
		day := PassOptions{Weather: &Weather{AirTemp: 293, Pressure: 100e3, Humidity: 0.5, Gust: 0.5}}
		a, b := Run(car, day, 3), Run(car, day, 4)
		if a.Complete && b.Complete && a.Pedals+b.Pedals < 2 {
			break
		}
		for g := range c.boost {
			f := 0.86 + 0.1*float64(g)/float64(n-1)
			c.boost[g] = math.Round(math.Max(c.boost[g]*f, c.spring+3))
		}
		c.launchBoost = math.Round(0.85 * c.launchBoost)
		car = newCar(c)
	}
	return car
}
