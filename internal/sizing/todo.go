package sizing

import (
	"fmt"
	"slices"
	"strings"

	"traplight/internal/prose"
	"traplight/internal/quantity"
)

// unlikely is the chance, 0–1, under which a limit counts as kept.
const unlikely = 0.05

// toDo says in a few sentences what the target asks for: what must change first, then what
// has to be found out, then what is enough as it is.
func (p *printer) toDo() []string {
	var change, find, enough []string
	sort := func(in *[]string, format string, args ...any) { *in = append(*in, fmt.Sprintf(format, args...)) }
	r := p.r
	switch o := r.Power; {
	case o.Wheel == nil:
		return []string{fmt.Sprintf("Gears, grip or another target: no power reaches this speed, for %s.", o.why())}
	case o.OutOfReach > 0.5:
		sort(&change, "Grip and gears before power: in %s of the cases %s.", cases(o.OutOfReach), o.why())
	case o.Own != nil && o.Own.More.Low <= 0 && o.Own.Trap >= r.Target:
		sort(&enough, "Power is there: %s at the wheels ran %s.", p.w.Power(o.Own.Wheel), p.w.Speed(o.Own.Trap))
	case o.Own != nil:
		sort(&change, "Power: %s at the crank, %s at the wheels; your best pass had %s.", p.fig(o.Crank), p.fig(o.Wheel), p.w.Power(o.Own.Wheel))
	default:
		sort(&change, "Power: %s at the crank, %s at the wheels. Logs of the car's passes beside the sheet narrow it.", p.fig(o.Crank), p.fig(o.Wheel))
	}
	if o := r.Power; o.OutOfReach > 0.2 && o.OutOfReach <= 0.5 {
		sort(&change, "Grip and gears beside power: in %s of the cases no power reaches the target, for %s.", cases(o.OutOfReach), o.why())
	}
	p.airToDo(sort, &change, &find, &enough)
	if o := r.Fuel; o != nil {
		switch {
		case o.Duty == nil:
			sort(&find, "Injectors: %s together, as rated at %s; the sheet does not state yours.", p.in(o.Needed, quantity.MustUnit("cc/min")), p.w.Pressure(o.RatedAt))
		case o.DutyOver > unlikely:
			sort(&change, "Injectors: %s together, as rated at %s; yours would be open longer than %.0f %% of the time in %s of the cases.", p.in(o.Needed, quantity.MustUnit("cc/min")), p.w.Pressure(o.RatedAt), 100*o.DutyLimit, cases(o.DutyOver))
		default:
			sort(&enough, "Injectors: open %s of the time.", p.fig(o.Duty))
		}
		switch pump := p.in(o.Pump, p.unit("gal/h", "L/h")); {
		case o.PumpPressure == nil:
		case o.PumpUse != nil && o.PumpShort > unlikely:
			sort(&change, "Fuel pump: %s at %s; yours fall short in %s of the cases.", pump, p.fig(o.PumpPressure), cases(o.PumpShort))
		case o.PumpUse != nil:
			sort(&enough, "Fuel pump: the engine takes %s of what yours bring.", p.fig(o.PumpUse))
		default:
			sort(&find, "Pump: does yours bring %s at %s?", pump, p.fig(o.PumpPressure))
		}
	}
	p.driveToDo(sort, &change, &find, &enough)
	return slices.Concat(change, find, enough)
}

