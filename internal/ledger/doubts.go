package ledger

import "traplight/internal/fitcar"

// wide is the doubt of slip over slip, 1, from which the lines that rest on it say so.
const wide = 0.3

// Doubts tells, in a sentence each, which lines of pass k's account rest on less than its log
// could show, and what would show it.
func Doubts(m *fitcar.Model, k int) []string {
	o := m.Passes[k].Obs
	var out []string
	if m.SlipDoubt(k) > wide {
		out = append(out, "the ledger's lines of grip, held-back torque and shifts are wide: the log does not tell tyre slip well (a satellite receiver or an accelerometer would, or an undriven wheel's sensor with what its wheel rolls in a turn)")
	}
	if o.Boost == nil && !m.Mean.Car.Boost.NoCharger {
		out = append(out, "the ledger's line of boost recovery is that of a usual turbocharger: no manifold pressure was logged")
	}
	if m.Ill(k) {
		out = append(out, "the ledger runs this pass with the car as its other passes show it: what was wrong on this one is in the line of power, and the other lines are the sound car's")
	}
	if amiss(m, k) > 0 {
		out = append(out, "the ledger is wide: the car that runs this pass again does not keep its boost close to what was logged (a control that hunts; a leak or a throttle that shut on the way do it too)")
	}
	if o.WindUnknown() {
		out = append(out, "the ledger knows no wind: its line stays at zero until the notes say one")
	}
	if m.Mean.Car.SlipCut > 0 && o.Cut == nil {
		out = append(out, "what electronics cut on wheelspin is worked out from the torque missing past the tyres' peak: a channel of the torque cut would tell")
	}
	return out
}
