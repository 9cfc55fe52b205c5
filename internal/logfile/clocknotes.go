package logfile

import (
	"fmt"

	"traplight/internal/trace"
)

// mostGapsTold is how many gaps get a note of their own.
const mostGapsTold = 3

// tell writes the segments of the clock and the notes.
func (o *times) tell(t []float64, jumps []jump, line func(int) int) {
	gaps, gapTime := 0, 0.0
	for _, j := range jumps {
		if j.kind == rowsMissing {
			gaps++
			gapTime += j.to - j.from
		}
		if j.kind != rowsMissing || gaps <= mostGapsTold {
			o.notes = append(o.notes, place(line(j.row))+j.sentence(o.origin))
		}
		if j.kind.stampsHold() {
			continue
		}
		if len(o.clock.Segments) == 0 {
			o.clock.Segments = append(o.clock.Segments, trace.Segment{FromRun: o.run[0], Offset: 0})
		}
		o.clock.Segments = append(o.clock.Segments, trace.Segment{FromRun: o.run[j.row], Offset: t[j.row] - o.run[j.row] + o.origin})
	}
	if gaps > mostGapsTold {
		o.notes = append(o.notes, fmt.Sprintf("rows are missing in %d places, %.1f s together", gaps, gapTime))
	}
}

// place begins a note about a line, with nothing when there is none to name.
func place(line int) string {
	if line <= 0 {
		return ""
	}
	return fmt.Sprintf("line %d: ", line)
}

// sentence tells a jump; origin is what the log's own clock says where the stamps
// are zero, s.
func (j jump) sentence(origin float64) string {
	d, from, to := j.to-j.from, j.from+origin, j.to+origin
	switch j.kind {
	case rowsMissing:
		return fmt.Sprintf("rows are missing for %.3f s at %.3f s; the channels moved on as in that time", d, from)
	case unclear:
		return fmt.Sprintf("the time jumps by %.3f s at %.3f s; the channels do not tell whether rows are missing or the clock was set, rows missing is assumed", d, from)
	case headerGap:
		return fmt.Sprintf("a new recording begins %.3f s after the last", d)
	case clockSet:
		return fmt.Sprintf("the clock steps by %+.3f s at %.3f s while the channels go on without a gap; durations are counted as if it had not", d-j.run, from)
	case longOff:
		return fmt.Sprintf("no rows for %.1f days after %.3f s: another recording; a day is counted", d/longestOff, from)
	case clockBack:
		return fmt.Sprintf("the clock is set back by %.3f s at %.3f s; durations are counted as if it had not", -d, from)
	}
	return fmt.Sprintf("the clock begins anew (%.3f s after %.3f s): another recording, an unknown time later", to, from)
}
