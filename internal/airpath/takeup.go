package airpath

import "traplight/internal/pass"

// How the boost of a launch is read.
const (
	lineFrom = 0.15 // s before the launch
	lineTo   = 0.02 // s before it
	closedIn = 0.05 // s to either side of the clutch's closing
)

// takeUp adds boost at the line and where the clutch closed.
func (b *boost) takeUp(p *pass.Pass) {
	t := p.TakeUp
	if t == nil {
		return
	}
	mean := func(from, to float64) *float64 {
		v, ok := meanOver(b.gauge, []pass.Window{{From: from, To: to}})
		if !ok {
			return nil
		}
		v -= b.offset
		return &v
	}
	t.Boost = mean(p.Launch.Value-lineFrom, p.Launch.Value-lineTo)
	if t.Closed != nil {
		t.ClosedBoost = mean(t.Closed.Value-closedIn, t.Closed.Value+closedIn)
	}
}
