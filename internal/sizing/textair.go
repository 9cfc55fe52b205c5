package sizing

import (
	"fmt"

	"traplight/internal/prose"
	"traplight/internal/quantity"
)

func (p *printer) massFlow(f *Figure) string { return p.in(f, p.unit("lb/min", "kg/s")) }

func (p *printer) compressor() {
	o := p.r.Compressor
	if o == nil {
		return
	}
	p.heading("Compressor")
	each := ""
	if o.Turbos > 1 {
		each = fmt.Sprintf(" for each of %d", o.Turbos)
	}
	for i := range o.Points {
		m := &o.Points[i]
		text := fmt.Sprintf("%s%s: corrected flow %s at pressure ratio %s", prose.Upper(m.Name), each, p.massFlow(m.Flow), p.fig(m.Ratio))
		if v := m.verdict(); v != "" {
			text += ": " + v
		}
		p.say("%s.", text)
		if m.SurgeMargin != nil {
			text := fmt.Sprintf("Flow may fall by %s before surge and rise by %s before choke", p.fig(m.SurgeMargin), p.fig(m.ChokeMargin))
			if m.Speed != nil {
				text += fmt.Sprintf("; turbo speed %s", p.fig(m.Speed))
			}
			if m.Efficiency != nil {
				text += fmt.Sprintf(", efficiency %s", p.fig(m.Efficiency))
			}
			p.say("%s.", text)
		}
	}
	if s := o.SpeedOver; s != nil {
		p.say("Your limit of %s, %s, is passed in %s of the cases.", s.name(), p.w.Rotation(s.Value), cases(s.Chance))
	}
	if o.Map != "" {
		p.say("Map: %s.", o.Map)
	} else {
		p.say("Look for a map on which both points lie inside, the second well right of surge (flows at %s and %s).", p.w.Text(quantity.DimTemperature, o.Reference[0]), p.w.Pressure(o.Reference[1]))
	}
	p.basis(o.Basis)
}

func (p *printer) turbine() {
	o := p.r.Turbine
	if o == nil {
		return
	}
	p.heading("Turbine and housing")
	p.say("The exhaust is %s. With all of it through the turbine the back-pressure ratio is %s; it cannot be lower.", p.massFlow(o.Exhaust), p.fig(o.Least))
	if o.AsItIs != nil {
		p.say("Your turbines and gates as they stood in your passes pass as %s; at this power that means a back-pressure ratio of %s.", p.area(o.Area), p.fig(o.AsItIs))
	}
	each := ""
	if c := p.r.Compressor; c != nil && c.Turbos > 1 {
		each = fmt.Sprintf(", each of %d", c.Turbos)
	}
	for _, s := range o.Steps {
		if s.Area == nil {
			p.say("Back-pressure ratio %.2f: not possible, the exhaust cannot drive the compressor there.", s.Ratio)
			continue
		}
		text := fmt.Sprintf("Back-pressure ratio %.2f: turbine %s effective, wastegate %s%s, through which goes %s of the exhaust", s.Ratio, p.area(s.Area), p.area(s.Gate), each, p.fig(s.Share))
		if s.Possible < 0.9 {
			text += fmt.Sprintf("; enough exhaust in %.0f %% of the cases", 100*s.Possible)
		}
		p.say("%s.", text)
	}
	limit := "usual"
	if o.Stated {
		limit = "your"
	}
	for _, h := range o.Housings {
		if h.Ratio == nil {
			p.say("%s: too large; with the gate shut it drives the compressor in %.0f %% of the cases only.", h.Name, 100*h.Enough)
			continue
		}
		text := fmt.Sprintf("%s: back-pressure ratio %s, over %s limit of %.2f in %.0f %% of the cases; wastegate takes %s; full boost from %s", h.Name, p.fig(h.Ratio), limit, o.Limit, 100*h.OverLimit, p.fig(h.Gate), p.fig(h.Threshold))
		if h.Enough < 0.95 {
			text += fmt.Sprintf("; it drives the compressor in %.0f %% of the cases", 100*h.Enough)
		}
		if h.Beyond {
			text += "; its file ends below that expansion ratio"
		}
		p.say("%s.", text)
	}
	if o.After != nil {
		p.say("After the shifts into the strong gears the engine is at %s: full boost must begin below.", p.fig(o.After))
	}
	p.basis(o.Basis)
}
