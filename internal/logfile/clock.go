package logfile

import (
	"fmt"
	"math"
	"slices"

	"traplight/internal/trace"
)

// The constants of clock repair.
const (
	// A step between rows counts as a jump when it exceeds the expected one by
	// more than this share and by more than the print of the stamps explains.
	jumpShare = 0.5
	// In logs with uneven rows a jump is this many times the widest usual step.
	unevenJump = 4
	// A recording that begins anew gets this much room behind the last one, s,
	// since the file does not tell how long it was off.
	unknownGap = 60
	// A gap of more than this, s, parts two recordings.
	newRecording = 30
	// The evidence (log-likelihood ratio, nats) from which channels may overrule
	// the clock.
	enough = 3
)

// times is the outcome of clock repair.
type times struct {
	run    []float64 // s, strictly increasing
	clock  trace.Clock
	step   float64 // s, usual time between rows; 0 uneven
	stamp  float64 // s, step of the printed times
	parts  []int
	breaks []int // rows behind a jump of any sort
	notes  []string
	origin float64 // s, the log's own clock where the run clock begins
}

// jump is a place where the clock does not go on as usual.
type jump struct {
	row  int     // the row behind it
	from float64 // s, stamp before
	to   float64 // s, stamp behind
	run  float64 // s, run time given to the step
	kind string
}

// repair turns the stamps of a log, s on its own clock, into a run clock that
// never steps. channels lends the evidence for jumps; line tells a row's line in
// the file; parts are rows at which a header stood; exact says that the stamps
// are the instants themselves.
func repair(stamps []float64, period float64, exact bool, parts []int, channels [][]float64, line func(int) int) times {
	n := len(stamps)
	var out times
	t := fillBlank(stamps, &out, line)
	unwrap(t, period, &out, line)
	out.begin(t)
	out.stamp = stampStep(t)

	step, isEven := usualStep(t, out.stamp)
	if isEven {
		out.step = step
	}
	isPart := map[int]bool{}
	for _, p := range parts {
		isPart[p] = true
	}
	limit := jumpLimit(t, step, isEven)

	// Walk over the rows; waiting counts stamps that repeat.
	run := make([]float64, n)
	run[0] = t[0]
	var jumps []jump
	waiting := 0
	shift := 0.0
	for i := 1; i < n; i++ {
		d := t[i] - t[i-1]
		expected := step * float64(waiting+1)
		switch {
		case d == 0 && !isPart[i]:
			waiting++
			run[i] = run[i-1]
			continue
		case d < 0:
			j := jump{row: i, from: t[i-1], to: t[i], run: step, kind: "back"}
			if isPart[i] || !joins(channels, run[:i], i, step, isEven) {
				j.kind, j.run = "restart", unknownGap
			}
			jumps = append(jumps, j)
			shift = run[i-1] + expected - step + j.run - t[i]
		case isPart[i] && d > expected+limit:
			jumps = append(jumps, jump{row: i, from: t[i-1], to: t[i], run: d, kind: "part"})
		case d > expected+limit:
			j := jump{row: i, from: t[i-1], to: t[i], run: d, kind: "gap"}
			if isEven {
				if e := stepEvidence(channels, run[:i], i, step, d); e > enough {
					j.kind, j.run = "step", step
				} else if e > -enough {
					j.kind = "unclear"
				}
			}
			jumps = append(jumps, j)
			shift += j.run - d
		}
		run[i] = t[i] + shift
		waiting = 0
	}
	out.parts = []int{0}
	from := 0
	for _, j := range jumps {
		straighten(run[from:j.row], step, isEven, exact, out.stamp)
		shift := run[j.row-1] + j.run - run[j.row]
		if j.kind == "gap" || j.kind == "unclear" || j.kind == "part" {
			shift = 0 // the stamps themselves are right
			if run[j.row] <= run[j.row-1] {
				shift = run[j.row-1] + step - run[j.row]
			}
		}
		for k := j.row; k < n; k++ {
			run[k] += shift
		}
		from = j.row
		if j.kind == "restart" || j.kind == "part" || j.kind != "step" && j.run > newRecording {
			out.parts = append(out.parts, j.row)
		}
		out.breaks = append(out.breaks, j.row)
	}
	straighten(run[from:], step, isEven, exact, out.stamp)
	rise(run, step)
	for _, p := range parts {
		if p > 0 && !slices.Contains(out.parts, p) {
			out.parts = append(out.parts, p)
		}
	}
	slices.Sort(out.parts)

	out.run = run
	out.tell(t, jumps, line)
	return out
}

// begin lets the run clock begin at zero, whatever the log's own clock says, so
// that a log in seconds and the same with times of day give the same numbers to
// the last digit.
func (o *times) begin(t []float64) {
	o.origin = t[0]
	if o.origin == 0 {
		return
	}
	large := max(math.Abs(t[0]), math.Abs(t[len(t)-1]))
	for i := range t {
		t[i] -= o.origin
	}
	redecimal(t, large)
	o.clock.Segments = []trace.Segment{{FromRun: 0, Offset: o.origin}}
}

