package logfile

import "slices"

// tickStep is the time between the rows of a log whose clock shows only whole steps over
// many even rows, in the clock's unit; 0 when it is no such log: each stamp must stand one
// step past the one before, and be held for as many rows as the others, the first and the
// last perhaps for fewer. Rows that are written as things happen are not held so evenly.
func tickStep(v []float64) float64 {
	var held []int
	n, step := 1, 0.0
	for i := 1; i < len(v); i++ {
		d := v[i] - v[i-1]
		if d == 0 {
			n++
			continue
		}
		if step == 0 {
			step = d
		}
		if d != step || d < 0 {
			return 0
		}
		held = append(held, n)
		n = 1
	}
	if len(held) < 5 {
		return 0
	}
	first, usual := held[0], held[1:]
	least, most := slices.Min(usual), slices.Max(usual)
	if most-least > 2+most/50 || first > most+2 || n > most+2 {
		return 0
	}
	rows := 0
	for _, h := range usual {
		rows += h
	}
	return step * float64(len(usual)) / float64(rows)
}