// airToDo are compressor, housing and the engine's limits.
func (p *printer) airToDo(sort func(*[]string, string, ...any), change, find, enough *[]string) {
	if o := p.r.Engine; o != nil {
		for _, l := range o.OverLimits {
			if l.Chance > unlikely {
				sort(change, "%s: your limit of %s is passed in %s of the cases: ask the maker, or find the speed in mass, drag and shifts.", prose.Upper(l.name()), p.w.Stated(l.Dim, l.Value), cases(l.Chance))
			}
		}
	}
	if p.beyond() {
		o := p.r.Engine
		sort(change, "Boost: %s, where your schedule has %s at most, which makes %s by the same figures. If the car already runs near this speed with that, give its logs beside the sheet before you change anything: its engine does better than is assumed.",
			p.fig(o.Boost), p.w.Pressure(o.Schedule.Boost), p.fig(o.Schedule.Power))
	}
	if o := p.r.Compressor; o != nil && len(o.Points) > 0 {
		peak := &o.Points[0]
		switch {
		case o.Map == "":
			sort(find, "Compressor: one whose map holds %s at pressure ratio %s; no map was given.", p.massFlow(peak.Flow), p.fig(peak.Ratio))
		case slices.ContainsFunc(o.Points, func(m MapPoint) bool { return m.Inside < 1-unlikely }):
			worst := slices.MinFunc(o.Points, func(a, b MapPoint) int { return int(1e6 * (a.Inside - b.Inside)) })
			sort(change, "Compressor: another than the map's; %s it is %s.", worst.Name, worst.verdict())
		default:
			sort(enough, "Compressor: the map's fits.")
		}
	}
	o := p.r.Turbine
	if o == nil || len(o.Steps) == 0 {
		return
	}
	var fits []string
	for _, h := range o.Housings {
		if h.Ratio != nil && h.Enough >= 1-unlikely && h.OverLimit <= unlikely {
			fits = append(fits, h.Name)
		}
	}
	last := o.Steps[0]
	for _, s := range o.Steps {
		if s.Ratio <= o.Limit && s.Area != nil {
			last = s
		}
	}
	switch {
	case len(fits) > 0:
		sort(enough, "Housing: %s would do.", listed(fits))
	case last.Area != nil:
		sort(find, "Housing: %s of effective turbine area or more, so that back pressure stays below %.2f times the manifold's.", p.area(last.Area), last.Ratio)
	}
}

// driveToDo are gears, gearbox, tyres and the way to a stop.
func (p *printer) driveToDo(sort func(*[]string, string, ...any), change, find, enough *[]string) {
	if o := p.r.Gearing; o != nil {
		switch {
		case o.Final == nil:
		case o.FinalNow < o.Final.Low || o.FinalNow > o.Final.High:
			sort(change, "Final drive: %s instead of %.2f.", p.fig(o.Final), o.FinalNow)
		default:
			sort(enough, "Final drive: %.2f lies within what is best, %s.", o.FinalNow, p.fig(o.Final))
		}
		var over []string
		stated := false
		for _, g := range o.Gears {
			stated = stated || g.Over != nil
			if g.Over != nil && *g.Over > unlikely {
				over = append(over, fmt.Sprintf("%s (in %s of the cases)", ordinal(g.Gear), cases(*g.Over)))
			}
		}
		switch {
		case len(over) > 0:
			sort(change, "Gearbox: over its limit in %s: less boost there, or a stronger one.", listed(over))
		case stated:
			sort(enough, "Gearbox: within its limit while the engine pulls; the clutch's bite is another matter, see below.")
		default:
			sort(find, "Gearbox: its limit is not in the sheet.")
		}
	}
	switch o := p.r.Tyres; {
	case o == nil:
	case o.Within == nil:
		sort(find, "Tyres: for which speed are they made? The driven ones would run at %s, their slip included.", p.fig(o.Speed))
	case !*o.Within:
		sort(change, "Tyres: %s is beyond the %s they are made for; only the maker's written statement counts.", p.fig(o.Speed), p.w.Stated(quantity.DimSpeed, o.Limit))
	default:
		sort(enough, "Tyres: within their %s.", p.w.Stated(quantity.DimSpeed, o.Limit))
	}
	switch o := p.r.Stop; {
	case o == nil:
	case o.TooShort == nil:
		sort(find, "The strip: has it %s after the line?", p.fig(o.Distance))
	case *o.TooShort > 0.01:
		sort(change, "The strip: %s is too short in %s of the cases: do not run this speed there.", p.w.Stated(quantity.DimLength, o.ShutDown), cases(*o.TooShort))
	default:
		sort(enough, "The strip: long enough to stop.")
	}
}

// cases prints a share of the cases.
func cases(share float64) string {
	if share > 0.995 {
		return "all"
	}
	return fmt.Sprintf("%.0f %%", 100*share)
}

// name is the limit in words, without the unit that its key carries.
func (l *Over) name() string {
	words := strings.ReplaceAll(strings.TrimPrefix(l.Limit, "max_"), "_", " ")
	for _, end := range [][2]string{{" temp", " temperature"}, {" rpm", " speed"}} {
		if head, ok := strings.CutSuffix(words, end[0]); ok {
			return head + end[1]
		}
	}
	return words
}
