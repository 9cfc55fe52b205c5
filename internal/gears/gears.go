// Package gears finds which gear a car was in, from engine speed against the
// speed of the driven wheels (or, lacking that, of the car), as a hidden Markov
// model whose states are the gears and "open" (clutch open or slipping, or
// between gears). A logged gear is evidence, not truth.
//
// With driven wheels the ratio is exact and only sensor noise and shaft twist
// spread it. With the car's own speed the tyre's slip lies in between, so the
// ratio may stand above a gear's by any amount while the wheels spin, but hardly
// below it.
//
// Limits: a gear whose tyres spin from end to end, without driven-wheel speed
// and without a gear channel, is told from its neighbours by order alone.
package gears

import (
	"math"

	"traplight/internal/num/hmm"
)

// Problem is what Find needs. Times are in s on the run clock.
type Problem struct {
	Ratios     []float64 // overall ratio by gear, engine over wheel speed
	From, Step float64   // s: sample i is at From + i·Step
	Engine     []float64 // rad/s by sample, NaN unknown
	Wheel      []float64 // rad/s by sample: driven wheels, or car speed over rolling radius; NaN unknown
	FromCar    bool      // Wheel comes from the car's speed: slip is in between
	Logged     []float64 // 1, gear by the log, NaN unknown
	Pull       []float64 // m/s², the car's acceleration; nil unknown
	Throttle   []float64 // 0–1 by sample, NaN unknown; nil without the channel
	Clutch     []float64 // 0 closed – 1 open, NaN unknown; nil without the channel
	Spread     float64   // 1, standard deviation of ln(ratio) that calibration leaves; 0 means 0.012
}

// Span is a stretch in one gear with the clutch closed.
type Span struct {
	Gear        int
	From, To    float64 // s, run clock
	First, Last int     // samples
	Sure        float64 // 0–1, mean posterior probability
}

const (
	stay      = 0.995 // chance per 10 ms to remain in a gear; a pass has a dozen changes in 20 s
	openStay  = 0.96  // chance per 10 ms to remain open
	holdOn    = -9.0  // log factor of leaving a gear while the car pulls
	downShift = -6.0  // log factor of going down a gear during a pass
	minWheel  = 4.0   // rad/s below which the ratio says nothing
)

// Find returns the spans in time order, and the most probable state by sample
// (0 open, else the gear).
func Find(p *Problem) ([]Span, []int) {
	g := len(p.Ratios)
	n := len(p.Engine)
	if g == 0 || n == 0 {
		return nil, make([]int, n)
	}
	spread := p.Spread
	if spread == 0 {
		spread = 0.012
	}
	m := p.model(spread)
	if p.Pull != nil {
		// no gear is left while the car pulls on
		w := max(1, int(0.04/p.Step+0.5))
		m.Hold = make([]float64, n)
		for i := range m.Hold {
			least := math.Inf(1)
			for j := max(0, i-w); j <= min(n-1, i+w); j++ {
				least = math.Min(least, p.Pull[j])
			}
			if least > 1.5 {
				m.Hold[i] = holdOn
			}
		}
	}
	if p.FromCar {
		p.byFalls(m)
	}
	path := m.Path()
	post := m.Posterior()
	for i, st := range path {
		if st > g {
			path[i] = 0 // open, whatever the gear before
		}
	}
	var out []Span
	for i := 0; i < n; {
		j := i
		sum := 0.0
		for j < n && path[j] == path[i] {
			sum += post[j][path[i]]
			j++
		}
		if path[i] > 0 && float64(j-i)*p.Step >= 0.06 {
			out = append(out, Span{Gear: path[i], From: p.From + float64(i)*p.Step, To: p.From + float64(j-1)*p.Step, First: i, Last: j - 1, Sure: sum / float64(j-i)})
		}
		i = j
	}
	return out, path
}

