// Package rainflow counts the cycles in a load history.
//
// Method: ASTM E1049-85 (2017), section 5.4.4, rainflow counting of a history that is not
// repeated: a range that a later, greater or equal one closes counts as a full cycle, one
// that holds the history's starting point, or is left over at the end, as half a cycle. The
// tests hold the standard's own example (its figure 6).
//
// Values carry the caller's unit. Counting knows nothing of damage: that is
// Palmgren's and Miner's sum, here for a straight S–N line.
package rainflow

import (
	"math"
)

// Cycle is one counted range.
type Cycle struct {
	From, To float64 // own unit, the reversals at its ends
	Count    float64 // 1: 0.5 or 1
}

// Range is the height of the cycle, own unit.
func (c Cycle) Range() float64 { return math.Abs(c.To - c.From) }

// Reversals keeps the ends of x, own unit, and the points at which it turns by more than gate,
// own unit; 0 keeps every turn. Values that are no number are passed over.
func Reversals(x []float64, gate float64) []float64 {
	var out []float64
	for _, v := range x {
		if math.IsNaN(v) {
			continue
		}
		n := len(out)
		switch {
		case n == 0:
			out = append(out, v)
		case v == out[n-1]:
		case n >= 2 && (out[n-1] > out[n-2]) == (v > out[n-1]):
			out[n-1] = v // on in the same direction
		case math.Abs(v-out[n-1]) > gate || n == 1:
			out = append(out, v)
		}
	}
	return out
}

// Count counts the cycles of a history by its reversals r, own unit, as Reversals gives them, in
// the order in which they close. A history that never turns gives half a cycle, an empty or
// constant one none.
func Count(r []float64) []Cycle {
	var out []Cycle
	var stack []float64
	for _, p := range r {
		stack = append(stack, p)
		for len(stack) >= 3 {
			n := len(stack)
			x := math.Abs(stack[n-1] - stack[n-2])
			y := math.Abs(stack[n-2] - stack[n-3])
			if x < y {
				break
			}
			if n == 3 { // y holds the starting point
				out = append(out, Cycle{stack[0], stack[1], 0.5})
				stack = append(stack[:0], stack[1:]...)
				continue
			}
			out = append(out, Cycle{stack[n-3], stack[n-2], 1})
			stack = append(stack[:n-3], stack[n-1])
		}
	}
	for i := 0; i+1 < len(stack); i++ {
		out = append(out, Cycle{stack[i], stack[i+1], 0.5})
	}
	return out
}

// Damage is the sum of Palmgren and Miner, 1, of cycles on a straight S–N line: ranges of
// reference, own unit, are borne life times, 1, others (reference/range)^slope as often. The
// means of the cycles are not looked at.
func Damage(cycles []Cycle, slope, reference, life float64) float64 {
	sum := 0.0
	for _, c := range cycles {
		sum += c.Count * math.Pow(c.Range()/reference, slope)
	}
	return sum / life
}

// Equivalent is the constant range, own unit, that does in as many cycles the damage of these,
// and their number, 1; slope is that of the S–N line, 1. Both are 0 without cycles.
func Equivalent(cycles []Cycle, slope float64) (rng, count float64) {
	top := 0.0
	for _, c := range cycles {
		top = math.Max(top, c.Range())
		count += c.Count
	}
	if !(top > 0) {
		return 0, 0
	}
	sum := 0.0
	for _, c := range cycles { // scaled, lest a steep slope overflows
		sum += c.Count * math.Pow(c.Range()/top, slope)
	}
	return top * math.Pow(sum/count, 1/slope), count
}
