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
		before := last // the last sample with a reading: rows may be lost just where the foot comes off
		for i := last + 1; i < g.n; i++ {
			switch x := g.throttle[i]; {
			case x < 0.5:
				was := g.throttle[before]
				return g.at(before) + float64(i-before)*gridStep*(was-0.5)/math.Max(was-x, 1e-6)
			case !math.IsNaN(x):
				before = i
			}
		}
	case half >= 0 && half < g.n-3: // never fully open
		return g.at(half)
	case !known:
		return pullEnd(g)
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
