package sizing

import (
	"fmt"
	"io"
	"math"
	"strings"

	"traplight/internal/quantity"
)

// printer puts a result into words, in the units of a world.
type printer struct {
	strings.Builder
	w    quantity.World
	r    *Result
	part string   // heading of the part being written
	how  []string // methods and sources, for the end
}

// WriteText prints the answer for reading, in the units of w: each part begins with a
// sentence that answers, then figures, each with the bounds between which nine draws of ten
// lie, then method and source.
func (r *Result) WriteText(out io.Writer, w quantity.World) error {
	p := &printer{w: w, r: r}
	p.title()
	p.power()
	p.engine()
	p.compressor()
	p.turbine()
	p.fuel()
	p.gearing()
	p.tyres()
	p.stop()
	p.list("What would tell more", r.Missing)
	p.list("Mind", r.Notes)
	p.assumed()
	p.list("How the figures were obtained", p.how)
	p.list("Before anything is built or run", r.Cautions)
	_, err := io.WriteString(out, p.String())
	return err
}

// fig prints a figure with its bounds: "1120 hp (1020 to 1250)".
func (p *printer) fig(f *Figure) string {
	if f == nil {
		return "not known"
	}
	return p.in(f, p.w.Unit(f.Dim))
}

// in prints a figure in a unit of its own.
func (p *printer) in(f *Figure, u quantity.Unit) string {
	if f == nil {
		return "not known"
	}
	sd := spread(f) / math.Abs(u.Factor)
	if !(sd > 0) {
		sd = math.Abs(u.Of(f.Value)) * 1e-3
	}
	digits := 0
	if sd > 0 {
		// Two digits of the standard deviation below 2, else one; two of the figure at least.
		e := math.Floor(math.Log10(sd))
		digits = int(-e)
		if sd/math.Pow(10, e) < 2 {
			digits++
		}
		if v := math.Abs(u.Of(f.Value)); v > 0 && f.Dim != quantity.DimTemperature {
			digits = max(digits, 1-int(math.Floor(math.Log10(v))))
		}
	}
	num := func(si float64) string { return fixed(u.Of(si), digits) }
	unit := u.Symbol
	if unit != "" && unit != "%" {
		unit = " " + unit
	} else if unit == "%" {
		unit = " %"
	}
	switch {
	case f.AtLeast && f.Value > f.Low:
		return fmt.Sprintf("%s%s (%s or more)", num(f.Value), unit, num(f.Low))
	case f.AtLeast:
		return "at least " + num(f.Low) + unit
	}
	if num(f.Low) == num(f.High) {
		return num(f.Value) + unit
	}
	return fmt.Sprintf("%s%s (%s to %s)", num(f.Value), unit, num(f.Low), num(f.High))
}

// spread is a figure's standard deviation, own unit, or what its bounds make of it where a
// few cases far out have blown it up.
func spread(f *Figure) float64 {
	if by := (f.High - f.Low) / 3.29; !f.AtLeast && by > 0 && by < f.SD {
		return by
	}
	if by := (f.Value - f.Low) / 1.645; f.AtLeast && by > 0 && by < f.SD {
		return by
	}
	return f.SD
}

// fixed prints with n decimals; negative n rounds to whole tens and so on.
func fixed(x float64, n int) string {
	if n < 0 {
		k := math.Pow(10, float64(-n))
		return fmt.Sprintf("%.0f", math.Round(x/k)*k)
	}
	s := fmt.Sprintf("%.*f", min(n, 6), x)
	if strings.Trim(s, "-0.") == "" {
		return strings.TrimPrefix(s, "-")
	}
	return s
}

func (p *printer) imperial() bool { return p.w.Unit(quantity.DimPressure).Symbol == "psi" }

// unit picks a unit by the world, for what has none of its own there.
func (p *printer) unit(us, metric string) quantity.Unit {
	if p.imperial() {
		return quantity.MustUnit(us)
	}
	return quantity.MustUnit(metric)
}

// area is a figure in square metres, printed in square inches or centimetres.
func (p *printer) area(f *Figure) string {
	if p.imperial() {
		return p.in(f, quantity.Unit{Symbol: "in²", Factor: 0.0254 * 0.0254})
	}
	return p.in(f, quantity.Unit{Symbol: "cm²", Factor: 1e-4})
}

