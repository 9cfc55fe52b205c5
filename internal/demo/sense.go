package demo

import (
	"math"
	"math/rand/v2"
	"sort"
)

// reading is what a channel gave: values in SI at times on the run's clock.
type reading struct {
	t, v []float64
}

// sense reads a channel over the samples of one stretch.
func (c Car) sense(ch *channel, ss []sample, st Strip, r *rand.Rand, x0 float64) reading {
	switch ch.special {
	case "wheel":
		return c.senseWheel(ch, ss, r)
	case "gps":
		return senseSatellite(ch, ss, st, r, x0)
	}
	get := ch.get
	switch ch.special {
	case "accel":
		ph := 2 * math.Pi * r.Float64()
		get = func(s *sample) float64 {
			lean := c.p.pitchPerG * float64(s.lean)
			shake := 0.05 * math.Sin(float64(s.wE)*s.t*0.5+ph) * (0.3 + math.Abs(float64(s.slip)) + 10*float64(s.rough))
			return float64(s.a)*math.Cos(lean) + grav*(lean+st.Grade) + shake
		}
	case "lat":
		z := 0.0
		get = func(s *sample) float64 {
			z += -z*0.001/0.4 + math.Sqrt(0.002/0.4)*r.NormFloat64()
			return 0.25 * z * clamp(s.v/30, 0, 1)
		}
	case "gear":
		get = func(s *sample) float64 { return float64(s.gear) }
	case "knock":
		base := c.p.knockBase * (1 + 0.15*r.NormFloat64())
		get = func(s *sample) float64 {
			w := float64(s.wE) / 800
			bg := base * (0.8 + 1.1*w*w)
			return bg*math.Exp(0.13*r.NormFloat64()) + float64(s.knock)*(0.8+0.4*r.Float64())
		}
	}
	dt := 1 / ch.rate
	out := reading{}
	next := ss[0].t + ch.phase
	y := get(&ss[0])
	k := 1.0
	h := ss[1].t - ss[0].t
	if ch.lag > 0 {
		k = 1 - math.Exp(-h/ch.lag)
	}
	for i := range ss {
		y += k * (get(&ss[i]) - y)
		tr := ss[i].t + ch.delay
		for tr >= next-1e-9 {
			v := y*ch.scale + ch.bias + ch.noise*r.NormFloat64()
			out.t = append(out.t, next)
			out.v = append(out.v, v)
			next += dt
		}
	}
	return out
}

// senseWheel counts the teeth of a ring: the speed is that of the last whole
// number of teeth in about 12 ms, and zero when no tooth has passed lately.
func (c Car) senseWheel(ch *channel, ss []sample, r *rand.Rand) reading {
	const teeth = 44.0
	front := ch.wheel < 2
	driven := c.p.driven == allDriven || front == (c.p.driven == frontDriven)
	side := 1.0
	if ch.wheel%2 == 1 {
		side = -1
	}
	pitch := 2 * math.Pi / teeth
	// A ring is not perfect: each revolution repeats the same small error.
	run, phase := 0.0010, 2*math.Pi*r.Float64()
	var edges []float64
	// The two wheels of an axle part a little when they slip.
	d, part := 0.0, 0.0
	prev, last := 0.0, 0.0
	for i := range ss {
		a := ss[i].angU
		if driven {
			a = ss[i].angD
		}
		if i == 0 {
			prev = a
			last = a
			continue
		}
		da := a - prev
		prev = a
		if driven {
			part += -part*0.001/0.3 + math.Sqrt(0.002/0.3)*r.NormFloat64()
			da *= 1 + side*0.004*part*clamp(math.Abs(float64(ss[i].slip))*8, 0.05, 2.5)
			if front == (c.p.driven != rearDriven) { // the flat tyre is smaller and turns faster
				da *= 1 + side*0.02*float64(ss[i].flat)
			}
		}
		d += da
		w := d + run*pitch*teeth/6.28*math.Sin(d+phase)
		for w-last >= pitch {
			f := 1 - (w-last-pitch)/math.Max(da, 1e-9)
			edges = append(edges, ss[i-1].t+clamp(f, 0, 1)*(ss[i].t-ss[i-1].t))
			last += pitch
		}
	}
	out := reading{}
	dt := 1 / ch.rate
	j := 0
	for t := ss[0].t + ch.phase; t <= ss[len(ss)-1].t+1e-9; t += dt {
		for j < len(edges) && edges[j] <= t-0.001 {
			j++
		}
		v := 0.0
		if j >= 2 && t-edges[j-1] < 0.09 {
			k := j - 2
			for k > 0 && edges[j-1]-edges[k] < 0.012 {
				k--
			}
			v = float64(j-1-k) * pitch / (edges[j-1] - edges[k])
			if t-edges[j-1] > 2*(edges[j-1]-edges[k]) {
				v = pitch / (t - edges[j-1])
			}
		}
		v *= ch.circum / (2 * math.Pi) * ch.scale
		if v < 0.55 {
			v = 0
		}
		out.t = append(out.t, t)
		out.v = append(out.v, v)
	}
	return out
}

// senseSatellite is a receiver: late, smoothed, its error slowly wandering.
func senseSatellite(ch *channel, ss []sample, st Strip, r *rand.Rand, x0 float64) reading {
	out := reading{}
	dt := 1 / ch.rate
	ex, ey := 0.6*r.NormFloat64(), 0.6*r.NormFloat64()
	ev := 0.0
	const radius = 6.371e6
	turn := 0.0
	for i := range ss {
		if ss[i].phase == int8(phReturn) {
			turn = ss[i].x
			break
		}
	}
	for t := ss[0].t + ch.phase; t <= ss[len(ss)-1].t+1e-9; t += dt {
		ev += -ev*dt/0.5 + ch.noise*math.Sqrt(2*dt/0.5)*r.NormFloat64()
		ex += 0.02 * math.Sqrt(dt) * r.NormFloat64()
		ey += 0.02 * math.Sqrt(dt) * r.NormFloat64()
		i := at(ss, t-ch.delay)
		j := at(ss, t-ch.delay-2*ch.lag)
		var v, x float64
		n := float64(i - j + 1)
		for k := j; k <= i; k++ {
			v += ss[k].v / n
			if ss[k].phase == int8(phReturn) { // driving back, past where it turned
				x += (2*turn - ss[k].x) / n
			} else {
				x += ss[k].x / n
			}
		}
		switch ch.q {
		case "gps_speed":
			v = math.Abs(v + ev + ch.noise*0.6*r.NormFloat64())
			out.v = append(out.v, v)
		case "gps_lat":
			out.v = append(out.v, (st.Latitude+((x-x0)*math.Cos(st.Heading)+ey)/radius)/deg)
		default:
			out.v = append(out.v, (st.Longitude+((x-x0)*math.Sin(st.Heading)+ex)/(radius*math.Cos(st.Latitude)))/deg)
		}
		out.t = append(out.t, t)
	}
	return out
}

// at returns the index of the last sample not after t.
func at(ss []sample, t float64) int {
	i := sort.Search(len(ss), func(i int) bool { return ss[i].t > t }) - 1
	return max(i, 0)
}
