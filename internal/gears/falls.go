package gears

import "math"

// Fall is one fast fall of engine speed with the throttle open before and after it: a
// change up, or tyres that find grip again.
type Fall struct {
	Top, Bottom, Steepest int // samples
}

const (
	fallShare  = 0.10 // 1, least fall of engine speed from one gear to the next (close ratios)
	fallWithin = 0.45 // s that a change up takes from the engine's top to its lowest
	fallRate   = 1.2  // 1/s, least rate of the fastest part: no open throttle falls so
	backOpen   = 0.5  // 0–1, throttle within a moment before and after
	besideFall = 0.15 // s about a fall in which gears may change
)

// Falls finds the changes up that engine speed alone shows. engine is in rad/s by
// sample of step s, NaN unknown; throttle 0–1 with NaN unknown, nil without the channel.
func Falls(engine, throttle []float64, step float64) []Fall {
	return FallsFrom(engine, throttle, step, fallRate)
}

// FallsFrom is Falls with the least rate, 1/s, of the fastest part of a fall.
func FallsFrom(engine, throttle []float64, step, least float64) []Fall {
	n := len(engine)
	w := max(2, int(0.03/step+0.5))
	rate := make([]float64, n)
	for i := w; i+w < n; i++ {
		a, b := engine[i-w], engine[i+w]
		if a > 30 && b > 30 {
			rate[i] = math.Log(b/a) / (2 * float64(w) * step)
		}
	}
	open := func(i, from, to int) bool {
		if throttle == nil {
			return true
		}
		known := false
		for j := max(0, i+from); j < min(n, i+to); j++ {
			if !math.IsNaN(throttle[j]) {
				known = true
				if throttle[j] > backOpen {
					return true
				}
			}
		}
		return !known
	}
	span := int(fallWithin/step + 0.5)
	var out []Fall
	for i := 0; i < n; {
		if !(rate[i] < -least) {
			i++
			continue
		}
		steepest := i
		j := i
		for last := i; j < n && j-last < int(0.12/step); j++ {
			if rate[j] < -least {
				last = j
			}
			if rate[j] < rate[steepest] {
				steepest = j
			}
		}
		f := Fall{Top: steepest, Bottom: steepest, Steepest: steepest}
		for k := steepest; k > max(0, steepest-span); k-- {
			if engine[k] > engine[f.Top] {
				f.Top = k
			}
		}
		for k := steepest; k < min(n, steepest+span); k++ {
			if engine[k] < engine[f.Bottom] {
				f.Bottom = k
			}
		}
		if engine[f.Bottom] < (1-fallShare)*engine[f.Top] &&
			open(f.Top, -int(0.3/step), w) && open(f.Bottom, -int(0.1/step), int(0.35/step)) {
			out = append(out, f)
		}
		i = max(j, f.Bottom+1)
	}
	return out
}
