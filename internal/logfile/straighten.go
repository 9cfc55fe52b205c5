package logfile

import "math"

// straighten gives rows of one stretch their times. If the rows are even, the
// stamps are the rows' numbers times the step, rounded by the print: the straight
// line through them is finer than any of them, and where the loggers' clock
// wanders, a string pulled tight through them. A stamp is moved by no more than
// its print unless it repeats. If the rows are not even only repeats are spread.
func straighten(t []float64, step float64, isEven, exact bool, stamp float64) {
	n := len(t)
	if n < 2 {
		return
	}
	if isEven && n >= 8 && !exact {
		if line, ok := evenLine(t, step, stamp); ok {
			ontoLine(t, line, step, stamp)
			return
		}
	}
	again := 0
	for i := 1; i < n; i++ {
		if t[i] == t[i-1] {
			again++
		}
	}
	if !exact && (n >= 8 && 20*again > n || isEven && stamp > 0.02*step) {
		copy(t, tautString(t, stamp))
		return
	}
	spreadRepeats(t, step, stamp)
}

// ontoLine moves stamps onto the straight line through them. Where they lie on it
// already all but repeats stay as printed, to the last digit.
func ontoLine(t []float64, line func(int) float64, step, stamp float64) {
	onLine := true
	repeated := make([]bool, len(t))
	for i := range t {
		repeated[i] = repeats(t, i)
		if !repeated[i] && math.Abs(t[i]-line(i)) > 1e-5*step {
			onLine = false
		}
	}
	for i := range t {
		if !onLine || repeated[i] {
			t[i] = asPrinted(line(i), stamp, 1e-4*step)
		}
	}
}

// spreadRepeats spreads groups of equal stamps up to the next one.
func spreadRepeats(t []float64, step, stamp float64) {
	n := len(t)
	for i := 0; i < n; {
		j := i + 1
		for j < n && t[j] == t[i] {
			j++
		}
		if j-i > 1 {
			next := t[i] + step*float64(j-i)
			if j < n {
				next = min(t[j], t[i]+max(3*step*float64(j-i), 1.01*stamp))
			}
			a := t[i]
			for k := i; k < j; k++ {
				t[k] = a + (next-a)*float64(k-i)/float64(j-i)
			}
		}
		i = j
	}
}

// repeats says whether a row's stamp is also a neighbour's.
func repeats(t []float64, i int) bool {
	return i > 0 && t[i] == t[i-1] || i+1 < len(t) && t[i] == t[i+1]
}

// evenLine fits the straight line through the stamps of an even stretch; ok is
// false when a stamp that does not repeat lies farther from it than its print
// explains.
func evenLine(t []float64, step, stamp float64) (line func(int) float64, ok bool) {
	// Least squares over the row number, with repeats left out where others
	// suffice.
	var fit sums
	for i := range t {
		if !repeats(t, i) {
			fit.add(float64(i), t[i]-t[0])
		}
	}
	many := fit.n < float64(len(t))/2
	if many {
		fit = sums{}
		for i := range t {
			fit.add(float64(i), t[i]-t[0])
		}
	}
	if fit.det() <= 0 {
		return nil, false
	}
	b := fit.slope()
	a := (fit.v - b*fit.k) / fit.n
	origin := t[0]
	line = func(i int) float64 { return origin + a + b*float64(i) }
	if b <= 0 || math.Abs(b-step) > 0.2*step {
		return nil, false
	}
	for i := range t {
		tolerance := 1.01*stamp + 1e-9*math.Abs(t[i])
		if repeats(t, i) && !many {
			tolerance += 3 * step
		}
		if math.Abs(line(i)-t[i]) > tolerance {
			return nil, false
		}
	}
	return line, true
}

// rise makes times strictly increasing where nothing better was known.
func rise(t []float64, step float64) {
	least := max(1e-9, 1e-6*step)
	for i := 1; i < len(t); i++ {
		if !(t[i] > t[i-1]) {
			t[i] = t[i-1] + max(least, 1e-12*math.Abs(t[i-1]))
		}
	}
}
