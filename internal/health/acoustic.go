package health

import (
	"math"

	"traplight/internal/car"
)

// Mode is a resonance of the gas in a flat cylinder.
type Mode struct {
	Circumferential, Radial int
	Alpha                   float64 // 1, zero of the derivative of the Bessel function
	Frequency               float64 // Hz
	Low, High               float64 // Hz, where it may lie in a real chamber
}

// modeBand is how far a real chamber's resonance may lie from the flat
// cylinder's, as a share: pent-roof chambers were found about 13 % higher
// (references/knock.md); 15 % either way is allowed.
const modeBand = 0.15

// Modes gives the first n acoustic modes, by frequency, of a cylinder of the
// given bore, m, filled with gas in which sound travels at c, m/s. Draper (1938),
// J. Aeronautical Sciences 5, 219–226: f = c·α/(π·bore), α the zeros of Jm′.
// The first is where a knock sensor's filter is tuned to begin with.
func Modes(bore, c float64, n int) []Mode {
	var out []Mode
	// Zeros of Jm′ up to 12 by sign changes, refined by bisection; mode (m, 0) is
	// the first non-zero one for m > 0, and for m = 0 they begin at 3.83, named 1.
	for m := 0; m <= 10; m++ {
		radial := 0
		if m == 0 {
			radial = 1
		}
		last, x := derivative(m, 0.3), 0.3
		for x < 12 {
			next := derivative(m, x+0.05)
			if last*next < 0 {
				lo, hi := x, x+0.05
				for range 60 {
					mid := (lo + hi) / 2
					if derivative(m, mid)*derivative(m, lo) > 0 {
						lo = mid
					} else {
						hi = mid
					}
				}
				a := (lo + hi) / 2
				f := c * a / (math.Pi * bore)
				out = append(out, Mode{m, radial, a, f, f * (1 - modeBand), f * (1 + modeBand)})
				radial++
			}
			last, x = next, x+0.05
		}
	}
	for i := range out {
		for j := i; j > 0 && out[j].Alpha < out[j-1].Alpha; j-- {
			out[j], out[j-1] = out[j-1], out[j]
		}
	}
	return out[:min(n, len(out))]
}

// derivative is Jm′(x) = (Jm−1(x) − Jm+1(x))/2.
func derivative(m int, x float64) float64 {
	if m == 0 {
		return -math.J1(x)
	}
	return (math.Jn(m-1, x) - math.Jn(m+1, x)) / 2
}

// SoundSpeed is √(γRT), m/s, of burnt gas at temperature t, K, with γ 1.3 and R
// 287 J/(kg·K) (references/knock.md).
func SoundSpeed(t float64) float64 { return math.Sqrt(1.3 * 287 * t) }

// SquareBore is the bore, m, of an engine of the given displacement, m³, and
// number of cylinders if bore and stroke are equal; for want of a better figure.
func SquareBore(displacement float64, cylinders int) float64 {
	return math.Cbrt(4 * displacement / (math.Pi * float64(cylinders)))
}

// burntGas is the temperature taken for the gas when it knocks, K: within
// the range of references/knock.md.
const burntGas = 2300

// ModesOf gives the first three modes of a car's cylinders, and where the bore is
// from: the sheet's, or that of a cylinder as long as wide. None when the sheet
// tells neither.
func ModesOf(s *car.Sheet) (modes []Mode, bore string) {
	switch {
	case s.Bore > 0:
		return Modes(s.Bore, SoundSpeed(burntGas), 3), "the sheet's bore"
	case s.Displacement > 0 && s.Cylinders > 0:
		return Modes(SquareBore(s.Displacement, s.Cylinders), SoundSpeed(burntGas), 3), "the bore taken equal to the stroke"
	}
	return nil, ""
}
