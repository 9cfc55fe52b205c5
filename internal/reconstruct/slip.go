package reconstruct

import (
	"math"

	"traplight/internal/car"
	"traplight/internal/motion"
)

// timingSlip turns the slip that the crew entered into readings for the smoother; nil
// when there is none. The start beam stands somewhere between 0.20 and 0.33 m from the
// staged position unless the strip states its rollout.
func timingSlip(note *car.PassNote, strip car.Strip) *motion.Slip {
	if note == nil {
		return nil
	}
	out := &motion.Slip{Trap: math.NaN(), TrapTo: strip.Length, Window: strip.TrapWindow}
	for _, m := range stripMarks {
		if t, ok := note.Slip.Marks[m.name]; ok && t > 0 && !math.IsNaN(t) {
			out.Beams = append(out.Beams, motion.Beam{Mark: m.name, Distance: m.at, Time: t})
		}
	}
	if v := note.Slip.Trap; v > 0 && !math.IsNaN(v) {
		out.Trap = v
	}
	if len(out.Beams) == 0 && math.IsNaN(out.Trap) {
		return nil
	}
	if strip.RolloutSure {
		out.Rollout = motion.Prior{Mean: strip.Rollout, SD: 0.01}
	}
	return out
}