// tell writes the segments of the clock and the notes.
func (o *times) tell(t []float64, jumps []jump, line func(int) int) {
	gaps, gapTime := 0, 0.0
	for _, j := range jumps {
		place := ""
		if l := line(j.row); l > 0 {
			place = fmt.Sprintf("line %d: ", l)
		}
		d := j.to - j.from
		j.from, j.to = j.from+o.origin, j.to+o.origin
		switch j.kind {
		case "gap":
			gaps++
			gapTime += d
			if gaps <= 3 {
				o.notes = append(o.notes, fmt.Sprintf("%srows are missing for %.3f s at %.3f s; the channels moved on as in that time", place, d, j.from))
			}
			continue
		case "unclear":
			o.notes = append(o.notes, fmt.Sprintf("%sthe time jumps by %.3f s at %.3f s; the channels do not tell whether rows are missing or the clock was set, rows missing is assumed", place, d, j.from))
			continue
		case "part":
			o.notes = append(o.notes, fmt.Sprintf("%sa new recording begins %.3f s after the last", place, d))
			continue
		case "step":
			o.notes = append(o.notes, fmt.Sprintf("%sthe clock steps by %+.3f s at %.3f s while the channels go on without a gap; durations are counted as if it had not", place, d-j.run, j.from))
		case "back":
			o.notes = append(o.notes, fmt.Sprintf("%sthe clock is set back by %.3f s at %.3f s; durations are counted as if it had not", place, -d, j.from))
		case "restart":
			o.notes = append(o.notes, fmt.Sprintf("%sthe clock begins anew (%.3f s after %.3f s): another recording, an unknown time later", place, j.to, j.from))
		}
		if len(o.clock.Segments) == 0 {
			o.clock.Segments = append(o.clock.Segments, trace.Segment{FromRun: o.run[0], Offset: 0})
		}
		o.clock.Segments = append(o.clock.Segments, trace.Segment{FromRun: o.run[j.row], Offset: t[j.row] - o.run[j.row] + o.origin})
	}
	if gaps > 3 {
		o.notes = append(o.notes, fmt.Sprintf("rows are missing in %d places, %.1f s together", gaps, gapTime))
	}
}

// fillBlank gives rows without a time the time of the row before.
func fillBlank(stamps []float64, o *times, line func(int) int) []float64 {
	t := slices.Clone(stamps)
	first := slices.IndexFunc(t, func(x float64) bool { return x == x })
	for i := range first {
		t[i] = t[first]
	}
	blank := first
	for i := first + 1; i < len(t); i++ {
		if t[i] != t[i] {
			t[i] = t[i-1]
			if blank++; blank == 1 {
				first = i
			}
		}
	}
	if blank > 0 {
		o.notes = append(o.notes, fmt.Sprintf("%d rows have no time, the first in line %d; they are placed between their neighbours", blank, line(first)))
	}
	return t
}

// unwrap undoes the clock's beginning anew at midnight.
func unwrap(t []float64, period float64, o *times, line func(int) int) {
	if period <= 0 {
		return
	}
	add := 0.0
	for i := 1; i < len(t); i++ {
		t[i] += add
		if t[i]-t[i-1] < -period/2 {
			add += period
			t[i] += period
			what := "midnight passes"
			if period < 86400 {
				what = "the clock of minutes and seconds begins anew"
			}
			o.notes = append(o.notes, fmt.Sprintf("line %d: %s; times run on past %.0f s", line(i), what, period))
		}
	}
}

// stampStep is the step in which times are printed, s: the largest power of ten
// (or that times 2 or 5) that divides all of them.
func stampStep(t []float64) float64 {
	sample := t
	if len(sample) > 5000 {
		sample = sample[:5000]
	}
	for _, q := range []float64{1, 0.5, 0.2, 0.1, 0.05, 0.02, 0.01, 0.005, 0.002, 0.001, 5e-4, 2e-4, 1e-4, 1e-5, 1e-6} {
		ok := true
		for _, x := range sample {
			r := (x - sample[0]) / q
			if math.Abs(r-math.Round(r)) > 1e-4+1e-9*math.Abs(x)/q {
				ok = false
				break
			}
		}
		if ok {
			return q
		}
	}
	return 0
}

