package fitcar

import (
	"math"

	"traplight/internal/sim"
)

// What is taken of electronics that cut on slip before a log shows them at work, in peak
// slips of the tyre. Common practice, no source: they aim a little past the peak.
const (
	cutAim, cutAimSD     = 1.15, 0.4   // 1, slip at which they begin
	cutWidth, cutWidthSD = 0.6, 0.4    // 1, slip beyond at which half is cut
	cutGear, cutPass     = 0.012, 0.03 // 1, of slip about the law: of a gear's median; of a whole pass, whose tyre radius is never quite known
	cutLeast             = 0.02        // 1, cut that counts as one
	cutSamples           = 8           // in a gear, fewer tell nothing
)

// cutFrom is the share of the peak's slip from which electronics may cut, 1, where no log says
// when they do; cutRest is how many samples below it the engine's fit must have. Common
// practice, no source.
const (
	cutFrom = 0.9
	cutRest = 150
)

// unseenCut leaves the samples out of the engine's fit whose torque electronics may have cut
// without the log telling: a slip held past the peak shows what the tyres carry, gear after
// gear the same, and not what the engine makes.
func unseenCut(ws []*work) {
	rest := 0
	for _, w := range ws {
		if w.Cut != nil {
			continue
		}
		w.onset = cutFrom * peakSlipPrior
		if p := w.PeakSlip; p != nil && w.GripSure {
			w.onset = cutFrom * p.Value
		}
	}
	for _, w := range ws {
		for i, t := range w.torque {
			if !math.IsNaN(t) && !w.cut(i) {
				rest++
			}
		}
	}
	if rest < cutRest {
		for _, w := range ws {
			w.onset = 0
		}
	}
}

// learnCut learns at which slip this car's electronics cut how much, from gears in which
// the log has both. The law of sim.Car, cut = u²/(1 + u²) with
// u = (slip − SlipCut)/SlipCutWidth, is a line of slip over u = √(cut/(1 − cut)):
// least squares over the gears' medians with priors, each pass with an offset of its own.
func learnCut(c *sim.Car, ws []*work) {
	peak := c.Tyre.PeakSlip
	a, b := cutAim*peak, cutWidth*peak
	wa, wb := 1/square(cutAimSD*peak), 1/square(cutWidthSD*peak)
	naa, nab, nbb, ya, yb := wa, 0.0, wb, wa*a, wb*b
	for _, w := range ws {
		var n, su, suu, ss, sus float64
		for g := 1; g <= mostGears(c, ws); g++ {
			if u, s, ok := w.cutIn(c, g); ok {
				n, su, suu, ss, sus = n+1, su+u, suu+u*u, ss+s, sus+u*s
			}
		}
		k := w.weight / square(cutGear)
		f := k * k / (1/square(cutPass) + n*k) // the offset, integrated out
		naa, nab, nbb = naa+k*n-f*n*n, nab+k*su-f*n*su, nbb+k*suu-f*su*su
		ya, yb = ya+k*ss-f*n*ss, yb+k*sus-f*su*ss
	}
	if det := naa*nbb - nab*nab; det > 0 {
		a, b = (nbb*ya-nab*yb)/det, (naa*yb-nab*ya)/det
	}
	c.SlipCut, c.SlipCutWidth = max(0.02, a), max(0.1*peak, b)
}

// cutIn is what electronics cut in a gear, as u of learnCut, and at which slip: medians of
// the samples at which they cut.
func (w *work) cutIn(c *sim.Car, gear int) (u, slip float64, ok bool) {
	if w.Cut == nil && w.onset == 0 {
		return 0, 0, false
	}
	var us, ss []float64
	for i := w.Lock; i < len(w.X); i++ {
		if w.Gear[i] != gear || !w.Full[i] || !(w.slip[i] > 0) {
			continue
		}
		if cut := w.cutAt(c, i); cut > cutLeast && cut < 0.9 {
			us, ss = append(us, math.Sqrt(cut/(1-cut))), append(ss, w.slip[i])
		}
	}
	if len(us) < cutSamples {
		return 0, 0, false
	}
	return median(us), median(ss), true
}

// cutAt is the share of torque that electronics cut at sample i, 1: as logged, else what is
// missing of the engine's where they may cut.
func (w *work) cutAt(c *sim.Car, i int) float64 {
	if w.Cut != nil {
		return w.Cut[i]
	}
	q, ok := w.charge(&c.Engine, i)
	if !w.cut(i) || !ok {
		return 0
	}
	full := c.Engine.Torque(w.Engine[i], q)
	return 1 - w.torque[i]/full
}

func square(x float64) float64 { return x * x }
