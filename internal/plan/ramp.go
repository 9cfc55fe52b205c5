package plan

import (
	"fmt"

	"traplight/internal/quantity"
)

// Ramp is boost by engine speed within a gear: from one figure where the gear begins
// to another where it ends, even in between. It is a further step, not part of the
// settings by gear.
type Ramp struct {
	Gear int        `json:"gear"`
	RPM  [2]float64 `json:"rpm"`       // rpm
	KPa  [2]float64 `json:"boost_kpa"` // kPa gauge
	Gain float64    `json:"gain_mps"`  // m/s of expected trap speed over the settings by gear
}

// Text is the ramp as a sentence.
func (r *Ramp) Text(w quantity.World) string {
	return fmt.Sprintf("Boost by engine speed in %d, if the computer can: %s at %.0f rpm rising to %s at %.0f rpm (%s expected).", r.Gear,
		w.Pressure(r.KPa[0]*kpa), r.RPM[0], w.Pressure(r.KPa[1]*kpa), r.RPM[1], signed(w, r.Gain))
}
