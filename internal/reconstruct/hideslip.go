package reconstruct

import (
	"fmt"
	"math"

	"traplight/internal/pass"
)

const (
	hiddenSlip = 0.15 // s at full throttle without a word on slip from which a gear's slip is not known
	seenSpin   = 0.30 // slip from which the spin was seen all the same
)

// hideSlip takes slip off a gear in which the engine stands for the driven wheels and says
// nothing of them for a while, its clutch not being closed: there tyres spin most.
func (k *work) hideSlip(s *pass.GearSpan, use []bool) {
	if k.d.hasWheel || s.PeakSlip == nil || s.PeakSlip.Value > seenSpin {
		return
	}
	unknown := 0
	for i, u := range use {
		if u && math.IsNaN(k.slip[i]) && k.g.v[i] > 3 {
			unknown++
		}
	}
	if float64(unknown)*gridStep > hiddenSlip {
		s.PeakSlip, s.MeanSlip = nil, nil
		k.p.Notes = append(k.p.Notes, fmt.Sprintf("no tyre slip in gear %d: nothing tells the driven wheels' speed until the clutch has closed; a sensor on them would", s.Gear))
	}
}
