package forecast

import (
	"math"

	"traplight/internal/fitcar"
)

// shiftAnswer is how much of the trap speed the car may gain or lose beyond the model, 1, for each
// rad/s by which it changes gear later than was run; a standard deviation: 0.2 % for 200 rev/min.
// The model has torque by engine speed, boost and charge; within a gear knock control and heat
// that no channel shows take it away by time as well, and passes that all change gear at the
// same speeds do not tell the two apart.
const shiftAnswer = 1e-4 // s/rad

// shiftBeside is by how much the pass to come changes gear later than any pass that counts, rad/s,
// mean over the gears; negative where earlier than any.
func (n *Next) shiftBeside(m *fitcar.Model) float64 {
	sum, gears := 0.0, 0.0
	for g, aim := range n.ShiftAim {
		lo, hi := math.Inf(1), math.Inf(-1)
		for i := range m.Passes {
			p := &m.Passes[i]
			if ran := aimOf(p, &m.Driver); p.Weight > 0.5 && len(ran) > 0 {
				v := ran[min(g, len(ran)-1)]
				lo, hi = min(lo, v), max(hi, v)
			}
		}
		if lo <= hi {
			sum, gears = sum+max(0, aim-hi)+min(0, aim-lo), gears+1
		}
	}
	return sum / max(1, gears)
}

// aimOf are the engine speeds, rad/s by gear, at which a pass was to change gear: as written down,
// else as it did, less what the driver is usually over.
func aimOf(p *fitcar.PassFit, d *fitcar.Driver) []float64 {
	if len(p.Obs.ShiftAim) > 0 || p.Replay == nil {
		return p.Obs.ShiftAim
	}
	var out []float64
	for g, s := range p.Replay.ShiftSpeed {
		out = append(out, s-d.OverIn(g+1))
	}
	return out
}

// evenly is draw i of standard normal numbers of which any few, too, lie evenly: the quantiles of
// a sequence of golden steps. What goes in proportion to a setting must have no mean over the
// few draws by which settings are compared, else it would favour one side.
func evenly(i int) float64 {
	_, u := math.Modf(0.5 + float64(i)*math.Phi)
	return math.Sqrt2 * math.Erfinv(2*max(u, 1e-6)-1)
}
