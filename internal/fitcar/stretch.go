package fitcar

import (
	"math"

	"traplight/internal/sim"
)

// How the slip of a log is cut into stretches.
const (
	followFrom = 3.0  // m/s, under which slip is not believed
	spinAfter  = 0.16 // s after a shift in which the wheels have come to their highest slip
	spinPart   = 16.0 // samples of a spin that make one stretch
	spinEnds   = 40   // samples after a spin that count to its last stretch: it must end there
	spinOver   = 1.8  // 1, slip over that of the peak that is a spin: the peak's own slip is not known well
	spinLeast  = 0.06 // s of spin in a gear that make stretches of their own
	slipCounts = 4.0  // 1, slip counts up to this
)

// stretch is a part of a gear with the mean slip, by distance, that the log shows there.
type stretch struct {
	gear   int
	x0, x1 float64 // m
	from   float64 // m, from where slip counts
	to     float64 // m, to where it does: some way beyond a spin, for it must end there
	slip   float64 // 1, mean, free of its zero
	sd     float64 // 1, of it
	peak   float64 // 1, highest slip over that of the peak
	last   bool    // the gear ends with it
}

// replayed is the mean slip, 1, of pass p over the stretch, and the highest engine speed, rad/s,
// of its gear until its end. Where the gear is left early the slip it was left with counts for
// the rest: wheels that spin bring the shift about.
func (q *stretch) replayed(r *sim.Runner, p sim.Pass) (mean, ends float64) {
	p.Length, p.Window = min(p.Length, q.to+1), 0.5
	if p.Length <= p.Start.X+1 {
		return math.NaN(), 0
	}
	res, err := r.Run(&p)
	if err != nil {
		return math.NaN(), 0
	}
	sum, last, was, x := 0.0, 0.0, math.NaN(), q.from
	for i := range res.Points {
		c := &res.Points[i]
		if c.Gear != q.gear || c.X > q.to+0.5 {
			continue
		}
		if c.X <= q.x1+0.5 {
			ends = max(ends, c.EngineSpeed)
		}
		if c.X < q.from {
			continue
		}
		s := min(slipCounts, max(0, c.Slip))
		to := min(c.X, q.to)
		if !math.IsNaN(was) {
			sum += (s + was) / 2 * (to - x)
			last += to - x
		}
		was, x = s, to
	}
	if math.IsNaN(was) {
		return math.NaN(), 0
	}
	sum += was * (q.to - x)
	return sum / (last + q.to - x), ends
}

// stretches are the parts of the pass whose slip the log tells, a gear each or several where the
// wheels spun, and the slip with which each gear begins.
func (w *work) stretches(c *sim.Car, zero [2]float64) (parts []stretch, spin []float64) {
	spin = make([]float64, len(w.ratios))
	peaks := c.Tyre.Peaks()
	var run []int
	slip := func(i int) float64 {
		at := w.X[i] / w.Length
		return w.slip[i] - zero[0]*(1-at) - zero[1]*at
	}
	add := func(from, to, begin, count int) {
		if to-from < 6 {
			return
		}
		q := stretch{gear: w.Gear[from], x0: w.X[from], x1: w.X[to], from: w.X[begin], to: w.X[count]}
		for i := begin + 1; i <= count; i++ {
			dx := w.X[i] - w.X[i-1]
			q.slip += dx * (min(slipCounts, max(0, slip(i))) + min(slipCounts, max(0, slip(i-1)))) / 2
			q.peak = max(q.peak, slip(i)/peaks.Slip(w.V[i]))
			if i < len(w.VSD) {
				q.sd += dx * w.VSD[i] / w.V[i]
			}
		}
		q.slip /= q.to - q.from
		q.sd /= q.to - q.from
		if q.x1-q.x0 > 1 {
			parts = append(parts, q)
		}
	}
	flush := func() {
		if len(run) > 10 {
			first, last := run[0], run[len(run)-1]
			past, end := 0.0, first
			for _, i := range run {
				s := slip(i)
				if w.time(i) < w.time(first)+spinAfter {
					spin[w.Gear[i]-1] = max(spin[w.Gear[i]-1], s)
				}
				if s > spinOver*peaks.Slip(w.V[i]) {
					past, end = past+w.Step, i
				}
			}
			if past > spinLeast {
				end = min(end+8, last)
				if last-end < 20 {
					end = last
				}
				n := max(1, int(math.Round(float64(end-first)/spinPart)))
				for k := range n {
					a, b := first+(end-first)*k/n, first+(end-first)*(k+1)/n
					to := b
					if k == n-1 {
						to = min(last, b+spinEnds)
					}
					add(a, b, (a+b)/2, to)
				}
				first = end
			}
			add(first, last, first, last)
			if n := len(parts); n > 0 && parts[n-1].gear == w.Gear[last] {
				s := w.shiftOut(w.Gear[last])
				parts[n-1].last = s != nil && w.time(last) > s.Start-0.1
			}
		}
		run = run[:0]
	}
	gear, from := 0, 0.0
	for i := w.Lock; i < len(w.X); i++ {
		g := w.Gear[i]
		if g != gear {
			flush()
			gear, from = g, w.time(i)
		}
		late := w.Wheel[i] == w.Wheel[i] || w.time(i) > from+slipAfter // the engine tells the wheels' speed only with the clutch shut
		if g < 1 || g > len(w.ratios) || w.V[i] < followFrom || w.slipping(i) || math.IsNaN(w.slip[i]) || !late {
			flush()
			continue
		}
		run = append(run, i)
	}
	flush()
	return parts, spin
}
