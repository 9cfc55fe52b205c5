package reconstruct

import (
	"traplight/internal/gears"
	"traplight/internal/num/stats"
)

// shift is one change of gear.
type shift struct {
	from, to int
	edge     gears.Edge
	seen     bool    // torque was seen to fall and rise; else the edges are those of the ratio
	left     float64 // s, old ratio last seen
	right    float64 // s, new ratio first seen
	missed   bool
}

func (d *shift) start() float64 {
	if d.seen {
		return d.edge.Off
	}
	return d.left
}

func (d *shift) end() float64 {
	if d.seen {
		return d.edge.On
	}
	return d.right
}

// findShifts finds the edges between consecutive spans.
func (d *driveline) findShifts(g *grid) {
	q := &gears.Torque{From: g.start, Step: gridStep, Hub: d.hub}
	if d.byThrottle {
		q.Throttle = g.throttle
	}
	for i := 1; i < len(d.spans); i++ {
		a, b := d.spans[i-1], d.spans[i]
		if a.Gear == b.Gear {
			continue
		}
		sh := shift{from: a.Gear, to: b.Gear, left: a.To, right: b.From}
		if !d.byThrottle {
			q.Throttle = g.shut(a.To-0.15, b.From+0.4)
		}
		sh.edge, sh.seen = gears.FindEdge(q, a.From+0.1, a.To, b.From, d.ratios[b.Gear-1]/d.ratios[a.Gear-1])
		if d.byEngine || !d.hasWheel && (d.spinning(g, a.To) || d.blurred) {
			// wheels that spin push on while the clutch is open; without their own sensor
			// only the ratio tells when it opened and closed. A speed made from the engine
			// has its falls in it, and no torque
			sh.seen = false
			if t, ok := d.eased(g, a.From, a.To, b.From, d.spinning(g, a.To)); ok {
				sh.left = t
			}
		}
		d.shifts = append(d.shifts, sh)
	}
	// a shift that took far longer than the car's others was missed at first
	var took []float64
	for i := range d.shifts {
		took = append(took, d.shifts[i].end()-d.shifts[i].start())
	}
	if len(took) >= 3 {
		m := stats.Median(took)
		for i := range d.shifts {
			if took[i] > 2*m+0.15 {
				d.shifts[i].missed = true
			}
		}
	}
}
