package reconstruct

import (
	"math"

	"traplight/internal/pass"
	"traplight/internal/quantity"
)

const (
	stepShare = 0.3   // 1, standard deviation of a shift's end per time that torque takes about half
	blurSD    = 0.012 // s, standard deviation of the end of a shift too short to be resolved
	tickShare = 0.25  // 1, standard deviation of an edge per spacing of slow readings that time it (0.29 is that of an even spread)
	unseenSD  = 0.012 // s, standard deviation of when an unseen throttle opens again
	blurSpan  = 0.08  // s, shift that a wheel's readings resolve (slope over ± 26 ms)
)

func (k *work) shifts() {
	const clockSD = 0.0015 // s, interpolation between rows
	for i := range k.d.shifts {
		sh := &k.d.shifts[i]
		if sh.start() > k.until {
			continue
		}
		out := pass.Shift{From: sh.from, To: sh.to, Missed: sh.missed}
		s1, s2 := 0.03, 0.03
		lagSD := 0.004 // s, what the accelerometer's own delay leaves
		clockSD := clockSD
		if !k.w.byAccel {
			lagSD, clockSD = 0.022, 0.015 // edges seen by wheels or a receiver alone are smeared
		}
		if sh.seen {
			noise := func(t float64) float64 {
				j := k.g.index(t)
				if j < len(k.p.Motion.ASD) {
					return k.b.Mass * k.b.Radius * k.p.Motion.ASD[j]
				}
				return 0
			}
			s1 = math.Hypot(lagSD, (noise(sh.edge.Off)+0.05*sh.edge.Before)/math.Max(sh.edge.OffSlope, 1))
			s2 = clockSD
			if !math.IsInf(sh.edge.OnSlope, 1) {
				s2 = math.Hypot(clockSD, (noise(sh.edge.On)+0.05*sh.edge.After)/math.Max(sh.edge.OnSlope, 1))
				// torque that comes back in steps may stand near half for a while, and a shift
				// shorter than the wheels' readings resolve shows no clear bottom
				s2 = math.Hypot(s2, stepShare*sh.edge.OnSpread)
				s2 = math.Hypot(s2, blurSD*math.Max(0, 1-(sh.end()-sh.start())/blurSpan))
			}
		}
		if slow := tickShare * k.g.tick; k.g.tick > 2.5*gridStep {
			s1, s2 = math.Hypot(s1, slow), math.Hypot(s2, slow)
		}
		if !k.d.byThrottle {
			s2 = math.Hypot(s2, unseenSD)
		}
		out.Start = quantity.Estimate{Value: sh.start(), SD: s1}
		out.End = quantity.Estimate{Value: sh.end(), SD: s2}
		k.p.Shifts = append(k.p.Shifts, out)
	}
}
