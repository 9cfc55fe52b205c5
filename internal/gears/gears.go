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

// Span is a stretch in one gear, the clutch closed or slipping under load.
type Span struct {
	Gear        int
	From, To    float64 // s, run clock
	First, Last int     // samples
	Sure        float64 // 0–1, mean posterior probability
}

// Find returns the spans in time order, and the most probable state by sample
// (0 open or slipping, else the gear). A clutch that slips under load, told only with
// the driven wheels' speed and the car's acceleration, stays within its gear's span.
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
		m.Hold = p.whilePulling()
	}
	if p.FromCar {
		p.byFalls(m)
	}
	path := m.Path()
	if !p.FromCar && p.Pull != nil && p.slips(path) {
		m = p.slipping(spread)
		post := m.Posterior()
		held, closed := p.withSlip(m.Path(), post)
		return p.spans(held, post), closed
	}
	post := m.Posterior()
	for i, st := range path {
		if st > g {
			path[i] = 0 // open, whatever the gear before
		}
	}
	return p.spans(path, post), path
}

const (
	pullAround = 0.04 // s, before and behind a sample in which the car must pull
	pullsOn    = 1.5  // m/s², from which it does
	leastSpan  = 0.06 // s, a shorter stretch in gear is none
)

// whilePulling keeps gears from being left while the car pulls on: log factors by
// sample.
func (p *Problem) whilePulling() []float64 {
	n := len(p.Engine)
	w := max(1, int(pullAround/p.Step+0.5))
	hold := make([]float64, n)
	for i := range hold {
		least := math.Inf(1)
		for j := max(0, i-w); j <= min(n-1, i+w); j++ {
			least = math.Min(least, p.Pull[j])
		}
		if least > pullsOn {
			hold[i] = holdOn
		}
	}
	return hold
}

// spans are the stretches of one gear on the path; post are the states'
// probabilities by sample.
func (p *Problem) spans(path []int, post [][]float64) []Span {
	var out []Span
	for i := 0; i < len(path); {
		j := i
		sum := 0.0
		for j < len(path) && path[j] == path[i] {
			sum += post[j][path[i]]
			j++
		}
		if path[i] > 0 && float64(j-i)*p.Step >= leastSpan {
			out = append(out, Span{Gear: path[i], From: p.From + float64(i)*p.Step, To: p.From + float64(j-1)*p.Step, First: i, Last: j - 1, Sure: sum / float64(j-i)})
		}
		i = j
	}
	return out
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
