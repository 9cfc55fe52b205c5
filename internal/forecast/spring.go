package forecast

import (
	"fmt"
	"math"
	"slices"

	"traplight/internal/fitcar"
	"traplight/internal/sim"
)

// spring bounds targets under what the control has held so far: the spring is drawn from
// practice as far as it can be weaker than that. What was held counts as known.
func (n *Next) spring(c *sim.Car, l *luck) {
	low := n.Held
	if c.Boost.NoCharger || c.Boost.Floor > 0 || math.IsInf(low, 0) || low <= 0 || !n.under() {
		return
	}
	// the share of springs weaker than what was held, evenly by the luck's quantile
	u := phi(l.spring) * phi((low-fitcar.SpringMean)/fitcar.SpringSD)
	c.Boost.Floor = min(low, max(0, fitcar.SpringMean+fitcar.SpringSD*math.Sqrt2*math.Erfinv(2*max(u, 1e-9)-1)))
}

// phi is the standard normal distribution.
func phi(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }

// under tells whether a target lies under what the boost control is known to hold.
func (n *Next) under() bool {
	return len(n.Target) > 0 && slices.Min(n.Target) < n.Held-1e3
}

// springNote says so.
func springNote(m *fitcar.Model, n *Next) []string {
	if b := &m.Mean.Car.Boost; b.NoCharger || b.Floor > 0 || !n.under() || math.IsInf(n.Held, 0) {
		return nil
	}
	if low := slices.Min(n.Target); phi((n.Held-fitcar.SpringMean)/fitcar.SpringSD)-phi((low-fitcar.SpringMean)/fitcar.SpringSD) > 0.1*phi((n.Held-fitcar.SpringMean)/fitcar.SpringSD) {
		return []string{fmt.Sprintf("less than %.0f kPa of boost was never held: a wastegate's spring may hold more than the %.0f kPa planned, and the interval counts that", n.Held/1e3, low/1e3)}
	}
	return nil
}
