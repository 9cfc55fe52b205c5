package reconstruct

import (
	"math"
)

// standing finds until when the car certainly stood before a stretch, and from
// when. The accelerometer tells to some hundredths of a second; without it the
// first signs of wheels or satellite only bound it.
func (s *signals) standing(st stretch) (from, to float64, byAccel bool) {
	from = math.Max(st.before+0.15, st.move-3)
	if s.accel != nil {
		if t, ok := s.onset(st, from); ok {
			return math.Max(from, t-2.5), t, true
		}
	}
	to = st.move - 0.75 // a wheel sensor wakes near 1 m/s and a receiver is 0.2 s late
	if len(s.undriven)+len(s.driven) == 0 {
		to = st.move - 0.9
	}
	if to < from+0.1 {
		from = to - 0.5
	}
	return math.Max(from, to-2.5), to, false
}

// onset finds the last instant at which the accelerometer still read its
// standing value: going back from where the car certainly pulls.
func (s *signals) onset(st stretch, from float64) (float64, bool) {
	base := s.accel.Trace.Slice(from, st.move-0.45)
	if base.Len() < 8 {
		return 0, false
	}
	m := median(base.V)
	dev := make([]float64, base.Len())
	for i, v := range base.V {
		dev[i] = math.Abs(v - m)
	}
	sd := math.Max(1.4826*median(dev), 0.01)
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
