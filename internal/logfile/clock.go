package logfile

import (
	"math"
	"slices"

	"traplight/internal/trace"
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

// repair turns the stamps of a log, s on its own clock, into a run clock that
// never steps. channels lends the evidence for jumps; line tells a row's line in
// the file; parts are rows at which a header stood; exact says that the stamps
// are the instants themselves.
func repair(stamps []float64, period float64, exact bool, parts []int, channels [][]float64, line func(int) int) times {
	var out times
	t := fillBlank(stamps, &out, line)
	unwrap(t, period, &out, line)
	out.begin(t)
	out.stamp = stampStep(t)
	step, isEven := usualStep(t, out.stamp)
	if isEven {
		out.step = step
	}
	w := walk{t: t, step: step, isEven: isEven, limit: jumpLimit(t, step, isEven), isPart: map[int]bool{}, channels: channels}
	for _, p := range parts {
		w.isPart[p] = true
	}
	w.findJumps()
	out.lay(&w, exact)
	for _, p := range parts {
		if p > 0 && !slices.Contains(out.parts, p) {
			out.parts = append(out.parts, p)
		}
	}
	slices.Sort(out.parts)
	out.tell(t, w.jumps, line)
	return out
}

// lay makes the run clock from a walk: it straightens the stretches between
// jumps and joins them.
func (o *times) lay(w *walk, exact bool) {
	run := w.run
	o.parts = []int{0}
	from := 0
	for _, j := range w.jumps {
		straighten(run[from:j.row], w.step, w.isEven, exact, o.stamp)
		shift := run[j.row-1] + j.run - run[j.row]
		if j.kind.stampsHold() {
			shift = 0
			if run[j.row] <= run[j.row-1] {
				shift = run[j.row-1] + w.step - run[j.row]
			}
		}
		for k := j.row; k < len(run); k++ {
			run[k] += shift
		}
		from = j.row
		if j.beginsRecording() {
			o.parts = append(o.parts, j.row)
		}
		o.breaks = append(o.breaks, j.row)
	}
	straighten(run[from:], w.step, w.isEven, exact, o.stamp)
	rise(run, w.step)
	o.run = run
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