const (
	unchanged = 12.0  // log factor against a clutch that stays closed while engine speed falls fast
	noFall    = -30.0 // log factor of leaving a gear where engine speed does not fall
	together  = 0.12  // share of a sample that counts: the slip of tyres stays the same for about 0.1 s
)

// byFalls lets gears change, without driven wheels, only about the falls of engine
// speed: tyres that spin leave the ratio open, but no gear goes up without a fall.
func (p *Problem) byFalls(m *hmm.Model) {
	falls := Falls(p.Engine, p.Throttle, p.Step)
	if len(falls) == 0 {
		return
	}
	n := len(p.Engine)
	if m.Hold == nil {
		m.Hold = make([]float64, n)
	}
	g := len(p.Ratios)
	free := make([]bool, n)
	w := int(besideFall/p.Step + 0.5)
	for _, f := range falls {
		for i := max(0, f.Top-w); i < min(n, f.Bottom+w); i++ {
			free[i] = true
		}
		for j := 1; j <= g; j++ {
			m.Emission[f.Steepest][j] -= unchanged
		}
	}
	for i := range m.Hold {
		if free[i] {
			m.Hold[i] = 0
		} else {
			m.Hold[i] = noFall
		}
	}
}

// model builds the chain: state 0 is open before any gear, 1…g the gears, g+k open
// after gear k, so that the next gear is expected to be the next one up.
func (p *Problem) model(spread float64) *hmm.Model {
	g, n := len(p.Ratios), len(p.Engine)
	states := 2*g + 1
	m := &hmm.Model{Start: make([]float64, states), Held: make([]bool, states)}
	k := p.Step / 0.01
	st, op := math.Pow(stay, k), math.Pow(openStay, k)
	for i := 0; i < states; i++ {
		row := make([]float64, states)
		for j := range row {
			row[j] = math.Inf(-1)
		}
		switch {
		case i == 0:
			m.Start[i] = 0
			row[0] = math.Log(op)
			for j := 1; j <= g; j++ {
				row[j] = math.Log(1-op) - 1.5*float64(j) // a pass starts in a low gear
			}
		case i <= g:
			m.Start[i] = -3 - float64(i)
			m.Held[i] = true
			row[i] = math.Log(st)
			row[g+i] = math.Log(1 - st)
			for j := 1; j <= g; j++ {
				if j != i {
					row[j] = math.Log((1 - st) * 1e-3)
					if j < i {
						row[j] += downShift
					}
				}
			}
		default:
			m.Start[i] = -20
			row[i] = math.Log(op)
			from := i - g
			for j := 1; j <= g; j++ {
				share := 0.003
				switch j - from {
				case 1:
					share = 0.80
				case 0:
					share = 0.15
				case 2:
					share = 0.03
				case -1:
					share = 0.01
				}
				row[j] = math.Log((1 - op) * share)
			}
		}
		m.Transition = append(m.Transition, row)
	}
	for i := 0; i < n; i++ {
		e := p.emission(i, spread)
		for j := 0; j < g; j++ {
			e = append(e, e[0])
		}
		m.Emission = append(m.Emission, e)
	}
	return m
}

// emission is the log density of sample i when open (0) and in each gear.
func (p *Problem) emission(i int, spread float64) []float64 {
	g := len(p.Ratios)
	out := make([]float64, g+1)
	e, w := p.Engine[i], p.Wheel[i]
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
	if p.Clutch != nil && !math.IsNaN(p.Clutch[i]) {
		switch c := p.Clutch[i]; {
		case c > 0.6:
			for j := 1; j <= g; j++ {
				out[j] += math.Log(0.1)
			}
		case c < 0.2:
			out[0] += math.Log(0.1)
		}
	}
	if i < len(p.Logged) {
		if lg := p.Logged[i]; lg >= 1 && lg <= float64(g) {
			k := int(lg + 0.5)
			for j := 1; j <= g; j++ {
				if j != k {
					out[j] += math.Log(0.1)
				}
			}
		}
	}
	return out
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
