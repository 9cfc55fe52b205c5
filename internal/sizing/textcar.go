package sizing

import (
	"fmt"
	"strings"

	"traplight/internal/prose"
	"traplight/internal/quantity"
)

var ordinals = []string{"none", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth", "eleventh", "twelfth"}

func ordinal(g int) string {
	if g >= 0 && g < len(ordinals) {
		return ordinals[g]
	}
	return fmt.Sprint(g)
}

func (p *printer) gearing() {
	o := p.r.Gearing
	if o == nil {
		return
	}
	p.heading("Gearing and gearbox")
	p.say("At the line you are in %s gear at %s.", ordinal(o.LineGear), p.fig(o.LineSpeed))
	if o.Limiter > 0.02 {
		p.say("In %.0f %% of the cases the last gear runs out before the line.", 100*o.Limiter)
	}
	p.say("Your final drive is %.2f; %s would put the line at the engine speed of peak power in the gear used there.", o.FinalNow, p.fig(o.Final))
	for i := range o.Gears {
		p.gear(&o.Gears[i])
	}
	p.clutch(o)
	p.basis(o.Basis)
}

// clutch says what the gearbox sees beside the pull.
func (p *printer) clutch(o *Gearing) {
	if o.Clutch <= 0 {
		p.say("These are torques of the pull. A clutch that bites, after a shift or at the launch, passes all that it holds to the gearbox, whatever the engine makes; clutch_torque_rating_nm in the car sheet would tell how much.")
		return
	}
	text := fmt.Sprintf("These are torques of the pull. A clutch that bites, after a shift or at the launch, passes all that it holds to the gearbox, whatever the engine makes: %s by its rating", p.w.Torque(o.Clutch))
	var over []string
	used := 0
	for _, g := range o.Gears {
		if g.Used < 0.02 {
			continue
		}
		used++
		if g.Limit > 0 && g.Limit < o.Clutch {
			over = append(over, ordinal(g.Gear))
		}
	}
	if len(over) > 0 {
		where := listed(over)
		if len(over) == used {
			where = "every gear"
		}
		text += ", more than the gearbox's limit in " + where + ": there only how softly it is let in protects the gears"
	}
	p.say("%s.", text)
}

// listed joins words as one speaks: "first, second and third".
func listed(words []string) string {
	if n := len(words); n > 1 {
		return strings.Join(words[:n-1], ", ") + " and " + words[n-1]
	}
	return strings.Join(words, "")
}

func (p *printer) gear(g *Gear) {
	text := fmt.Sprintf("%s gear (%.2f overall)", prose.Upper(ordinal(g.Gear)), g.Overall)
	if g.Used < 0.02 {
		p.say("%s: not used.", text)
		return
	}
	if g.ShiftSpeed != nil && g.ShiftAt > 0 {
		text += fmt.Sprintf(": %s at %s", p.fig(g.ShiftSpeed), p.w.Rotation(g.ShiftAt))
	}
	if g.Drop != nil && g.After != nil {
		text += fmt.Sprintf("; %.0f %% rev drop into it, to %s", 100**g.Drop, p.fig(g.After))
	}
	text += fmt.Sprintf("; %s of torque at the input shaft", p.fig(g.Input))
	switch {
	case g.Over != nil && *g.Over < 0.005:
		text += fmt.Sprintf(", within the gearbox's %s", p.w.Torque(g.Limit))
	case g.Over != nil:
		text += fmt.Sprintf(", over the gearbox's %s in %.0f %% of the cases", p.w.Torque(g.Limit), 100**g.Over)
	}
	if g.Clutch != nil && *g.Clutch > 0.01 {
		text += fmt.Sprintf(", over the clutch's rating in %.0f %%", 100**g.Clutch)
	}
	if g.ByTyres != nil && g.ByTyres.High > 0.05 {
		text += fmt.Sprintf("; the tyres limit %s of its time", p.some(g.ByTyres))
	}
	p.say("%s.", text)
}

// some prints a share of which there may be none.
func (p *printer) some(f *Figure) string {
	text := p.fig(f)
	if _, most, ok := strings.Cut(text, " to "); ok && f.Value < 0.005 {
		return "none (up to " + strings.TrimSuffix(most, ")") + " %)"
	}
	return text
}

func (p *printer) tyres() {
	o := p.r.Tyres
	p.heading("Tyres")
	switch {
	case o.Within == nil:
		p.say("No limit is known for the tyres; the driven ones would run at %s, their slip included.", p.fig(o.Speed))
	case *o.Within:
		p.say("Within: %s, slip included, against a limit of %s.", p.fig(o.Speed), p.w.Stated(quantity.DimSpeed, o.Limit))
	default:
		p.say("Beyond: %s, slip included, against a limit of %s. Only the maker's written statement counts there.", p.fig(o.Speed), p.w.Stated(quantity.DimSpeed, o.Limit))
	}
	text := fmt.Sprintf("Standing, a driven tyre carries %s", p.fig(o.Load))
	switch {
	case o.LoadLimit > 0:
		text += fmt.Sprintf("; by its index it may carry %s at that speed", p.w.Mass(o.LoadLimit))
	case o.Symbol != "":
		text += "; beyond the speed of its symbol the index allows nothing"
	}
	p.say("%s. Its tread is pulled outwards with %s times its weight at %s.", text, p.fig(o.Spin), p.fig(o.Wheel))
	p.basis(o.Basis)
}

func (p *printer) stop() {
	o := p.r.Stop
	p.heading("Stopping again")
	switch {
	case o.TooShort == nil:
		p.say("You need %s from the line to standstill; the strip's shut-down length is not known.", p.fig(o.Distance))
	default:
		p.say("You need %s from the line to standstill; the strip has %s, too short in %.0f %% of the cases.", p.fig(o.Distance), p.w.Stated(quantity.DimLength, o.ShutDown), 100**o.TooShort)
	}
	p.say("At a mean of %.2f g (± %.2f) while braking. Held to one figure:", o.Braking.Value, o.Braking.SD)
	for _, s := range o.Steps {
		p.say("%.1f g: %s.", s.G, p.fig(s.Distance))
	}
	megajoule := quantity.Unit{Symbol: "MJ", Factor: 1e6}
	p.say("The car carries %s; the brakes take %s of it, which would heat %s of iron by %s.", p.in(o.Kinetic, megajoule), p.in(o.Brakes, megajoule), p.w.Mass(ironMass), p.rise(o.DiscRise))
	p.basis(o.Basis)
}

// rise prints a difference of temperatures, K.
func (p *printer) rise(f *Figure) string {
	if p.imperial() {
		return p.in(f, quantity.Unit{Symbol: "°F", Factor: 5.0 / 9})
	}
	return p.in(f, quantity.Unit{Symbol: "K", Factor: 1})
}

func (p *printer) assumed() {
	var items []string
	for _, a := range p.r.Assumptions {
		items = append(items, fmt.Sprintf("%s %s: %s", a.What, p.assumption(a), a.Source))
	}
	p.list("What went in beside the sheet (± is a standard deviation)", items)
}

// assumption prints value and standard deviation in the units of the world.
func (p *printer) assumption(a Assumption) string {
	switch a.Unit {
	case "":
		return fmt.Sprintf("%.3g ± %.2g", a.Value, a.SD)
	case "g", "s":
		return fmt.Sprintf("%.3g ± %.2g %s", a.Value, a.SD, a.Unit)
	}
	dim := map[string]quantity.Dimension{"K": quantity.DimTemperature, "Pa": quantity.DimPressure, "m/s": quantity.DimSpeed}[a.Unit]
	u := p.w.Unit(dim)
	if a.Unit == "K" && a.Value < 100 { // a difference
		return fmt.Sprintf("%.2g ± %.2g %s", a.Value/u.Factor, a.SD/u.Factor, u.Symbol)
	}
	return p.w.Estimate(dim, quantity.Estimate{Value: a.Value, SD: a.SD})
}
