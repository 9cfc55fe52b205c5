// Package compare lays passes over each other along the strip: where, against the
// first of them, time and speed were gained and lost, section by section between
// the marks, and what differed there.
//
// Times count from rollout, as the strip's clocks do, and places from where the car
// stood. All values come from the passes' own smoothed motion; nothing is fitted
// again. The spread of a gap is that of the two passes' times there, taken as
// independent.
package compare

import (
	"errors"
	"fmt"
	"math"
	"sort"

	"traplight/internal/pass"
	"traplight/internal/quantity"
)

// step is the distance between points of the comparison, m.
const step = 2.0

// Pass is one of those compared.
type Pass struct {
	Name string // for people
	Pass *pass.Pass
}

// Comparison is several passes along one strip. The first is what the others are
// measured against.
type Comparison struct {
	X        []float64 // m from where the cars stood
	Lines    []Line    // in the order of the passes
	Sections []Section // between the marks that all passes reached
}

// Line is one pass along the strip; its slices go with Comparison.X and end where
// the pass ends.
type Line struct {
	Name     string
	Time     []float64 // s from rollout
	Speed    []float64 // m/s
	Gap      []float64 // s, its time less the first pass's: positive is behind
	SpeedGap []float64 // m/s, its speed less the first pass's
	Gear     []int     // 0 in a shift or when not known
}

// Section is the strip between two marks.
type Section struct {
	From, To   string  // marks
	FromX, ToX float64 // m
	Parts      []Part  // one for each pass
}

// Part is one pass in one section.
type Part struct {
	Time   float64            // s spent in the section
	Lost   *quantity.Estimate // s more than the first pass spent; nil for the first
	Speed  float64            // m/s at the section's end
	Gained *quantity.Estimate // m/s at the section's end over the first pass; nil for the first

	// What the section's own differences brought up to the last mark, with all that
	// follows from them in later sections; nil for the first pass. Over the sections
	// they add up to the gaps at the last mark.
	TimeBrought  *float64 // s, positive is time lost
	SpeedBrought *float64 // m/s, positive is speed gained

	Torque    *float64 // N·m, mean hub torque
	Slip      *float64 // 1, mean slip of the driven tyres at full throttle
	Boost     *float64 // Pa gauge, mean by the gears driven in it
	ShiftTime float64  // s of shifts begun in it
	Shifts    int
	Recovery  float64 // s of boost recovery after shifts begun in it
}

// Along compares passes. It needs two or more with their motion known, and gives an error else.
func Along(passes []Pass) (*Comparison, error) {
	if len(passes) < 2 {
		return nil, errors.New("a comparison needs at least two passes")
	}
	c := &Comparison{}
	var runs []*run
	longest := 0.0
	for _, p := range passes {
		r := runOf(p.Pass)
		if r == nil {
			return nil, fmt.Errorf("%s: its motion is not known", p.Name)
		}
		runs = append(runs, r)
		longest = max(longest, r.end)
	}
	for x := step; x <= longest; x += step {
		c.X = append(c.X, x)
	}
	for i, r := range runs {
		l := Line{Name: passes[i].Name}
		for k, x := range c.X {
			if x > r.end {
				break
			}
			t, v := r.at(x)
			l.Time = append(l.Time, t)
			l.Speed = append(l.Speed, v)
			l.Gear = append(l.Gear, r.gear(t+passes[i].Pass.Rollout.Value))
			if x <= runs[0].end {
				t0, v0 := t, v
				if i > 0 {
					t0, v0 = c.Lines[0].Time[k], c.Lines[0].Speed[k]
				}
				l.Gap = append(l.Gap, t-t0)
				l.SpeedGap = append(l.SpeedGap, v-v0)
			}
		}
		c.Lines = append(c.Lines, l)
	}
	c.sections(passes, runs)
	c.origins()
	return c, nil
}

// run is a pass's motion by distance.
type run struct {
	p       *pass.Pass
	x, t, v []float64 // m strictly increasing, s from rollout, m/s
	end     float64   // m, last place
}

// runOf cuts the motion to where the car goes forward from its place; nil when there
// is too little.
func runOf(p *pass.Pass) *run {
	r := &run{p: p}
	last := -1.0
	for i, x := range p.Motion.X {
		if x <= last+1e-6 || x < 0 {
			continue
		}
		last = x
		r.x = append(r.x, x)
		r.t = append(r.t, p.Motion.Start+float64(i)*p.Motion.Step-p.Rollout.Value)
		r.v = append(r.v, p.Motion.V[i])
	}
	if len(r.x) < 10 {
		return nil
	}
	r.end = r.x[len(r.x)-1]
	if p.Length > 0 {
		r.end = min(r.end, p.Length)
	}
	// Past the lift of a pass that was given up there is nothing to compare.
	if p.Lift != nil && !p.Complete {
		if i := sort.SearchFloat64s(r.t, *p.Lift-p.Rollout.Value); i < len(r.x) {
			r.end = min(r.end, r.x[i])
		}
	}
	return r
}

// at gives the time from rollout, s, and the speed, m/s, at x, m.
func (r *run) at(x float64) (t, v float64) {
	i := min(max(sort.SearchFloat64s(r.x, x), 1), len(r.x)-1)
	f := (x - r.x[i-1]) / (r.x[i] - r.x[i-1])
	v = r.v[i-1] + f*(r.v[i]-r.v[i-1])
	// Time by the mean speed of the step, which a linear rise of time would miss
	// near the launch.
	dt := r.t[i] - r.t[i-1]
	if s := r.v[i-1] + v; s > 0.2 {
		return r.t[i-1] + 2*(x-r.x[i-1])/s, v
	}
	return r.t[i-1] + f*dt, v
}

// gear is the gear at a time, s, run clock; 0 in a shift.
func (r *run) gear(t float64) int {
	for _, s := range r.p.Shifts {
		if t >= s.Start.Value && t < s.End.Value {
			return 0
		}
	}
	for _, g := range r.p.Gears {
		if t >= g.Start && t < g.End {
			return g.Gear
		}
	}
	return 0
}

// spread is the standard deviation of the pass's time, s, and speed, m/s, at x, m: those of the
// nearest marks, between them in proportion.
func (r *run) spread(x float64) (t, v float64) {
	s := r.p.Splits
	if len(s) == 0 {
		return math.Hypot(r.p.Rollout.SD, 0.01), 0.2
	}
	i := sort.Search(len(s), func(k int) bool { return s[k].Distance >= x })
	if i == 0 {
		return s[0].Time.SD, s[0].Speed.SD
	}
	if i == len(s) {
		return s[i-1].Time.SD, s[i-1].Speed.SD
	}
	f := (x - s[i-1].Distance) / (s[i].Distance - s[i-1].Distance)
	return s[i-1].Time.SD + f*(s[i].Time.SD-s[i-1].Time.SD), s[i-1].Speed.SD + f*(s[i].Speed.SD-s[i-1].Speed.SD)
}
