package report

import (
	"traplight/internal/quantity"
)

// foretold says what was forecast of a pass and how it came out.
func (p *printer) foretold(s *Pass) {
	f := s.Foretold
	if f == nil {
		return
	}
	p.WriteString("\n")
	p.heading("What was forecast")
	speed := func(v float64) string { return p.with(quantity.DimSpeed, &v, nil) }
	held := "outside"
	if f.Expected.Inside {
		held = "inside"
	}
	p.say("Before the pass %s was forecast, nine times in ten between %s and %s: it came %s, off by %s; score (CRPS) %s.",
		speed(f.MeanMps), speed(f.P05Mps), speed(f.P95Mps), held, p.signed(f.Expected.ErrorMps), speed(f.Expected.CRPSMps))
	if a := f.AsRun; a != nil {
		p.say("With the settings and the weather as they were the forecast is off by %s.", p.signed(a.ErrorMps))
	}
}

// signed is a difference of speeds, m/s, with its sign.
func (p *printer) signed(v float64) string {
	text := p.with(quantity.DimSpeed, &v, nil)
	if v > 0 {
		text = "+" + text
	}
	return text
}

// tracks says how the forecasts of each car have come out so far.
func (p *printer) tracks(all []Track) {
	if len(all) > 0 {
		p.WriteString("\n")
		p.heading("How good the forecasts have been")
	}
	for _, t := range all {
		p.say("Forecasts of %s so far, %s: %s; typically off by %s, %.0f %% of the 90 %% intervals held, mean score (CRPS) %s; intervals are stretched by %.2f.",
			t.Car, t.Basis, countOf(t.Count, "pass"), p.with(quantity.DimSpeed, &t.MedianAbsMps, nil), 100*t.Coverage, p.with(quantity.DimSpeed, &t.CRPSMps, nil), t.Widen)
	}
}
