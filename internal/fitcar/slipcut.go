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
			if u, s, ok := w.cutIn(g); ok {
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
func (w *work) cutIn(gear int) (u, slip float64, ok bool) {
	if w.Cut == nil {
		return 0, 0, false
	}
	var us, ss []float64
	for i := w.Lock; i < len(w.X); i++ {
		if cut := w.Cut[i]; w.Gear[i] == gear && w.Full[i] && cut > cutLeast && cut < 0.9 && w.slip[i] > 0 {
			us, ss = append(us, math.Sqrt(cut/(1-cut))), append(ss, w.slip[i])
		}
	}
	if len(us) < cutSamples {
		return 0, 0, false
	}
	return median(us), median(ss), true
}

func square(x float64) float64 { return x * x }
