package surface

import (
	"context"
	"math"
	"slices"

	"traplight/internal/forecast"
)

// Guess is what the surface says of one set of settings.
type Guess struct {
	Trap   forecast.Speeds    `json:"trap"`
	Time   forecast.Times     `json:"time"`
	Target *forecast.Target   `json:"target"`
	Top    float64            `json:"top_speed_mps"` // m/s, median of the highest speed
	Stop   forecast.Distances `json:"stopping_m"`
	Draws  int                `json:"draws"` // that were run
}

// hangs is how unsure a median may be, m/s, before more draws are run: where boost takes
// some of the draws over their tyres' peak they fall into two heaps, and the median between
// them hangs on few.
const hangs = 0.06

// Covers tells whether boost (Pa gauge by gear) and shift aims (rad/s by gear) lie within
// the bounds, but for what rounding to a reader's unit does.
func (s *Surface) Covers(boost, shift []float64) bool {
	in := func(x []float64, from, to int, slack float64) bool {
		if len(x) != to-from {
			return false
		}
		for i, v := range x {
			if v < s.lo[from+i]-slack || v > s.hi[from+i]+slack {
				return false
			}
		}
		return true
	}
	const rounding, turn = 0.7e3, 1.1 // Pa, rad/s
	return in(boost, 0, s.gears, rounding) && in(shift, s.gears, len(s.lo), turn)
}

// At guesses the forecast for boost (Pa gauge by gear) and shift aims (rad/s by gear). ErrDraws
// where too few of the passes reach the line; else the error of ctx.
func (s *Surface) At(ctx context.Context, boost, shift []float64) (*Guess, error) {
	x := slices.Concat(boost, shift)
	s.mu.Lock()
	which, missed := s.which, s.missed
	s.mu.Unlock()
	var d []forecast.Draw
	var few, f tells
	for l := range levels {
		more, err := s.run(ctx, x, forecast.Options{Which: which[l]})
		if err != nil {
			return nil, err
		}
		d = append(d, more...)
		if few = told(d); few.count < len(d)/2 {
			return nil, ErrDraws
		}
		if f = few.smoothed().plus(missed[l].at(s.scaled(x))); few.unsure() < hangs {
			break
		}
		f = few // all of them, if it comes to that, miss nothing
	}
	g := &Guess{Top: f.q[topP50], Stop: forecast.Distances{P50: f.q[stopP50], P95: f.q[stopP95]},
		Trap: forecast.Speeds{Mean: f.q[trapMean], SD: f.q[trapSD], P05: f.q[trapP05], P50: f.q[trapP50], P95: f.q[trapP95]},
		Time: forecast.Times{Mean: f.q[timeMean], SD: f.q[timeSD], P05: f.q[timeP05], P50: f.q[timeP50], P95: f.q[timeP95]}}
	if s.n.Aim > 0 {
		more := f.q[trapP50] - few.q[trapP50]
		g.Target = &forecast.Target{Speed: s.n.Aim, Chance: reaching(d, f.q[trapSD], more, s.n.Aim)}
	}
	g.Draws = len(d)
	return g, nil
}

// reaching is the chance that a draw, moved by add, m/s, reaches the aim, m/s; each draw
// stands for a little around it (Silverman's width), so that it changes evenly.
func reaching(d []forecast.Draw, sd, add, aim float64) float64 {
	h := max(1e-6, 0.5*sd*math.Pow(float64(len(d)), -0.2))
	n, count := 0.0, 0.0
	for i := range d {
		if v := d[i].Trap; !math.IsNaN(v) {
			count++
			n += 0.5 * math.Erfc((aim-v-add)/h/math.Sqrt2)
		}
	}
	return n / max(count, 1)
}