// usualStep is the usual time between rows, s, and whether rows are evenly
// spaced but for the print of their stamps, repeats and jumps.
func usualStep(t []float64, stamp float64) (step float64, isEven bool) {
	var d []float64
	same := 0
	for i := 1; i < len(t); i++ {
		switch x := t[i] - t[i-1]; {
		case x > 0:
			d = append(d, x)
		case x == 0:
			same++
		}
	}
	if len(d) == 0 {
		return 0.01, false
	}
	m := median(d)
	if 20*same < len(d) {
		step = m
		if m < 20*stamp { // stamps too coarse for one step: the mean is finer
			step = meanStep(t, 1.5*m+stamp)
		}
	} else {
		step = meanStep(t, 3*m)
	}
	near := 0
	for _, x := range d {
		k := max(1, math.Round(x/step))
		if k <= max(3, math.Ceil(2*stamp/step)) && math.Abs(x-k*step) <= max(1.01*stamp, 0.02*step) {
			near++
		}
	}
	isEven = float64(near) > 0.95*float64(len(d)) && float64(same) < 0.9*float64(len(t))
	if isEven {
		step = finerStep(t, step, stamp)
	}
	return step, isEven
}

// finerStep is the step of even rows as the slope of their times over their
// count, s, and the round number next to it if that is no different.
func finerStep(t []float64, step, stamp float64) float64 {
	var n, sk, st, skk, skt, k float64
	for i := range t {
		if i > 0 {
			d := t[i] - t[i-1]
			if d < 0 || d > 1000*step { // a new count
				k, n, sk, st, skk, skt = 0, 0, 0, 0, 0, 0
			} else if stamp < 0.5*step || d > 3*step+2*stamp {
				k += math.Round(d / step)
			} else {
				k++
			}
		}
		x := t[i] - t[0]
		n++
		sk += k
		st += x
		skk += k * k
		skt += k * x
		if n > 3 && n*skk > sk*sk {
			// The longest unbroken count decides; a short one at the end does not.
			if slope := (n*skt - sk*st) / (n*skk - sk*sk); n >= float64(len(t))/4 && math.Abs(slope-step) < 0.1*step {
				step = slope
			}
		}
	}
	for _, scale := range []float64{1, 10, 100, 200, 500, 1000, 1e4, 1e5} {
		if r := math.Round(step*scale) / scale; r > 0 && math.Abs(r-step) < 2e-6*step {
			return r
		}
	}
	return step
}

// meanStep is the mean step of rows, s, over steps up to most.
func meanStep(t []float64, most float64) float64 {
	sum, n := 0.0, 0
	for i := 1; i < len(t); i++ {
		if x := t[i] - t[i-1]; x >= 0 && x <= most {
			sum += x
			n++
		}
	}
	if n == 0 || sum == 0 {
		return most
	}
	return sum / float64(n)
}

// jumpLimit is by how much a step may exceed the expected one, s, before it is a
// jump.
func jumpLimit(t []float64, step float64, isEven bool) float64 {
	if isEven {
		return jumpShare*step + 1.01*stampStep(t)
	}
	var d []float64
	for i := 1; i < len(t); i++ {
		if x := t[i] - t[i-1]; x > 0 {
			d = append(d, x)
		}
	}
	slices.Sort(d)
	if len(d) == 0 {
		return unevenJump * step
	}
	return max(unevenJump*step, unevenJump*d[len(d)*99/100])
}

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
			exact := true
			repeated := make([]bool, n)
			for i := range t {
				repeated[i] = repeats(t, i)
				if !repeated[i] && math.Abs(t[i]-line(i)) > 1e-5*step {
					exact = false
				}
			}
			for i := range t {
				if !exact || repeated[i] { // the others stay as printed, to the last digit
					t[i] = asPrinted(line(i), stamp, 1e-4*step)
				}
			}
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
	// Spread groups of equal stamps up to the next one.
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

// asPrinted is the multiple of the stamps' step next to x, s, if it is no farther
// than slack, s: the very number that a stamp would have given.
func asPrinted(x, stamp, slack float64) float64 {
	if stamp <= 0 {
		return x
	}
	r := math.Round(x/stamp) * stamp
	if inverse := math.Round(1 / stamp); stamp < 1 && math.Abs(inverse*stamp-1) < 1e-9 {
		r = math.Round(x*inverse) / inverse
	}
	if math.Abs(r-x) > slack {
		return x
	}
	return r
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
	var n, sk, st, skk, skt float64
	add := func(i int) {
		k, x := float64(i), t[i]-t[0]
		n++
		sk += k
		st += x
		skk += k * k
		skt += k * x
	}
	for i := range t {
		if !repeats(t, i) {
			add(i)
		}
	}
	many := n < float64(len(t))/2
	if many {
		n, sk, st, skk, skt = 0, 0, 0, 0, 0
		for i := range t {
			add(i)
		}
	}
	det := n*skk - sk*sk
	if det <= 0 {
		return nil, false
	}
	b := (n*skt - sk*st) / det
	a := (st - b*sk) / n
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

// median is the median of d, which it sorts; 0 when empty.
func median(d []float64) float64 {
	if len(d) == 0 {
		return 0
	}
	slices.Sort(d)
	return d[len(d)/2]
}
