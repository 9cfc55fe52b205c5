package fitcar

import (
	"math"

	"traplight/internal/pass"
)

const (
	closedAfter = 0.3 // s after a shift, or after the launch clutch has closed, that the flywheel and the shafts still give back what the clutch took
	pullMean    = 0.1 // s, of the mean whose highest counts
)

// pullTorque is the highest torque, N·m, at the gearbox's input in a gear's pull: with the
// clutch closed and settled, so that it is the engine's and goes with boost. NaN unknown.
func (o *Observation) pullTorque(p *pass.Pass, gear int) float64 {
	m, f := &p.Motion, p.Force
	if f == nil || gear < 1 || gear > len(o.Sheet.Gears) {
		return math.NaN()
	}
	from := o.time(o.Lock)
	for i := range o.Shifts {
		if o.Shifts[i].To == gear {
			from = o.Shifts[i].End
		}
	}
	from += o.Rollout + closedAfter
	n := max(1, int(math.Round(pullMean/m.Step)))
	best, sum, run := math.NaN(), 0.0, 0
	for i := range f.HubTorque {
		if i >= len(f.Gear) || i >= len(f.FullThrottle) {
			break
		}
		if m.Start+float64(i)*m.Step < from || f.Gear[i] != gear || !f.FullThrottle[i] || math.IsNaN(f.HubTorque[i]) {
			sum, run = 0, 0
			continue
		}
		if sum += f.HubTorque[i]; run >= n {
			sum -= f.HubTorque[i-n]
		} else {
			run++
		}
		if mean := sum / float64(n); run == n && !(mean <= best) {
			best = mean
		}
	}
	return best / (o.Sheet.Gears[gear-1] * o.Sheet.FinalDrive * (1 - o.Sheet.LossShare.Value))
}
