package logfile

// Where a jump begins, what is made of it and how long it lasted. The values are
// chosen by hand; TestJumps holds them to reference logs whose clock was set and
// from which rows were taken.
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
	// Of a longer one the run clock counts no more than this, s: between two recordings may lie
	// years, which every grid over the log would be laid through.
	longestOff = 86400
	// The evidence (log-likelihood ratio, nats) from which channels may overrule
	// the clock: odds of twenty to one.
	enough = 3
)

// jumpKind is what was made of a place where the clock does not go on as usual.
type jumpKind int

const (
	rowsMissing jumpKind = iota // the channels moved on as in that time
	unclear                     // the channels do not tell; rows missing is assumed
	headerGap                   // a header stands there: another recording on the same clock
	clockSet                    // forward, while the channels go on without a gap
	clockBack                   // back, while the channels go on
	clockAnew                   // back, and the channels do not go on: another recording
	longOff                     // forward by more than longestOff, and not set: another recording
)

// stampsHold says whether the stamps on both sides of the jump are right as they
// stand.
func (k jumpKind) stampsHold() bool { return k == rowsMissing || k == unclear || k == headerGap }

// jump is a place where the clock does not go on as usual.
type jump struct {
	row  int     // the row behind it
	from float64 // s, stamp before
	to   float64 // s, stamp behind
	run  float64 // s, run time given to the step
	kind jumpKind
}

// beginsRecording says whether another recording begins behind the jump.
func (j jump) beginsRecording() bool {
	return j.kind == clockAnew || j.kind == longOff || j.kind == headerGap || j.kind != clockSet && j.run > newRecording
}

// walk is the search for jumps, row by row.
type walk struct {
	t        []float64 // s, the stamps; blanks filled
	step     float64   // s, the usual time between rows
	isEven   bool
	limit    float64 // s, by which a step exceeds the expected one to be a jump
	isPart   map[int]bool
	channels [][]float64

	run   []float64 // s, run clock, repeats not yet spread
	jumps []jump
}

// findJumps fills run and jumps.
func (w *walk) findJumps() {
	w.run = make([]float64, len(w.t))
	w.run[0] = w.t[0]
	repeats := 0 // of the last stamp
	shift := 0.0
	for i := 1; i < len(w.t); i++ {
		d := w.t[i] - w.t[i-1]
		expected := w.step * float64(repeats+1)
		switch {
		case d == 0 && !w.isPart[i]:
			repeats++
			w.run[i] = w.run[i-1]
			continue
		case d < 0:
			j := w.fallingBack(i)
			w.jumps = append(w.jumps, j)
			shift = w.run[i-1] + expected - w.step + j.run - w.t[i]
		case w.isPart[i] && d > expected+w.limit:
			j := jump{row: i, from: w.t[i-1], to: w.t[i], run: d, kind: headerGap}.capped()
			w.jumps = append(w.jumps, j)
			shift += j.run - d
		case d > expected+w.limit:
			j := w.leapingOn(i).capped()
			w.jumps = append(w.jumps, j)
			shift += j.run - d
		}
		w.run[i] = w.t[i] + shift
		repeats = 0
	}
}

// capped is a jump on, of which the run clock counts no more than longestOff.
func (j jump) capped() jump {
	if j.run > longestOff {
		j.kind, j.run = longOff, longestOff
	}
	return j
}

// fallingBack weighs a clock that goes back at a row.
func (w *walk) fallingBack(row int) jump {
	j := jump{row: row, from: w.t[row-1], to: w.t[row], run: w.step, kind: clockBack}
	if w.isPart[row] || !joins(w.channels, row, w.step, w.isEven) {
		j.kind, j.run = clockAnew, unknownGap
	}
	return j
}

// leapingOn weighs a clock that goes on too far at a row.
func (w *walk) leapingOn(row int) jump {
	d := w.t[row] - w.t[row-1]
	j := jump{row: row, from: w.t[row-1], to: w.t[row], run: d, kind: rowsMissing}
	if !w.isEven {
		return j
	}
	switch e := stepEvidence(w.channels, row, w.step, d); {
	case e > enough:
		j.kind, j.run = clockSet, w.step
	case e > -enough:
		j.kind = unclear
	}
	return j
}
