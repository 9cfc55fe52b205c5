package reconstruct

import "math"

// finalLift is when the driver closed the throttle for good, s; +Inf when the log
// ends before. Without a throttle it is when the pull ends for good.
func (s *signals) finalLift(w *sweep, g *grid) float64 {
	last, half := -1, -1 // the last samples of full and of half throttle
	known := false
	for i, x := range g.throttle {
		known = known || !math.IsNaN(x)
		if g.at(i) <= w.launch {
			continue
		}
		if x > 0.9 {
			last = i
		}
		if x > 0.5 {
			half = i
		}
	}
	switch {
	case last >= 0: // the lift is where the throttle is half closed
		if t, i, ok := g.closes(last, 0.5); ok {
			if m := g.drivenOnAt(i); m > 0 {
				return g.plateCloses(i, m)
			}
			return t
		}
	case half >= 0 && half < g.n-3: // never fully open
		return g.at(half)
	case !known:
		return pullEnd(g)
	}
	return math.Inf(1)
}

// closes is when the throttle, after sample from, falls through level, s, and the first
// sample under it.
func (g *grid) closes(from int, level float64) (t float64, at int, ok bool) {
	before := from // the last sample with a reading: rows may be lost just where the foot comes off
	for i := from + 1; i < g.n; i++ {
		switch x := g.throttle[i]; {
		case x < level:
			was := g.throttle[before]
			return g.at(before) + float64(i-before)*gridStep*(was-level)/math.Max(was-x, 1e-6), i, true
		case !math.IsNaN(x):
			before = i
		}
	}
	return 0, 0, false
}

// A plate that does not open any more is no lift: the driver stays on the pedal and the car
// gains speed behind it, drivenOn m/s at least and never much slower in between.
const (
	drivenOn    = 5.0
	drivenLeast = 0.8
	plateLeast  = 0.1 // 1, under which a throttle is shut
)

// drivenOnAt is how far the throttle was still open, 1, while the car gained speed after
// it had closed at sample i for good; 0 where that was a lift.
func (g *grid) drivenOnAt(i int) float64 {
	v0, open := g.v[i], 0.0
	for k := i; k < g.n && g.v[k] > drivenLeast*v0; k++ {
		if k > i+int(0.3/gridStep) {
			if g.throttle[k] > open {
				open = g.throttle[k]
			}
		}
		if g.v[k] > v0+drivenOn {
			if open > plateLeast {
				return open
			}
			return 0
		}
	}
	return 0
}

// plateCloses is when a throttle that opens to m at most from sample i on closes for good,
// s; +Inf when it never does.
func (g *grid) plateCloses(i int, m float64) float64 {
	last := i
	for k := i; k < g.n; k++ {
		if g.throttle[k] > 0.9*m {
			last = k
		}
	}
	if t, _, ok := g.closes(last, 0.5*m); ok {
		return t
	}
	return math.Inf(1)
}

// pullEnd is when the car last pulled, s; +Inf when it still did as the log ended.
func pullEnd(g *grid) float64 {
	for i := g.n - 1; i > 0; i-- {
		if g.a[i] > 0.4 { // m/s²
			if i < g.n-8 {
				return g.at(i)
			}
			break
		}
	}
	return math.Inf(1)
}

// fullThrottle marks samples of full throttle outside shifts, from launch to
// lift or line.
func (d *driveline) fullThrottle(w *sweep, g *grid, until float64) (byThrottle bool) {
	d.full = make([]bool, g.n)
	for i := range g.throttle {
		if !math.IsNaN(g.throttle[i]) {
			byThrottle = true
			break
		}
	}
	top := 0.0
	for i := range d.hub {
		top = math.Max(top, d.hub[i]*g.v[i])
	}
	for i := range d.full {
		t := g.at(i)
		if t < w.launch || t > until || t > d.lift {
			continue
		}
		in := false
		for k := range d.shifts {
			if t >= d.shifts[k].start() && t <= d.shifts[k].end() {
				in = true
				break
			}
		}
		if in {
			continue
		}
		switch {
		case byThrottle:
			d.full[i] = g.throttle[i] > 0.9
		case g.open != nil:
			d.full[i] = g.open[i] > 0.5
		default:
			d.full[i] = d.hub[i] > 0
		}
	}
	return byThrottle
}
