package forecast

import (
	"fmt"
	"math"

	"traplight/internal/fitcar"
	"traplight/internal/sim"
)

// elsewhere holds every member against the record where the pass to come has its trap, or as
// far as passes came: over another length than the record's, and after passes that were given
// up, the lines of the record say nothing or little. It tells what that makes doubtful.
func (n *Next) elsewhere(m *fitcar.Model) {
	n.missed, n.level, n.limitDoubt = nil, 0, 0
	if !m.LimitSeen {
		n.limitDoubt = fitcar.LimitDoubt
	}
	other, short := true, false
	for k, p := range m.Passes {
		if math.Abs(p.Obs.Length-n.Length) < 1 {
			other = false
		}
		short = short || p.Weight > 0.5 && k < len(m.Mean.Residual) && math.IsNaN(m.Mean.Residual[k])
	}
	if n.otherStrip(m) {
		n.Notes = append(n.Notes, fmt.Sprintf("the record has no pass on strip %q: its grip is taken from the others, ± %.0f %%", n.Strip, 100*gripStrip))
	}
	if n.Length <= 0 || len(m.Passes) == 0 || !other && !short && n.oneLength(m) {
		return
	}
	n.missed = map[*sim.Car][]missed{}
	far := 0.0
	put := func(mem *fitcar.Member) {
		var past []missed
		for k, p := range m.Passes {
			if p.Weight <= 0.5 {
				continue
			}
			left, at, v, ok := m.MissedAt(mem, k, n.Length, n.Window)
			if !ok {
				continue
			}
			if at > far {
				// beyond what was run speed goes with the cube root of the way, as under constant power
				far, n.level = at, v*math.Cbrt(n.Length/at)
			}
			past = append(past, missed{hour: p.Obs.Hour, far: farOf(at), speed: left * math.Cbrt(n.Length/at), sd: sdAt(p.Obs)})
		}
		n.missed[mem.Car] = past
	}
	put(&m.Mean)
	for i := range m.Members {
		put(&m.Members[i])
	}
	if far > 0 && far < 0.97*n.Length {
		n.Notes = append(n.Notes, fmt.Sprintf("the record shows the car at full throttle to %.0f m of %.0f m: beyond that the forecast stands on the model, and its interval counts that", far, n.Length))
	}
}

// oneLength tells that all passes of the record are as long as the one to come.
func (n *Next) oneLength(m *fitcar.Model) bool {
	for _, p := range m.Passes {
		if math.Abs(p.Obs.Length-n.Length) >= 1 {
			return false
		}
	}
	return true
}

// sdAt is how well the speed of a pass is known, m/s.
func sdAt(o *fitcar.Observation) float64 {
	if math.IsNaN(o.TrapSD) {
		return 0
	}
	return o.TrapSD
}
