package report

import (
	"fmt"

	"traplight/internal/caution"
	"traplight/internal/prose"
	"traplight/internal/quantity"
	"traplight/internal/setup"
)

func (p *printer) cautions(r *Report) {
	p.WriteString("\n")
	p.heading("Mind")
	mind := func(format string, args ...any) {
		p.WriteString(prose.Wrap("- "+fmt.Sprintf(format, args...), "  ", "  ", p.width))
	}
	fast, alcohol, nitrous := 0.0, false, false
	for i := range r.Passes {
		s := &r.Passes[i]
		for _, k := range s.Splits {
			if k.SpeedMps != nil {
				fast = max(fast, *k.SpeedMps)
			}
		}
		if s.Fuel != nil {
			alcohol = alcohol || caution.Alcohol(s.Fuel.Name)
		}
		for _, k := range s.Setup {
			nitrous = nitrous || k.Name == setup.Nitrous && (k.Noted != nil && *k.Noted > 0 || k.Logged != nil && *k.Logged > 0)
		}
		for _, k := range s.Shifts {
			nitrous = nitrous || (k.NitrousS != nil && *k.NitrousS > 0)
		}
	}
	if fast > caution.PlainY {
		mind("This car runs faster than %.0f %s, where the plain tyre symbol Y ends: beyond it only the tyre maker's written statement counts.", p.world.Of(quantity.DimSpeed, caution.PlainY), p.world.Unit(quantity.DimSpeed))
	}
	if alcohol {
		mind("Alcohol burns with a flame that daylight hides.")
	}
	if nitrous {
		mind("Prove the fuel flow before nitrous is armed; the bottle is under pressure.")
	}
	mind("The log does not see wheel nuts, hoses, tyres or metal in the oil.")
	mind("These figures come from the log and the assumptions above and can be wrong. The event's technical inspection and its rules come first, and the driver may refuse any pass.")
}
