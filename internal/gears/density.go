package gears

import "math"

// emission is the log density of sample i when open (0) and in each gear.
func (p *Problem) emission(i int, spread float64) []float64 {
	g := len(p.Ratios)
	out := make([]float64, g+1)
	e, w := p.Engine[i], p.Wheel[i]
	if math.IsNaN(e) && w > minWheel { // nobody read it: that tells of no gear
		p.hear(i, out)
		return out
	}
	if !(e > 30) || !(w > minWheel) {
		for j := 1; j <= g; j++ {
			out[j] = math.Log(0.3)
		}
		return out
	}
	x := math.Log(e / w)
	open := 0.35 // uniform over e³: from far below to far above
	if p.FromCar && p.Pull != nil && p.Pull[i] > 2.5 {
		open *= 0.03 // something drives the car: the clutch is not open
	}
	out[0] = math.Log(open)
	for j := 1; j <= g; j++ {
		d := x - math.Log(p.Ratios[j-1])
		f := 1e-4
		if p.FromCar {
			f += 0.75 * normal(d-0.025, math.Hypot(spread, 0.025))
			if p.Pull == nil || p.Pull[i] > 0.8 {
				f += even(d, 0.25, 2)
			}
		} else {
			f += 0.9*normal(d, spread) + 0.06*normal(d, 4*spread)
			if p.Pull == nil || p.Pull[i] > 0.8 {
				f += spin(d, 0.02, 0.06) // a clutch that slips under load
			}
		}
		out[j] = math.Log(f)
	}
	if p.FromCar {
		for j := range out {
			out[j] *= together * p.Step / 0.01
		}
	}
	p.hear(i, out)
	return out
}

// doubted is the chance of a clutch pedal's or a logged gear's evidence being wrong.
const doubted = 0.1

// hear lets a clutch channel and a logged gear speak on sample i.
func (p *Problem) hear(i int, out []float64) {
	g := len(p.Ratios)
	if p.Clutch != nil && !math.IsNaN(p.Clutch[i]) {
		switch c := p.Clutch[i]; {
		case c > 0.6:
			for j := 1; j <= g; j++ {
				out[j] += math.Log(doubted)
			}
		case c < 0.2:
			out[0] += math.Log(doubted)
		}
	}
	if i >= len(p.Logged) {
		return
	}
	logged := p.Logged[i]
	if !(logged >= 1 && logged <= float64(g)) {
		return
	}
	for j := 1; j <= g; j++ {
		if j != int(logged+0.5) {
			out[j] += math.Log(doubted)
		}
	}
}

func normal(d, s float64) float64 { return math.Exp(-d*d/(2*s*s)) / (s * math.Sqrt(2*math.Pi)) }

// spin is the density of a ratio above the gear's by d: weight share, mean excess.
func spin(d, share, mean float64) float64 {
	if d < 0 {
		return 0
	}
	return share / mean * math.Exp(-d/mean)
}

// even is the density of a ratio above the gear's by d when tyres spin at large: weight
// share, spread evenly from nothing to most, so that how far they spin tells nothing.
func even(d, share, most float64) float64 {
	if d < 0 || d > most {
		return 0
	}
	return share / most
}
