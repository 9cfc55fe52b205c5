package plan

import "math"

const shutDown = "shut-down"

// reaction is the time from the line to full braking that package forecast takes, s.
const reaction = 1.0

// leastDecel is what the car's brakes have shown by stopping on this strip, m/s²: a
// from v²/(2a) = L − v·reaction; 0 unknown. Where a log shows the braking itself that
// serves instead.
func (s *search) leastDecel() float64 {
	v, l := s.opt.StoppedFrom, s.base.ShutDown
	if v <= 0 || l <= v*reaction || s.m.BrakeShown() {
		return 0
	}
	return v * v / (2 * (l - v*reaction))
}

// stopping is the way to a stop, m, from v, m/s, given what the draw made of it, stop:
// no worse than what was shown.
func (s *search) stopping(v, stop float64) float64 {
	a := s.leastDecel()
	if a <= 0 || stop <= v*reaction {
		return stop
	}
	return v*reaction + v*v/(2*max(a, v*v/(2*(stop-v*reaction))))
}

// kernel is the chance, 0–1, that a margin is below zero, from its draws, each blurred:
// for figures that have an end to them, where a normal tail would reach beyond.
func kernel(values []float64, blur float64) float64 {
	sum := 0.0
	for _, v := range values {
		sum += 0.5 * math.Erfc(v/blur/math.Sqrt2)
	}
	return sum / float64(max(1, len(values)))
}
