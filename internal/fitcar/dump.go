package fitcar

import (
	"math"

	"traplight/internal/sim"
)

// fitDump finds what share of the engine's surplus momentum a shift gives to the
// car. Each shift is run from its measured beginning to 0.5 s after its end with
// none and all of it; the measured speed there lies in proportion between them.
func fitDump(c *sim.Car, ws []*work, drv *Driver, scale, levels []float64) {
	prior := c.Dump
	num, den := prior/(dumpPriorSD*dumpPriorSD), 1/(dumpPriorSD*dumpPriorSD)
	for k, w := range ws {
		for _, s := range w.Shifts {
			if s.Missed || math.IsNaN(s.Speed) || s.From < 1 || s.To != s.From+1 || s.To > len(w.ratios) {
				continue
			}
			i, j := w.at(s.Start), w.at(s.End+0.5)
			if w.time(j) < s.End+0.45 || math.IsNaN(w.head[i]) || w.X[j] <= w.X[i]+2 {
				continue
			}
			head := w.head[i]
			for b := i; b > i-10 && b > 0; b-- { // the pressure before it fell
				if !math.IsNaN(w.head[b]) {
					head = max(head, w.head[b])
				}
			}
			var v [2]float64
			ok := true
			for m := range v {
				car := w.forPass(c)
				car.Dump = float64(m)
				p := w.replay(car, drv, scale, levels[k], head)
				p.Start = sim.Start{Time: w.time(i), X: w.X[i], V: w.V[i], Head: head, Core: c.Engine.Core.Felt * w.coreAt(i), Gear: s.From}
				p.ShiftSpeed = make([]float64, len(w.ratios)-1)
				for g := range p.ShiftSpeed {
					p.ShiftSpeed[g] = math.Inf(1)
				}
				// momentum counts from the engine's speed at the shift
				p.Start.Wheel = s.Speed / w.ratios[s.From-1]
				p.ShiftSpeed[s.From-1] = 0
				p.Length, p.Window = w.X[j], 1
				res, err := (&sim.Runner{Car: car, Rel: sim.Rough}).Run(p)
				if err != nil || !res.Complete {
					ok = false
					break
				}
				v[m] = res.Instant
			}
			if !ok || v[1]-v[0] < 0.02 {
				continue
			}
			found := (w.V[j] - v[0]) / (v[1] - v[0])
			// a speed error of 0.12 m/s: torque, drag and the shift's edges
			sd := 0.12 / (v[1] - v[0]) * math.Sqrt(float64(len(w.Shifts)))
			weight := w.weight / (sd * sd)
			num += weight * max(-1, min(3, found))
			den += weight
		}
	}
	c.Dump = min(1.8, max(0, num/den))
}
