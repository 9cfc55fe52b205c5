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
