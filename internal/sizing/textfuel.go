package sizing

import (
	"fmt"

	"traplight/internal/quantity"
)

func (p *printer) fuel() {
	o := p.r.Fuel
	if o == nil {
		return
	}
	p.heading("Fuel system")
	p.say("The engine burns %s of %s, %s.", p.in(o.Mass, p.unit("lb/h", "kg/h")), o.Name, p.in(o.Volume, p.unit("gal/h", "L/min")))
	if o.NitrousFuel != nil {
		p.say("Of this %s goes with the nitrous oxide.", p.w.MassFlow(o.NitrousFuel.Value))
	}
	if o.Duty != nil {
		p.say("Your injectors would be open %s of the time; beyond %.0f %% in %.0f %% of the cases.", p.fig(o.Duty), 100*o.DutyLimit, 100*o.DutyOver)
	}
	each := ""
	if o.Each != nil {
		each = fmt.Sprintf(", %s each of %d", p.in(o.Each, quantity.MustUnit("cc/min")), o.Count)
	}
	p.say("Injectors needed for %.0f %% duty: %s together%s, as rated at %s.", 100*o.DutyLimit, p.in(o.Needed, quantity.MustUnit("cc/min")), each, p.w.Pressure(o.RatedAt))
	pump := fmt.Sprintf("Pump, with %.0f %% in hand: %s", 100*o.SpareAssumed, p.in(o.Pump, p.unit("gal/h", "L/h")))
	if o.PumpPressure != nil {
		pump += fmt.Sprintf(" at %s, %s of hydraulic power", p.fig(o.PumpPressure), p.in(o.PumpPower, quantity.MustUnit("W")))
	}
	p.say("%s.", pump)
	if o.PumpUse != nil {
		p.say("The engine alone takes %s of what your pumps bring there; more than they bring in %.0f %% of the cases.", p.fig(o.PumpUse), 100*o.PumpShort)
	}
	p.say("Feed line of %s: inner diameter %s, for at most %s lost and %s.", p.w.Length(o.LineLength), p.in(o.Bore, p.unit("in", "mm")), p.w.Pressure(o.LineLoss), p.flowSpeed(o.LineSpeed))
	p.basis(o.Basis)
}

// flowSpeed prints the speed of a liquid, m/s.
func (p *printer) flowSpeed(v float64) string {
	u := p.unit("ft/s", "m/s")
	return fmt.Sprintf("%.1f %s", u.Of(v), u.Symbol)
}
