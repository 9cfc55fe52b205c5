package demo

import (
	"math"
	"strings"
)

// Displaced is what a fault does to a pass, gear by gear against the same pass without
// it at the same road speed: so it can be laid over a pass of another car. Gears come in
// the order in which they were run; Bins equal steps of speed divide each.
type Displaced struct {
	Signals []Displacement
	// Pace is the time with the fault over the time without it, by gear and bin:
	// how much more slowly the speed rises.
	Pace [][]float64
	// From is the onset: gear (from 0) and bin.
	FromGear, FromBin int
}

// Displacement is one logged signal's course, SI, by gear and bin, as its sensor lags.
type Displacement struct {
	Quantity   string
	Well, Sick [][]float64
	Noise      float64 // SI, standard deviation of a reading
}

// Bins is into how many steps of speed a gear is divided.
const Bins = 40

// Displace runs the pass of opts with its fault and its twin without. ok is false where
// there is nothing to compare: no fault, a sensor's own, or a pass given up.
func Displace(c Car, opts PassOptions, seed uint64) (d Displaced, ok bool) {
	if opts.Fault == nil || opts.Fault.Kind == SensorFault {
		return d, false
	}
	ill, twin, chs, _ := c.twins(opts, seed)
	from := ill.drv.tRelease + opts.Fault.After
	n := min(len(ill.spans), len(twin.spans))
	if n < 3 {
		return d, false
	}
	sick, well := make([][]int, n), make([][]int, n)
	for g := range n {
		a, b := twin.ss[twin.idx(twin.taken(g))].v, twin.ss[twin.idx(twin.held(g))].v
		well[g], sick[g] = twin.crossings(g, a, b), ill.crossings(g, a, b)
		pace := make([]float64, Bins)
		for k := range pace {
			dw := twin.ss[well[g][k+1]].t - twin.ss[well[g][k]].t
			ds := ill.ss[sick[g][k+1]].t - ill.ss[sick[g][k]].t
			pace[k] = 1
			if dw > 0 && ds > 0 {
				pace[k] = clamp(ds/dw, 0.5, 2)
			}
			if twin.ss[well[g][k]].t < from {
				d.FromGear, d.FromBin = g, k
			}
		}
		d.Pace = append(d.Pace, pace)
	}
	for _, ch := range chs {
		y, z := twin.lagged(ch), ill.lagged(ch)
		x := Displacement{Quantity: ch.q, Well: make([][]float64, n), Sick: make([][]float64, n),
			Noise: math.Hypot(ch.noise, ch.quantum/3) * math.Abs(ch.scale)}
		for g := range n {
			for k := range Bins + 1 {
				a, b := y[well[g][k]], z[sick[g][k]]
				if ch.special == "knock" {
					a, b = loudest(y, well[g], k), loudest(z, sick[g], k)
				}
				x.Well[g], x.Sick[g] = append(x.Well[g], a), append(x.Sick[g], b)
			}
		}
		d.Signals = append(d.Signals, x)
	}
	return d, true
}

// taken is the time from which the g-th gear drives: the shift into it is over and the
// throttle back.
func (t *teller) taken(g int) float64 {
	from := t.spans[g].from
	if g > 0 && g <= len(t.sh) {
		from += 0.3
		if on := t.sh[g-1].on; finite(on) {
			from = max(from, on+0.2)
		}
	}
	return min(from, t.spans[g].to)
}

// held is the time to which the g-th gear is driven on: just before the shift is begun,
// or the lift.
func (t *teller) held(g int) float64 {
	to := t.spans[g].to
	if g < len(t.sh) {
		to = min(to, t.sh[g].begin)
	}
	return max(t.taken(g), to-0.1)
}

// crossings are the samples of the g-th span at which the speed first reaches each step
// from a to b; the span's last where it never does.
func (t *teller) crossings(g int, a, b float64) []int {
	out := make([]int, Bins+1)
	i, last := t.idx(t.taken(g)), t.idx(t.held(g))
	for k := range out {
		for i < last && t.ss[i].v < a+(b-a)*float64(k)/Bins {
			i++
		}
		out[k] = i
	}
	return out
}

// Shown says whether a careful eye could see the fault in a log that has the signals for
// which has is true: one of them is off by four standard deviations of its readings'
// noise in five bins on end, or the pace by 4 %.
func (d *Displaced) Shown(has func(q string) bool) bool {
	for _, s := range d.Signals {
		if has(s.Quantity) && lasting(s.Well, func(g, k int) bool { return math.Abs(s.Sick[g][k]-s.Well[g][k]) > 4*s.Noise }) {
			return true
		}
	}
	return lasting(d.Pace, func(g, k int) bool { return math.Abs(d.Pace[g][k]-1) > 0.04 })
}

// loudest is the largest value within two bins of the k-th: knocks are pulses.
func loudest(y []float64, at []int, k int) float64 {
	out := 0.0
	for _, v := range y[at[max(0, k-2)] : at[min(len(at)-1, k+2)]+1] {
		out = max(out, v)
	}
	return out
}

// lasting says whether a condition holds in five bins of a gear on end.
func lasting(x [][]float64, is func(g, k int) bool) bool {
	for g := range x {
		n := 0
		for k := range x[g] {
			if !is(g, k) {
				n = 0
				continue
			}
			if n++; n >= 5 {
				return true
			}
		}
	}
	return false
}

// SignalOf splits a signal's name of the truth into what it is and its number, 0 where it
// has none: "egt_b2" is "egt" and 2.
func SignalOf(q string) (name string, index int) {
	if i := strings.LastIndexByte(q, '_'); i > 0 {
		s := strings.TrimPrefix(q[i+1:], "b")
		if len(s) == 1 && s[0] >= '1' && s[0] <= '9' {
			return q[:i], int(s[0] - '0')
		}
	}
	return q, 0
}
