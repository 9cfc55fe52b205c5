package reconstruct

import (
	"fmt"
	"strings"

	"traplight/internal/car"
	"traplight/internal/pass"
)

// scaleDoubt is the share of a speed from which its doubt is told: four times what a receiver
// leaves.
const scaleDoubt = 0.012

// tellScale says why speeds are in doubt where wheels alone tell them: turns are counted well,
// and what a turn is on the road rests on the sheet.
func (s *signals) tellScale(p *pass.Pass, sheet *car.Sheet) {
	n := len(p.Splits)
	if s.byEngine || s.byDriven() || len(s.sat) > 0 || s.lat != nil || len(s.undriven)+len(s.driven) == 0 || n == 0 {
		return
	}
	v := p.Splits[n-1].Speed
	if !(v.SD > scaleDoubt*v.Value) {
		return
	}
	var by []string
	if sheet.LoggerCircum <= 0 {
		by = append(by, "circumference_set_in_logger_m")
	}
	by = append(by, "rolling_circumference_m in the car sheet", "a timing slip in the notes", "a satellite receiver")
	if s.accel == nil {
		by = append(by, "an accelerometer")
	}
	p.Notes = append(p.Notes, fmt.Sprintf("speeds and times are known to %.1f %% only: wheels' sensors alone tell them, and how far a wheel rolls in a turn rests on the tyre's size; %s or %s would settle it",
		100*v.SD/v.Value, strings.Join(by[:len(by)-1], ", "), by[len(by)-1]))
}
