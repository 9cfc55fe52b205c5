package surface

import (
	"context"
	"errors"
	"math"
	"slices"

	"traplight/internal/fitcar"
	"traplight/internal/forecast"
	"traplight/internal/plan"
)

const (
	draws = 120 // a multiple of twelve, of which the ensemble usually has members
	nodes = 5   // along each setting
	cubic = 4   // nodes of one piece
	reach = 2   // gears further apart than this hardly touch each other
)

// spin is how long, s, the tyres may slip past their peak before it counts.
const spin = 0.05

// parts of what is interpolated of each draw
const (
	work = iota // (m/s)², square of the trap speed
	clock
	top
	stop
	kinds
)

// Surface is a forecast as a function of boost by gear and shift aims.
type Surface struct {
	n      *forecast.Next
	bounds *plan.Bounds
	gears  int
	x0     []float64   // Pa gauge, then rad/s
	lo, hi []float64   // of the same units
	at     [][]float64 // nodes by setting
	pairs  []pair
	runs   []run
	spins  []share
	full   *forecast.Result
	shift  [3][4]float64 // of trap, time and stop: what the full quantiles differ by
	missed missed
}

// pair names two settings that touch each other.
type pair struct{ i, j int }

// run is one draw at all nodes.
type run struct {
	base  [kinds]float64
	line  [][nodes][kinds]float64 // by setting: change against base
	joint [][2][2][kinds]float64  // by pair: what the corner has beyond both lines
}

// share is how often, 0–1, the tyres slip past their peak in a gear, against its boost.
type share [nodes]float64

// ErrDraws says that too few draws reach the line everywhere.
var ErrDraws = errors.New("the fitted car does not reach the line everywhere within the bounds")

// Make works a surface out around the settings of n.
func Make(ctx context.Context, m *fitcar.Model, n *forecast.Next, bold bool, seed uint64, progress func(done, of int)) (*Surface, error) {
	b, err := plan.BoundsOf(m, n, bold)
	if err != nil {
		return nil, err
	}
	s := &Surface{bounds: b, gears: len(b.Now)}
	for _, r := range slices.Concat(b.Boost, b.Shift) {
		s.lo, s.hi, s.x0 = append(s.lo, r[0]), append(s.hi, r[1]), append(s.x0, (r[0]+r[1])/2)
	}
	base := *n
	base.Target, base.ShiftAim = s.x0[:s.gears], s.x0[s.gears:]
	s.n = &base
	s.touching()
	if s.full, err = forecast.Run(ctx, m, s.n, forecast.Options{Seed: seed}); err != nil {
		return nil, err
	}
	return s, s.sample(ctx, m, seed, progress)
}

// touching lists the pairs that are followed.
func (s *Surface) touching() {
	for i := range s.x0 {
		for j := i + 1; j < len(s.x0); j++ {
			a, b, most := i, j, reach
			if i >= s.gears {
				a -= s.gears
			}
			if j >= s.gears {
				b -= s.gears
				most = 1
			}
			// the shift out of gear g touches the boost of g and of the gear after
			d := b - a
			if j >= s.gears && i < s.gears && (d == 0 || d == -1) || (i < s.gears) == (j < s.gears) && d <= most {
				s.pairs = append(s.pairs, pair{i, j})
			}
		}
	}
}

func (s *Surface) sample(ctx context.Context, m *fitcar.Model, seed uint64, progress func(done, of int)) error {
	total, done := 1+nodes*len(s.x0)+4*len(s.pairs)+probes, 0
	tell := func() {
		if done++; progress != nil {
			progress(done, total)
		}
	}
	ok := make([]bool, draws)
	for i := range ok {
		ok[i] = true
	}
	at := func(x []float64) ([]forecast.Draw, error) {
		n := *s.n
		n.Target, n.ShiftAim = x[:s.gears], x[s.gears:]
		d, err := forecast.Draws(ctx, m, &n, forecast.Options{Draws: draws, Seed: seed})
		for i := range d {
			ok[i] = ok[i] && !math.IsNaN(d[i].Trap)
		}
		tell()
		return d, err
	}
	base, err := at(s.x0)
	if err != nil {
		return err
	}
	lines := make([][nodes][]forecast.Draw, len(s.x0))
	for i := range s.x0 {
		s.at = append(s.at, make([]float64, nodes))
		for k := range nodes {
			x := slices.Clone(s.x0)
			x[i] = s.lo[i] + (s.hi[i]-s.lo[i])*float64(k)/(nodes-1)
			s.at[i][k] = x[i]
			if lines[i][k], err = at(x); err != nil {
				return err
			}
		}
	}
	corners := make([][2][2][]forecast.Draw, len(s.pairs))
	for k, p := range s.pairs {
		for a, u := range [2][]float64{s.lo, s.hi} {
			for b, v := range [2][]float64{s.lo, s.hi} {
				x := slices.Clone(s.x0)
				x[p.i], x[p.j] = u[p.i], v[p.j]
				if corners[k][a][b], err = at(x); err != nil {
					return err
				}
			}
		}
	}
	for g := range s.gears {
		s.spins = append(s.spins, share{})
		for k := range nodes {
			s.spins[g][k] = spinning(lines[g][k], g)
		}
	}
	for d := range draws {
		if ok[d] {
			s.runs = append(s.runs, s.collect(d, base, lines, corners))
		}
	}
	if len(s.runs) < draws/2 {
		return ErrDraws
	}
	s.align()
	return s.probe(ctx, m, seed, tell)
}

func spinning(d []forecast.Draw, g int) float64 {
	n, over := 0.0, 0.0
	for i := range d {
		if d[i].PastPeak != nil {
			n++
			if d[i].PastPeak[g] > spin {
				over++
			}
		}
	}
	return over / max(n, 1)
}

func values(d *forecast.Draw) [kinds]float64 {
	return [kinds]float64{work: d.Trap * d.Trap, clock: d.Time, top: d.Top, stop: d.Stop}
}

func (s *Surface) collect(d int, base []forecast.Draw, lines [][nodes][]forecast.Draw, corners [][2][2][]forecast.Draw) run {
	r := run{base: values(&base[d]), line: make([][nodes][kinds]float64, len(s.x0)), joint: make([][2][2][kinds]float64, len(s.pairs))}
	for i := range s.x0 {
		for k := range nodes {
			v := values(&lines[i][k][d])
			for q := range v {
				r.line[i][k][q] = v[q] - r.base[q]
			}
		}
	}
	for k, p := range s.pairs {
		for a, u := range [2]int{0, nodes - 1} {
			for b, w := range [2]int{0, nodes - 1} {
				v := values(&corners[k][a][b][d])
				for q := range v {
					r.joint[k][a][b][q] = v[q] - r.base[q] - r.line[p.i][u][q] - r.line[p.j][w][q]
				}
			}
		}
	}
	return r
}
