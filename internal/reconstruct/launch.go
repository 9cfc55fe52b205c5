package reconstruct

import (
	"math"
	"slices"

	"traplight/internal/num/stats"
)

// standing finds until when the car certainly stood before a stretch, and from
// when. The accelerometer tells to some hundredths of a second; without it the
// first signs of wheels or satellite only bound it.
func (s *signals) standing(st stretch, latency float64) (from, to float64, byAccel bool) {
	from = math.Max(st.before+0.15, st.move-3)
	if s.accel != nil {
		if t, ok := s.onset(st, from); ok {
			return math.Max(from, t-2.5), t, true
		}
	}
	to, ok := s.extrapolate(st, latency)
	if !ok {
		to = st.move - 0.75
	}
	if to < from+0.1 {
		from = to - 0.5
	}
	return math.Max(from, to-2.5), to, false
}

// A driven-off clutch takes up within about 0.25 s (common practice, no source): the
// straight line through the first speeds crosses zero some hundredths of a second
// after the car has moved.
const (
	takeUp     = 0.02 // s from 0.1 m/s to where the line of the first speeds crosses zero
	takeUpSD   = 0.05 // s, its spread
	beforeMove = 0.06 // s that a car needs from rest to 0.1 m/s
	satLatency = 0.17 // s, usual delay of a receiver's speed
	delayDoubt = 0.15 // s by which the car may have moved sooner, as that delay is not known: until it surely stands no speed can be found
)

// extrapolate bounds the start from the first speeds seen: wheels wake near 1 m/s,
// receivers speak late. latency is the receivers' delay, s.
func (s *signals) extrapolate(st stretch, latency float64) (float64, bool) {
	zero := s.wheelStarts(st)
	if len(zero) == 0 {
		zero = s.receiverStarts(st, latency)
	}
	if len(zero) == 0 {
		return 0, false
	}
	at := stats.Median(zero) - takeUp - beforeMove
	if len(s.sat) > 0 {
		at -= delayDoubt
	}
	return at, true
}

// wheelDelay is by how much, s, an undriven wheel's readings are late: a sensor
// counts teeth over some time. Chosen with simulated logs in view; no source.
const wheelDelay = 0.012

// wheelStarts are the times, s, at which the lines through the undriven wheels'
// first readings cross zero.
func (s *signals) wheelStarts(st stretch) []float64 {
	var zero []float64
	wheels := s.undriven
	if s.byDriven() {
		wheels = s.driven // nothing else tells; they seldom spin in the first instant
	}
	for _, w := range wheels {
		x := w.Trace.Slice(st.move-0.8, st.move+3)
		first := slices.IndexFunc(x.V, func(v float64) bool { return v > 0.2 })
		if first < 0 {
			continue
		}
		span := 0.35
		if w.RateHz > 0 {
			span = math.Max(span, 4/w.RateHz)
		}
		last := first
		for last < len(x.T) && x.T[last] < x.T[first]+span {
			last++
		}
		if t, ok := zeroOf(x.T[first:last], x.V[first:last]); ok {
			zero = append(zero, t-wheelDelay)
		}
	}
	return zero
}

// receiverStarts are the same by the receivers' speeds from 1 to 5 m/s.
func (s *signals) receiverStarts(st stretch, latency float64) []float64 {
	var zero []float64
	for _, g := range s.sat {
		x := g.Trace.Slice(st.move-0.5, st.move+4)
		var t, v []float64
		for i := range x.T {
			if x.V[i] > 5 && len(t) >= 3 {
				break
			}
			if x.V[i] > 1 {
				t, v = append(t, x.T[i]), append(v, x.V[i])
			}
		}
		if z, ok := zeroOf(t, v); ok {
			zero = append(zero, z-latency)
		}
	}
	return zero
}

// zeroOf is where the least-squares line through speeds v, m/s, at times t, s,
// crosses zero, s; false when it rises by less than 0.5 m/s², which no launch does.
func zeroOf(t, v []float64) (float64, bool) {
	if len(t) < 3 {
		return 0, false
	}
	var n, st, sv, stt, stv float64
	t0 := t[0]
	for i := range t {
		u := t[i] - t0
		n++
		st += u
		sv += v[i]
		stt += u * u
		stv += u * v[i]
	}
	d := n*stt - st*st
	if d <= 0 {
		return 0, false
	}
	k := (n*stv - st*sv) / d
	if k < 0.5 {
		return 0, false
	}
	return t0 + st/n - sv/n/k, true
}

// onset finds the last instant at which the accelerometer still read its
// standing value: going back from where the car certainly pulls.
func (s *signals) onset(st stretch, from float64) (float64, bool) {
	base := s.accel.Trace.Slice(from, st.move-0.45)
	if base.Len() < 8 {
		return 0, false
	}
	m := stats.Median(base.V)
	dev := make([]float64, base.Len())
	for i, v := range base.V {
		dev[i] = math.Abs(v - m)
	}
	sd := math.Max(1.4826*stats.Median(dev), 0.01)
	win := s.accel.Trace.Slice(from, st.move+1.0)
	dt := 0.01
	if s.accel.RateHz > 0 {
		dt = 1 / s.accel.RateHz
	}
	k := int(math.Round(0.04 / dt)) // samples averaged
	if k < 1 {
		k = 1
	}
	lim := math.Max(4*sd/math.Sqrt(float64(k)), 0.25)
	// running mean centred; find the first time after which it stays above lim up to a clear pull
	n := win.Len()
	mean := func(i int) float64 {
		lo, hi := max(0, i-k/2), min(n, i-k/2+k)
		sum := 0.0
		for _, v := range win.V[lo:hi] {
			sum += v
		}
		return sum/float64(hi-lo) - m
	}
	pull := -1
	for i := 0; i < n; i++ {
		if win.T[i] > st.move-0.6 && mean(i) > math.Max(1.2, 2*lim) {
			pull = i
			break
		}
	}
	if pull < 0 {
		return 0, false
	}
	for i := pull; i >= 0; i-- {
		if mean(i) < lim {
			return win.T[i] - 0.5*float64(k)*dt - 0.015, true
		}
	}
	return 0, false
}
