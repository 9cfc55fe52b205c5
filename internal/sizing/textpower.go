package sizing

import (
	"fmt"

	"traplight/internal/prose"
)

func (p *printer) power() {
	o := p.r.Power
	p.heading("Power")
	switch {
	case o.Wheel == nil:
		p.say("No power reaches this speed with the grip and the gears of the sheet.")
		p.basis(o.Basis)
		return
	case o.OutOfReach > 0.5:
		p.say("More likely than not no power reaches this speed: in %.0f %% of the cases %s. Where it can be reached it takes %s at the wheels.", 100*o.OutOfReach, o.why(), p.fig(o.Wheel))
	default:
		p.say("You need %s at the wheels, %s at the crank.", p.fig(o.Wheel), p.fig(o.Crank))
	}
	if o.OutOfReach > 0.05 && o.OutOfReach <= 0.5 {
		p.say("In %.0f %% of the cases no power reaches it: %s.", 100*o.OutOfReach, o.why())
	}
	if o.Own != nil {
		best := "Your pass"
		if o.Own.Passes > 1 {
			best = fmt.Sprintf("Your best of %d passes", o.Own.Passes)
		}
		p.say("%s ran %s with %s at the wheels: the change in power is %s.", best, p.w.Speed(o.Own.Trap), p.w.Power(o.Own.Wheel), p.fig(o.Own.More))
	}
	if o.OutOfReach > 0.05 {
		p.say("What follows holds for the cases in which it is reached.")
	}
	if o.FreeWheel != nil {
		p.say("With every gear at what its tyres carry instead of the boost schedule: %s.", p.fig(o.FreeWheel))
	}
	p.say("Such a pass takes %s.", p.fig(o.Time))
	for _, t := range o.Trades {
		p.say("%s would save %s at the crank.", prose.Upper(p.trade(t.What)), p.fig(t.Crank))
	}
	p.basis(o.Basis)
}

// trade words a trade in the units of the world.
func (p *printer) trade(what string) string {
	if what == lessMass && p.imperial() {
		return fmt.Sprintf("%s less mass", p.w.Mass(lessMassBy))
	}
	return what
}

// why says what keeps the car from the target whatever its power.
func (o *Power) why() string {
	switch {
	case o.OutOfGears >= 0.9*o.OutOfReach:
		return "the last gear runs out before"
	case o.OutOfGears <= 0.1*o.OutOfReach:
		return "the tyres carry too little"
	}
	return "the tyres carry too little or the last gear runs out before"
}

func (p *printer) engine() {
	o := p.r.Engine
	if o == nil {
		return
	}
	p.heading("Air and boost")
	if o.Boost == nil {
		p.say("The engine must breathe %s of air at %s.", p.massFlow(o.Air), p.fig(o.Speed))
		p.basis(o.Basis)
		return
	}
	p.say("Boost of %s at %s: %s of air, pressure ratio %s.", p.fig(o.Boost), p.fig(o.Speed), p.massFlow(o.Air), p.fig(o.Ratio))
	p.say("Absolute in the manifold: %s, with a barometer of %s.", p.fig(o.Manifold), p.w.Pressure(o.Barometer.Value))
	p.say("Behind the compressor %s, after the cooler %s; the compressor takes %s of the turbine.", p.fig(o.Outlet), p.fig(o.Charge), p.fig(o.Shaft))
	if s := o.Schedule; s != nil {
		p.say("The highest boost of your schedule, %s, makes %s at the crank by the same figures.", p.w.Pressure(s.Boost), p.fig(s.Power))
		if p.beyond() {
			p.say("If the car already runs near this speed with it, its engine does better than is assumed here: its logs, given beside the sheet, replace what is assumed.")
		}
	}
	p.say("Brake mean effective pressure %s.", p.in(o.MeanPress, p.unit("psi", "bar")))
	for _, l := range o.OverLimits {
		p.say("Your limit of %s, %s, is passed in %s of the cases.", l.name(), p.w.Stated(l.Dim, l.Value), cases(l.Chance))
	}
	p.basis(o.Basis)
}

// beyond tells whether, with no passes of the car's own, the target asks for clearly more
// boost than the sheet's schedule has.
func (p *printer) beyond() bool {
	o := p.r.Engine
	return p.r.Power.Own == nil && o.Schedule != nil && o.Boost != nil && o.Boost.Value > 1.1*o.Schedule.Boost
}
