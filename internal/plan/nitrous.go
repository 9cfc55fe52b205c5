package plan

import (
	"context"
	"slices"

	"traplight/internal/sim"
)

// window is when nitrous may open: in which gears, and how far boost is below its
// target.
type window struct {
	gears []int   // nil: after every shift
	below float64 // Pa; 0: as the car has it
}

func (w window) clone() window { return window{slices.Clone(w.gears), w.below} }

// in tells whether it may open in a gear (from 1).
func (w window) in(gear int) bool {
	n := sim.Nitrous{Gears: w.gears}
	return n.In(gear, 1)
}

// windows below target that are tried, Pa.
var belows = [...]float64{10e3, 20e3, 35e3}

// arm tries nitrous for recovery and, gear by gear and step by step, its windows. A
// system that was never used is tried only when asked to be bold: its effect is then
// taken from practice.
func (s *search) arm(ctx context.Context, x settings, v, was verdict) (settings, verdict) {
	m := s.m
	if m.Sheet.Nitrous.Flow <= 0 || ctx.Err() != nil || !x.nitrous && !everNitrous(m) && !s.opt.Bold {
		return x, v
	}
	if !everNitrous(m) && len(s.unguarded()) > 0 {
		return x, v // nobody sees what it does to a stated limit
	}
	const worth = 0.05 // m/s, for which a bottle is opened
	if !x.nitrous {
		z := x.clone()
		z.nitrous = true
		u := s.judge(ctx, z, s.draws)
		if !s.allOK(&u, &was) || u.score < v.score+worth {
			// in some gears alone
			z.window.gears = s.mild(&u, &was)
			if len(z.window.gears) == 0 {
				return x, v
			}
			if u = s.judge(ctx, z, s.draws); !s.allOK(&u, &was) || u.score < v.score+worth {
				return x, v
			}
		}
		x, v = s.climb(ctx, z, u, was)
	}
	for _, b := range belows {
		z := x.clone()
		z.window.below = b
		if u := s.judge(ctx, z, s.draws); s.allOK(&u, &was) && u.score > v.score+worth {
			x, v = z, u
		}
	}
	return x, v
}

// mild are the gears (from 1) in which nitrous keeps the soft limits.
func (s *search) mild(v, was *verdict) []int {
	var out []int
	for g := 1; g < len(v.gears); g++ {
		if s.softOK(v, was, g) {
			out = append(out, g+1)
		}
	}
	return out
}
