package trace

// Segment is a stretch of a log in which its own clock and the run clock differ
// by a constant.
type Segment struct {
	FromRun float64 // s, run clock, first instant of the segment
	Offset  float64 // s, log's own clock minus run clock
}

// Clock maps between the run clock, which never steps (durations are true on
// it), and the log's own clock, which may. The zero Clock is the identity.
type Clock struct {
	Segments []Segment // in order of FromRun
}

// Log converts a time on the run clock, s, to the log's own clock, s.
func (c Clock) Log(run float64) float64 {
	off := 0.0
	for i, s := range c.Segments {
		if i > 0 && run < s.FromRun {
			break
		}
		off = s.Offset
	}
	return run + off
}

// Run converts a time on the log's own clock, s, to the run clock, s. Where the
// log's clock was set back a time occurs twice, and the earlier is meant; a time
// that a step left out is given to the segment behind the step.
func (c Clock) Run(log float64) float64 {
	for i, s := range c.Segments {
		run := log - s.Offset
		if i+1 == len(c.Segments) {
			return run
		}
		if run < c.Segments[i+1].FromRun {
			return run
		}
		if next := log - c.Segments[i+1].Offset; next < c.Segments[i+1].FromRun && c.Segments[i+1].Offset > s.Offset {
			return c.Segments[i+1].FromRun
		}
	}
	return log
}