func (p *printer) heading(s string) {
	p.part = s
	p.WriteString("\n" + s + "\n")
}

func (p *printer) say(format string, args ...any) {
	p.wrap(fmt.Sprintf(format, args...), "  ", "")
}

// wrap breaks a sentence at blanks to 100 columns.
func (p *printer) wrap(text, indent, hang string) {
	line := indent
	n := len([]rune(indent))
	first := true
	for _, word := range strings.Fields(text) {
		k := len([]rune(word))
		if !first && n+1+k > 100 {
			p.WriteString(line + "\n")
			line, n, first = indent+hang, len([]rune(indent+hang)), true
		}
		if !first {
			line += " "
			n++
		}
		line += word
		n += k
		first = false
	}
	p.WriteString(line + "\n")
}

// basis keeps a part's method and source for the end of the text.
func (p *printer) basis(b Basis) {
	p.how = append(p.how, fmt.Sprintf("%s: %s. By %s.", p.part, b.Method, b.Source))
}

func (p *printer) list(head string, items []string) {
	if len(items) == 0 {
		return
	}
	p.heading(head)
	for _, s := range items {
		p.wrap("- "+s, "  ", "  ")
	}
}

func (p *printer) title() {
	name := p.r.Car
	if name == "" {
		name = "this car"
	}
	fmt.Fprintf(&p.Builder, "%s · %s through the trap after %s\n", name, p.w.Speed(p.r.Target), p.w.Length(p.r.Length))
	p.say("Each figure is followed by the bounds between which it lies in nine cases of ten.")
}

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
	if o.OutOfReach > 0.05 {
		p.say("What follows holds for the other cases.")
	}
	if o.Own != nil {
		more := p.fig(o.Own.More)
		p.say("Your best of %d passes ran %s with %s at the wheels: the change in power is %s.", o.Own.Passes, p.w.Speed(o.Own.Trap), p.w.Power(o.Own.Wheel), more)
	}
	if o.FreeWheel != nil {
		p.say("With every gear at what its tyres carry instead of the boost schedule: %s.", p.fig(o.FreeWheel))
	}
	p.say("Such a pass takes %s.", p.fig(o.Time))
	for _, t := range o.Trades {
		p.say("%s would save %s at the crank.", upperFirst(p.trade(t.What)), p.fig(t.Crank))
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
	p.say("Brake mean effective pressure %s.", p.in(o.MeanPress, p.unit("psi", "bar")))
	for _, l := range o.OverLimits {
		p.say("Your limit %s of %s is passed in %.0f %% of the cases.", l.Limit, p.w.Text(l.Dim, l.Value), 100*l.Chance)
	}
	p.basis(o.Basis)
}

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
		text := fmt.Sprintf("%s%s: corrected flow %s at pressure ratio %s", upperFirst(m.Name), each, p.massFlow(m.Flow), p.fig(m.Ratio))
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
		p.say("Your limit %s of %s is passed in %.0f %% of the cases.", s.Limit, p.w.Rotation(s.Value), 100*s.Chance)
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

func (p *printer) fuel() {
	o := p.r.Fuel
	if o == nil {
		return
	}
	p.heading("Fuel system")
	p.say("The engine burns %s of %s, %s.", p.in(o.Mass, p.unit("lb/h", "kg/h")), o.Name, p.in(o.Volume, p.unit("gal/h", "L/min")))
	if o.NitrousFuel != nil {
		p.say("Of this %s goes with the nitrous oxide.", p.in(o.NitrousFuel, p.unit("lb/h", "kg/h")))
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
	p.say("Feed line of %s: inner diameter %s, for at most %s lost and %s.", p.w.Length(o.LineLength), p.in(o.Bore, p.unit("in", "mm")), p.w.Pressure(o.LineLoss), p.flowSpeed(o.LineSpeed))
	p.basis(o.Basis)
}

// flowSpeed prints the speed of a liquid, m/s.
func (p *printer) flowSpeed(v float64) string {
	u := p.unit("ft/s", "m/s")
	return fmt.Sprintf("%.1f %s", u.Of(v), u.Symbol)
}

func upperFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
