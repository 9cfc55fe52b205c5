package demo

import "math"

// forms are the shapes of the laws by which a car runs. Another set of them is another simulator
// in so far: what a method owes to one of these shapes shows on cars of the other.
type forms struct {
	hold    func(th float64) float64               // 1, share of its friction that a tyre gives at slip th of the slip of full sliding
	slide   func(p *tyre, vs float64) float64      // 1, of the friction what is left at a sliding speed, m/s
	shape   func(rel float64) float64              // 1, drag area over its own at a speed through the air, m/s
	breathe func(d, n float64) float64             // 1, volumetric efficiency at a relative distance from the best engine speed, and engine speed, rad/s
	late    func(d float64) float64                // 1, of the torque what is left so many degrees from the best ignition
	warm    func(t float64) float64                // degrees of ignition taken away at a charge temperature, K
	rub     func(p *engine, w, pM float64) float64 // Pa, friction as mean pressure, at engine speed, rad/s, and manifold pressure, Pa
	churn   func(mach float64) float64             // 1, a compressor's work over Euler's at the tip's Mach number
	blades  func(bsr float64) float64              // 1, a turbine's efficiency over its best at a ratio of blade speed to gas speed
	calm    float64                                // degrees a second at which knock control gives back what it took
	strike  float64                                // degrees that it takes for one knock
}

// usual are the forms of all cars but those that are asked for otherwise; sources in docs/demo.md.
var usual = forms{
	hold: func(th float64) float64 {
		if th < 1 {
			return th * (3 - 3*th + th*th)
		}
		return 1
	},
	slide:   func(p *tyre, vs float64) float64 { return p.fall + (1-p.fall)*math.Exp(-math.Abs(vs)/p.vFall) },
	shape:   func(float64) float64 { return 1 },
	breathe: func(d, n float64) float64 { return 1.06 - 0.32*d*d + 0.018*math.Sin(n/55) },
	late:    func(d float64) float64 { return 1 - 0.00062*d*d },
	warm:    func(t float64) float64 { return 0.13 * max(t-326, 0) },
	rub:     func(p *engine, w, _ float64) float64 { return p.f0 + p.f1*w + p.f2*w*w },
	churn:   func(float64) float64 { return 1 },
	blades:  func(bsr float64) float64 { return 1 - 1.1*(bsr-0.64)*(bsr-0.64)/(0.64*0.64) },
	calm:    0.7,
	strike:  0.8,
}

// other are forms of another kind: a tyre without a sharp end of its brush, whose friction goes on
// falling; a body that drags more the faster it goes; an engine of a narrow range, friction that
// goes with load and less with the square of speed; a compressor that heats more as its tip nears
// sound, a turbine with a pointed best; an ignition that heat takes away late but fast, and a knock
// control that takes and gives back in twice the steps. Of our own making, no source.
var other = forms{
	hold:    func(th float64) float64 { return math.Tanh(1.9 * th) },
	slide:   func(p *tyre, vs float64) float64 { return p.fall - 0.06 + (1.06-p.fall)/(1+math.Abs(vs)/(1.3*p.vFall)) },
	shape:   func(rel float64) float64 { return 0.95 + 1.6e-5*rel*rel },
	breathe: func(d, n float64) float64 { return 1.05 - 0.55*d*d*(1+0.6*d) + 0.03*math.Sin(n/80) },
	late:    func(d float64) float64 { return 1 - 0.0013*math.Pow(math.Abs(d), 1.75) },
	warm:    func(t float64) float64 { return 0.22 * max(t-334, 0) },
	rub:     func(p *engine, w, pM float64) float64 { return 0.7*p.f0 + 2.2*p.f1*w + 0.35*p.f2*w*w + 0.10*pM },
	churn:   func(mach float64) float64 { return 0.97 + 0.35*max(mach-0.8, 0)*max(mach-0.8, 0) },
	blades:  func(bsr float64) float64 { return 1 - 0.7*math.Pow(math.Abs(bsr-0.70)/0.70, 1.5) },
	calm:    1.6,
	strike:  1.5,
}
