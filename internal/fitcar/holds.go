package fitcar

import (
	"fmt"
	"math"

	"traplight/internal/sim"
)

// When a clutch is taken to slip in gear: with the throttle open, the engine over the
// wheels by slipLeast, for slipStays, slipAfter beyond a shift. Sensors and twist of the
// driveline stay within 1 %.
const (
	slipLeast = 0.025 // 1
	slipMost  = 0.6   // 1, beyond which the gear is not the one that is named
	slipAfter = 0.4   // s
	slipStays = 0.2   // s
	// holdsSD is the spread of what a slipping clutch passes from pass to pass, 1:
	// friction of linings falls with their heat. Common practice, no source.
	holdsSD = 0.03
	// nearLimiter is how far under the limiter the engine's torque is whole, rad/s.
	nearLimiter = 20.0
)

// slips marks the samples at which the clutch slips in gear; nil when it nowhere does.
// Only a wheel speed of its own can show it: tyres slip as well.
func (o *Observation) slips(ratios []float64) []bool {
	out := make([]bool, len(o.X))
	need, run, any := int(slipStays/o.Step), 0, false
	settled := math.Inf(-1)
	next := 0
	for i := range o.X {
		for next < len(o.Shifts) && o.Shifts[next].Start-0.05 <= o.time(i) {
			settled = o.Shifts[next].End + slipAfter
			next++
		}
		g := o.Gear[i]
		over := math.NaN()
		if i >= o.Lock && g >= 1 && g <= len(ratios) && o.Full[i] && o.time(i) >= settled && o.Wheel[i] > 1 {
			over = o.Engine[i]/(o.Wheel[i]*ratios[g-1]) - 1
		}
		if !(over > slipLeast && over < slipMost) {
			run = 0
			continue
		}
		if run++; run < need {
			continue
		}
		for j := i - run + 1; j <= i; j++ {
			out[j] = true
		}
		any = true
	}
	if !any || o.Unseen || len(o.Gears) > 0 && o.derived(ratios[o.Gears[0].Gear-1], o.Gears[0].Gear) {
		return nil
	}
	return out
}

// slipping tells that the clutch slips at sample i.
func (w *work) slipping(i int) bool { return w.slid != nil && w.slid[i] }

// learnHolds measures what the clutch passes where it slips in gear: then the hubs show
// the clutch and not the engine, whose torque is what passes and what speeds it up.
// Samples near the limiter say nothing of the engine and are left out of its fit.
func learnHolds(c *sim.Car, ws []*work, d *draws) {
	var held, over []float64
	for _, w := range ws {
		for i := range w.X {
			if w.slipping(i) && !math.IsNaN(w.torque[i]) {
				held = append(held, w.torque[i]-c.EngineInertia*slope(w.Engine, i, 3, w.Step))
			}
		}
	}
	if float64(len(held))*gridStep < 2*slipStays {
		return
	}
	holds := median(held)
	if !(holds > 0) {
		return
	}
	c.Clutch.Holds = holds * math.Exp(d.normal(0, holdsSD))
	if c.RevLimit <= 0 {
		return
	}
	for _, w := range ws {
		for i := range w.X {
			if w.slipping(i) && !math.IsNaN(w.torque[i]) && w.Engine[i] < c.RevLimit-nearLimiter {
				over = append(over, w.torque[i])
			}
		}
	}
	if len(over) < 40 {
		return // nothing else shows the engine: it has at least what passes
	}
	for _, w := range ws {
		for i := range w.X {
			if w.slipping(i) && w.Engine[i] >= c.RevLimit-nearLimiter {
				w.torque[i] = math.NaN()
			}
		}
	}
}

// slidIn is the share of a gear's samples at which the clutch slipped, 1.
func (w *work) slidIn(gear int) float64 {
	if w.slid == nil {
		return 0
	}
	n, s := 0, 0
	for i, g := range w.Gear {
		if g == gear && i >= w.Lock {
			n++
			if w.slid[i] {
				s++
			}
		}
	}
	return float64(s) / float64(max(1, n))
}

// saySlips tells of a clutch that slips.
func (m *Model) saySlips() {
	h := m.Mean.Car.Clutch.Holds
	if h <= 0 {
		return
	}
	m.Notes = append(m.Notes, fmt.Sprintf("the clutch slips in gear: it passes about %.0f N·m, and more torque than that does not reach the wheels; it heats and wears so, and the forecast stands on it passing as much again (±%.0f %%)", h, 100*holdsSD))
}

// mendShifts shortens shifts whose end was put where a slipping clutch at last showed the
// ratio: the car has pulled on for most of such a shift. It ends after the usual time of
// the others, and began where the engine fell under the old gear's speed.
func (o *Observation) mendShifts() {
	const long, kept = 0.5, 0.6 // s; 1, of the acceleration before
	var times []float64
	for _, s := range o.Shifts {
		if d := s.End - s.Start; d < long {
			times = append(times, d)
		}
	}
	for k := range o.Shifts {
		s := &o.Shifts[k]
		if s.End-s.Start < long || s.From < 1 || s.From > len(o.Sheet.Gears) || s.To > len(o.Sheet.Gears) || len(times) == 0 {
			continue
		}
		a, b := o.at(s.Start), o.at(s.End)
		pulls := median(o.A[a : b+1])
		if before := o.A[max(0, a-8)]; !(pulls > kept*before) {
			continue
		}
		low := 0
		for i := a; i > o.Lock; i-- {
			r := o.Engine[i] / (o.Wheel[i] * o.Sheet.Gears[s.From-1] * o.Sheet.FinalDrive)
			if r < 0.99 {
				low = i
			} else if r >= 0.995 {
				break
			}
		}
		if low > 0 {
			s.Start = o.time(low)
			s.Speed, _ = o.speedBefore(s.Start)
		}
		s.End = s.Start + median(times)
		for i := o.at(s.End); i <= b; i++ {
			o.Gear[i], o.Full[i] = s.To, true
		}
	}
}
