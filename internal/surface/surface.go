package surface

import (
	"context"
	"errors"
	"math"
	"slices"
	"sync"

	"traplight/internal/fitcar"
	"traplight/internal/forecast"
	"traplight/internal/num/xrand"
	"traplight/internal/plan"
)

const (
	look   = 240  // draws of one look
	levels = 4    // where the median hangs on few: twice as many, four times, all
	all    = 2000 // draws of a full forecast
	probes = 8    // settings at which all are run before those of a look are chosen
)

// Surface is a forecast as a function of boost by gear and shift aims. It may be used by
// several at a time.
type Surface struct {
	m      *fitcar.Model
	n      *forecast.Next
	seed   uint64
	bounds *plan.Bounds
	gears  int
	lo, hi []float64 // Pa gauge by gear, then rad/s by gear

	mu     sync.Mutex
	which  [levels][]int // draws of a look, of each level those that come to the levels before
	places []place
	missed [levels]missed
}

// place is a setting at which all draws were run.
type place struct {
	x     []float64
	draws []forecast.Draw
}

// ErrDraws says that too few draws reach the line.
var ErrDraws = errors.New("the fitted car does not reach the line everywhere within the bounds")

// New begins a surface for the air and the strip of n; it runs nothing.
func New(m *fitcar.Model, n *forecast.Next, bold bool, seed uint64) (*Surface, error) {
	b, err := plan.BoundsOf(m, n, bold)
	if err != nil {
		return nil, err
	}
	s := &Surface{m: m, n: n, seed: seed, bounds: b, gears: len(b.Now)}
	for _, r := range slices.Concat(b.Boost, b.Shift) {
		s.lo, s.hi = append(s.lo, r[0]), append(s.hi, r[1])
	}
	order := make([]int, all)
	for i := range order {
		order[i] = i
	}
	s.which[0] = order[:look] // the first ones, until they are chosen
	for l := 1; l < levels-1; l++ {
		s.which[l] = order[look<<(l-1) : look<<l]
	}
	s.which[levels-1] = order[look<<(levels-2):]
	return s, nil
}

// Bounds are what the surface covers.
func (s *Surface) Bounds() *plan.Bounds { return s.bounds }

// Learn takes a full forecast of the surface's own luck, made for boost (Pa gauge by gear)
// and shift aims (rad/s by gear).
func (s *Surface) Learn(boost, shift []float64, full *forecast.Result) {
	if len(full.Draws) == all {
		s.learn(slices.Concat(boost, shift), full.Draws)
	}
}

func (s *Surface) learn(x []float64, draws []forecast.Draw) {
	s.mu.Lock()
	defer s.mu.Unlock()
	const most = 40
	s.places = append(s.places, place{slices.Clone(x), draws})
	if len(s.places) > most {
		s.places = slices.Delete(s.places, probes, probes+1)
	}
	s.fit()
}

// Settle runs all draws at some settings and chooses those of a look. It takes workers
// processors; 0 means all. progress is called with settings done; nil is allowed.
func (s *Surface) Settle(ctx context.Context, workers int, progress func(done, of int)) error {
	r := xrand.Stream(s.seed, "surface/probes")
	var seen []place
	for k := range probes {
		if progress != nil {
			progress(k, probes)
		}
		x := make([]float64, len(s.lo))
		for i := range x {
			f := r.Float64()
			switch {
			case k == 0:
				f = 0.5
			case k%2 == 1:
				f = math.Round(f) // a corner
			}
			x[i] = s.lo[i] + (s.hi[i]-s.lo[i])*f
		}
		d, err := s.run(ctx, x, forecast.Options{Draws: all, Workers: workers})
		if err != nil {
			return err
		}
		seen = append(seen, place{x, d})
	}
	which, err := choose(seen)
	if err != nil {
		return err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.which, s.places = which, slices.Concat(seen, s.places)
	s.fit()
	return nil
}

func (s *Surface) run(ctx context.Context, x []float64, o forecast.Options) ([]forecast.Draw, error) {
	n := *s.n
	n.Target, n.ShiftAim = x[:s.gears], x[s.gears:]
	o.Seed = s.seed
	return forecast.Draws(ctx, s.m, &n, o)
}

// fit follows what the draws of a look miss at the places where all were run.
func (s *Surface) fit() {
	for l := range levels {
		s.missed[l] = missed{ell: perLength * float64(len(s.lo))}
		for _, p := range s.places {
			var few []forecast.Draw
			for _, which := range s.which[:l+1] {
				for _, k := range which {
					few = append(few, p.draws[k])
				}
			}
			s.missed[l].add(s.scaled(p.x), told(p.draws).less(told(few).smoothed()))
		}
		s.missed[l].solve()
	}
}

// scaled brings settings to −1 … 1 within the bounds.
func (s *Surface) scaled(x []float64) []float64 {
	u := make([]float64, len(x))
	for i := range x {
		if s.hi[i] > s.lo[i] {
			u[i] = 2*(x[i]-s.lo[i])/(s.hi[i]-s.lo[i]) - 1
		}
	}
	return u
}
