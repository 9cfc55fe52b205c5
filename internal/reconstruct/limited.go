package reconstruct

import (
	"math"

	"traplight/internal/pass"
	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// limits says what held each gear's torque: the tyres, electronics that cut it, the
// boost asked for, the engine, the clutch or the driver. The order is that of what
// acted longest at the limit.
func (s *signals) limits(p *pass.Pass) {
	cut := s.set.First(quantity.TorqueCut)
	for i := range p.Gears {
		g := &p.Gears[i]
		if g.MeanHubTorque == nil {
			continue
		}
		full := 0.0
		for _, f := range g.FullThrottle {
			full += f.To - f.From
		}
		past := s.past(p, g)
		switch {
		case cut != nil && cutIn(cut.Trace, g):
			g.LimitedBy = "torque cut"
		case g.CeilingHubTorque != nil && !g.CeilingHubTorque.LowerBound && past > 0.25*full:
			g.LimitedBy = "grip"
		case full < 0.5*(g.End-g.Start):
			g.LimitedBy = "driver"
		case g.MeanBoost != nil && g.BoostTarget != nil && nearTarget(s, p, g):
			g.LimitedBy = "boost target"
		case g.MeanBoost != nil:
			g.LimitedBy = "engine"
		}
	}
}

// cutIn says whether torque was taken away for a tenth of the gear or more.
func cutIn(cut trace.Trace, g *pass.GearSpan) bool {
	x := cut.Slice(g.Start, g.End)
	on := 0
	for _, v := range x.V {
		if v > 0.02 {
			on++
		}
	}
	return len(x.V) > 0 && on*10 >= len(x.V)
}

// past is the time, s, of full throttle in the gear at a slip beyond the fitted peak.
func (s *signals) past(p *pass.Pass, g *pass.GearSpan) float64 {
	if p.Grip == nil || p.Force == nil {
		return 0
	}
	t := 0.0
	for i, v := range p.Force.Slip {
		at := p.Motion.Start + float64(i)*p.Motion.Step
		if at >= g.Start && at <= g.End && p.Force.FullThrottle[i] && !math.IsNaN(v) && v > p.Grip.PeakSlip.Value {
			t += p.Motion.Step
		}
	}
	return t
}

// nearTarget reports whether boost stood within 6 % of its target for most of the
// gear's second half at full throttle.
func nearTarget(s *signals, p *pass.Pass, g *pass.GearSpan) bool {
	m := s.set.First(quantity.ManifoldPressure)
	if m == nil || p.AirPath == nil {
		return false
	}
	base := p.AirPath.Barometer.Value + p.AirPath.ManifoldOffset.Value
	mid := (g.Start + g.End) / 2
	n, ok := 0, 0
	x := m.Trace.Slice(mid, g.End)
	for _, v := range x.V {
		n++
		if v-base > 0.94**g.BoostTarget {
			ok++
		}
	}
	return n > 3 && ok*2 > n
}
