package fitcar

import (
	"traplight/internal/sim"
)

// fitNitrous takes the power of the nitrous from the torque it added.
func fitNitrous(c *sim.Car, ws []*work) {
	var found []float64
	for _, w := range ws {
		if !w.Nitrous || w.Boost == nil {
			continue
		}
		for i, t := range w.torque {
			q, ok := w.charge(&c.Engine, i)
			if !ok || w.Gear[i] < 1 {
				continue
			}
			if w.open(c, i, w.Boost[i], w.target(&c.Boost, w.Gear[i]), w.Gear[i]) {
				found = append(found, (t-c.Engine.Torque(w.Engine[i], q))*w.Engine[i])
			}
		}
	}
	if len(found) < 25 {
		return
	}
	// neighbouring samples share their error; the prior counts as half a second
	n, prior := float64(len(found))/25, 1.0
	c.Nitrous.Power = max(2e3, (n*median(found)+prior*c.Nitrous.Power)/(n+prior))
}
