package surface

import (
	"math"
	"slices"

	"traplight/internal/forecast"
	"traplight/internal/plan"
)

// Guess is what the surface says of one set of settings.
type Guess struct {
	Trap   forecast.Speeds    `json:"trap"`
	Time   forecast.Times     `json:"time"`
	Target *forecast.Target   `json:"target"`
	Top    float64            `json:"top_speed_mps"` // m/s, median of the highest speed
	Stop   forecast.Distances `json:"stopping_m"`
	// Spin is the chance, 0–1 by gear, that the tyres slip past their peak.
	Spin []float64 `json:"spin"`
}

// Bounds are what the surface covers.
func (s *Surface) Bounds() *plan.Bounds { return s.bounds }

// Full is the full forecast of the settings around which the surface was made.
func (s *Surface) Full() *forecast.Result { return s.full }

// Base is the pass around which the surface was made.
func (s *Surface) Base() *forecast.Next { return s.n }

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
	return in(boost, 0, s.gears, rounding) && in(shift, s.gears, len(s.x0), turn)
}

// At guesses the forecast for boost (Pa gauge by gear) and shift aims (rad/s by gear);
// what lies outside the bounds is brought to them, what is missing stays as it was.
func (s *Surface) At(boost, shift []float64) Guess {
	x := slices.Clone(s.x0)
	copy(x[:s.gears], boost)
	copy(x[s.gears:], shift)
	for i := range x {
		x[i] = max(s.lo[i], min(s.hi[i], x[i]))
	}
	trap, times, tops, stops := s.draws(x)
	g := Guess{}
	q, mean, sd := smooth(trap)
	more := s.missed.at(s.scaled(x))
	for k := range q {
		q[k] += s.shift[0][k] + more[k]
	}
	g.Trap = forecast.Speeds{Mean: mean + s.shift[0][3] + more[3], SD: sd, P05: q[0], P50: q[1], P95: q[2]}
	if s.n.Aim > 0 {
		g.Target = &forecast.Target{Speed: s.n.Aim, Chance: reaching(trap, sd, g.Trap.Mean-mean, s.n.Aim)}
	}
	q, mean, sd = smooth(times)
	for k := range q {
		q[k] += s.shift[1][k]
	}
	g.Time = forecast.Times{Mean: mean + s.shift[1][3], SD: sd, P05: q[0], P50: q[1], P95: q[2]}
	q, _, _ = quantiles(tops)
	g.Top = q[1]
	q, _, _ = smooth(stops)
	g.Stop = forecast.Distances{P50: q[1] + s.shift[2][1], P95: q[2] + s.shift[2][2]}
	for k := range s.spins {
		w, from := s.weights(k, x[k])
		v := 0.0
		for i := range w {
			v += w[i] * s.spins[k][from+i]
		}
		g.Spin = append(g.Spin, max(0, min(1, v)))
	}
	return g
}

// draws are the interpolated draws at x: trap speeds m/s, times s, top speeds m/s, ways to a stop m.
func (s *Surface) draws(x []float64) (trap, times, tops, stops []float64) {
	type along struct {
		w    [cubic]float64
		from int
	}
	lines := make([]along, len(x))
	side, part := make([]int, len(x)), make([]float64, len(x))
	for i := range x {
		lines[i].w, lines[i].from = s.weights(i, x[i])
		if x[i] < s.x0[i] {
			part[i] = (s.x0[i] - x[i]) / (s.x0[i] - s.lo[i])
		} else if s.hi[i] > s.x0[i] {
			side[i], part[i] = 1, (x[i]-s.x0[i])/(s.hi[i]-s.x0[i])
		}
	}
	for r := range s.runs {
		run := &s.runs[r]
		v := run.base
		for i := range x {
			if x[i] == s.x0[i] {
				continue
			}
			for k, w := range lines[i].w {
				n := &run.line[i][lines[i].from+k]
				for q := range v {
					v[q] += w * n[q]
				}
			}
		}
		for k, p := range s.pairs {
			f := part[p.i] * part[p.j]
			if f == 0 {
				continue
			}
			n := &run.joint[k][side[p.i]][side[p.j]]
			for q := range v {
				v[q] += f * n[q]
			}
		}
		trap = append(trap, math.Sqrt(max(0, v[work])))
		times, tops, stops = append(times, v[clock]), append(tops, v[top]), append(stops, v[stop])
	}
	return trap, times, tops, stops
}

// weights of the nodes from index from on that give the value of setting i at x:
// Lagrange's cubic through the four nearest.
func (s *Surface) weights(i int, x float64) (w [cubic]float64, from int) {
	t := s.at[i]
	if s.hi[i] <= s.lo[i] {
		w[0] = 1
		return w, 0
	}
	k := int((x - t[0]) / (t[nodes-1] - t[0]) * (nodes - 1))
	from = max(0, min(k-1, nodes-cubic))
	for a := range w {
		w[a] = 1
		for b := range w {
			if a != b {
				w[a] *= (x - t[from+b]) / (t[from+a] - t[from+b])
			}
		}
	}
	return w, from
}

// align sets the quantiles right by the full forecast's at the base.
func (s *Surface) align() {
	trap, times, _, stops := s.draws(s.x0)
	for k, f := range []struct {
		x    []float64
		full forecast.Spread
	}{{trap, s.full.Trap}, {times, s.full.Time}, {stops, s.full.Stopping}} {
		q, mean, _ := smooth(f.x)
		s.shift[k] = [4]float64{f.full.P05 - q[0], f.full.P50 - q[1], f.full.P95 - q[2], f.full.Mean - mean}
	}
}

// quantiles at 0.05, 0.5, 0.95, mean and standard deviation.
func quantiles(x []float64) (q [3]float64, mean, sd float64) {
	t := slices.Clone(x)
	slices.Sort(t)
	for k, p := range [3]float64{0.05, 0.5, 0.95} {
		u := p * float64(len(t)-1)
		i := int(u)
		q[k] = t[i]
		if i+1 < len(t) {
			q[k] += (u - float64(i)) * (t[i+1] - t[i])
		}
	}
	for _, v := range t {
		mean += v
	}
	mean /= float64(len(t))
	for _, v := range t {
		sd += (v - mean) * (v - mean)
	}
	return q, mean, math.Sqrt(sd / float64(max(1, len(t)-1)))
}

// smooth stands for the quantiles of few draws by mean and standard deviation: less exact
// than their order, but without its jumps from setting to setting. What it is off by at
// x₀ is known and taken off.
func smooth(x []float64) (q [3]float64, mean, sd float64) {
	const z = 1.6449 // of 0.95
	_, mean, sd = quantiles(x)
	return [3]float64{mean - z*sd, mean, mean + z*sd}, mean, sd
}

// reaching is the chance that a draw, moved by add, reaches the aim, m/s; each draw stands
// for a little around it (Silverman's width), so that it changes evenly.
func reaching(trap []float64, sd, add, aim float64) float64 {
	h := max(1e-6, 0.9*sd*math.Pow(float64(len(trap)), -0.2))
	n := 0.0
	for _, v := range trap {
		n += 0.5 * math.Erfc((aim-v-add)/h/math.Sqrt2)
	}
	return n / float64(len(trap))
}
