package page

import (
	"math"
	"sort"

	"traplight/internal/pass"
	"traplight/internal/quantity"
)

// run is a pass's motion in a form that charts need: place against time.
type run struct {
	p    *pass.Pass
	t, x []float64 // s run clock, m from the staged place, x not falling
	end  float64   // m, where the picture ends
}

func runOf(p *pass.Pass) *run {
	r := &run{p: p}
	m := &p.Motion
	from := p.Launch.Value
	last := 0.0
	for i, x := range m.X {
		t := m.Start + float64(i)*m.Step
		if t < from {
			continue
		}
		last = max(last, x)
		r.t = append(r.t, t)
		r.x = append(r.x, last)
	}
	if len(r.x) < 2 {
		return nil
	}
	r.end = r.x[len(r.x)-1]
	if p.Length > 0 {
		r.end = min(r.end, p.Length)
	}
	if p.Lift != nil && !p.Complete {
		if x := r.at(*p.Lift); !math.IsNaN(x) {
			r.end = min(r.end, x*1.03+5)
		}
	}
	return r
}

// at is the place, m, at a time, s run clock; NaN outside the pass.
func (r *run) at(t float64) float64 {
	n := len(r.t)
	if n == 0 || t < r.t[0] || t > r.t[n-1] {
		return math.NaN()
	}
	i := sort.SearchFloat64s(r.t, t)
	if i == 0 {
		return r.x[0]
	}
	f := (t - r.t[i-1]) / (r.t[i] - r.t[i-1])
	return r.x[i-1] + f*(r.x[i]-r.x[i-1])
}

// when is the time, s run clock, at a place, m.
func (r *run) when(x float64) float64 {
	i := sort.SearchFloat64s(r.x, x)
	if i >= len(r.t) {
		return r.t[len(r.t)-1]
	}
	return r.t[i]
}

// band is a gear's stretch of the strip.
type band struct {
	gear     int
	from, to float64 // m
}

func (r *run) bands() []band {
	var out []band
	for i := range r.p.Gears {
		g := &r.p.Gears[i]
		from, to := g.Start, g.End
		for _, s := range r.p.Shifts {
			if s.To == g.Gear && math.Abs(s.End.Value-g.Start) < 1 {
				from = s.End.Value
			}
			if s.From == g.Gear && math.Abs(s.Start.Value-g.End) < 1 {
				to = s.Start.Value
			}
		}
		a, b := r.at(max(from, r.t[0])), r.at(min(to, r.t[len(r.t)-1]))
		if math.IsNaN(a) || math.IsNaN(b) || a >= r.end {
			continue
		}
		out = append(out, band{g.Gear, a, min(b, r.end)})
	}
	return out
}

// wheelTorque is the wheel torque along the motion, N·m: hub torque over the overall
// ratio of the gear, 50 ms means; NaN in shifts and where no gear is known.
func wheelTorque(p *pass.Pass) (t, v []float64) {
	if p.Force == nil || p.Motion.Step <= 0 {
		return nil, nil
	}
	half := int(math.Round(0.025 / p.Motion.Step))
	ratio := map[int]float64{}
	for _, g := range p.Gears {
		if g.MeanHubTorque != nil && g.MeanWheelTorque != nil && g.MeanWheelTorque.Value > 0 {
			ratio[g.Gear] = g.MeanHubTorque.Value / g.MeanWheelTorque.Value
		}
	}
	f := p.Force
	n := min(len(f.HubTorque), len(f.Gear))
	sum := make([]float64, n+1)
	for i := range n {
		sum[i+1] = sum[i] + f.HubTorque[i]
	}
	for i := range n {
		t = append(t, p.Motion.Start+float64(i)*p.Motion.Step)
		k, ok := ratio[f.Gear[i]]
		if !ok {
			v = append(v, math.NaN())
			continue
		}
		lo, hi := max(0, i-half), min(n, i+half+1)
		v = append(v, (sum[hi]-sum[lo])/float64(hi-lo)/k)
	}
	return t, v
}

// unitOf is the symbol of w's unit of a dimension.
func unitOf(w quantity.World, d quantity.Dimension) string {
	_, _, u := w.Parts(d, 1, 0)
	return u
}

// top is a round number above the highest of v, at least least.
func top(least float64, v ...[]float64) float64 {
	hi := least
	for _, c := range v {
		for _, x := range c {
			if !math.IsNaN(x) {
				hi = max(hi, x)
			}
		}
	}
	return hi * 1.06
}
