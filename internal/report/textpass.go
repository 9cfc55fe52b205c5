package report

import (
	"fmt"
	"math"
	"strings"

	"traplight/internal/quantity"
)

// with prints a value with its spread: "515 lb-ft (± 20)".
func (p *printer) with(d quantity.Dimension, v, sd *float64) string {
	if v == nil {
		return ""
	}
	n, s, u := p.parts(d, v, sd)
	out := n
	if u != "" {
		out += " " + u
	}
	if s != "" {
		out += " (± " + s + ")"
	}
	return out
}

// bare prints the number alone: the unit was told already.
func (p *printer) bare(d quantity.Dimension, v, sd *float64) string {
	if v == nil {
		return ""
	}
	n, _, _ := p.parts(d, v, sd)
	return n
}

// cell prints number and spread for a table: "2.237 ± 0.003".
func (p *printer) cell(d quantity.Dimension, v, sd *float64) string {
	if v == nil {
		return ""
	}
	n, s, _ := p.parts(d, v, sd)
	if s != "" {
		n += " ± " + s
	}
	return n
}

func (p *printer) parts(d quantity.Dimension, v, sd *float64) (number, spread, unit string) {
	dev := 0.0
	if sd != nil {
		dev = *sd
	}
	return p.world.Parts(d, *v, dev)
}

// distance prints a length to the whole unit.
func (p *printer) distance(v *float64) string {
	if v == nil {
		return ""
	}
	return fmt.Sprintf("%.0f", p.world.Of(quantity.DimLength, *v))
}

func (p *printer) unit(d quantity.Dimension) string {
	_, _, u := p.world.Parts(d, 1, 0)
	return u
}

func (p *printer) headline(s *Pass) {
	last := (*Split)(nil)
	for i := range s.Splits {
		k := &s.Splits[i]
		if s.DistanceM != nil && k.DistanceM != nil && math.Abs(*k.DistanceM-*s.DistanceM) < 0.5 {
			last = k
		}
	}
	switch {
	case s.Trap != nil && s.Trap.SpeedMps != nil:
		text := p.with(quantity.DimSpeed, s.Trap.SpeedMps, s.Trap.SDMps) + " through the trap"
		if last != nil && last.TimeS != nil {
			text += ", " + p.with(quantity.DimTime, last.TimeS, last.TimeSDS) + " from rollout"
		}
		p.say("%s.", text)
	case len(s.Splits) > 0:
		k := s.Splits[len(s.Splits)-1]
		p.say("The line was not reached. Last mark passed: %s at %s, %s.", k.Mark,
			p.with(quantity.DimSpeed, k.SpeedMps, k.SpeedSDMps), p.with(quantity.DimTime, k.TimeS, k.TimeSDS))
	default:
		p.say("The line was not reached, nor any mark before it.")
	}
	if s.TrapIfNoLift != nil {
		early := ""
		if s.LiftS != nil && s.FinishS != nil && *s.FinishS > *s.LiftS {
			early = fmt.Sprintf(" %.2f s before the line", *s.FinishS-*s.LiftS)
		}
		p.say("You lifted%s: without that the trap would have read %s.", early,
			p.with(quantity.DimSpeed, s.TrapIfNoLift.SpeedMps, s.TrapIfNoLift.SDMps))
	}
	for i := range s.Shifts {
		if s.Shifts[i].Missed {
			p.say("The shift from %s to %s was missed at first.", ordinal(s.Shifts[i].From), ordinal(s.Shifts[i].To))
		}
	}
	if t := s.TakeUp.Text(p.world); t != "" {
		p.say("%s", t)
	}
}

// grip says by gear what the tyres carry and what was run.
func (p *printer) grip(s *Pass) {
	said := false
	for i := range s.Gears {
		g := &s.Gears[i]
		if g.CeilingWheel == nil || g.MeanWheelTorque == nil {
			continue
		}
		ran := p.bare(quantity.DimTorque, g.MeanWheelTorque, nil)
		if g.CeilingIsBound != nil && *g.CeilingIsBound {
			p.say("%s gear: the tyres carry at least %s; you ran %s.", upperFirst(ordinal(g.Gear)),
				p.with(quantity.DimTorque, g.CeilingWheel, nil), ran)
		} else {
			p.say("%s gear: the tyres carry %s; you ran %s.", upperFirst(ordinal(g.Gear)),
				p.with(quantity.DimTorque, g.CeilingWheel, g.CeilingWheelSD), ran)
		}
		said = true
	}
	if said {
		p.say("(Torque is wheel torque: wheel power over engine speed, the mean at full throttle.)")
		p.WriteString("\n")
	}
}

func (p *printer) splits(s *Pass) { p.write(p.splitTable(s)) }

// write prints a table and an empty line, or nothing.
func (p *printer) write(t *table) {
	before := p.Len()
	t.write(&p.Builder, "  ", p.limit)
	if p.Len() > before {
		p.WriteString("\n")
	}
}

func (p *printer) splitTable(s *Pass) *table {
	t := new(table)
	t.leftColumn("Mark")
	t.column("time", "s")
	t.column("speed", p.unit(quantity.DimSpeed))
	for i := range s.Splits {
		k := &s.Splits[i]
		t.row(k.Mark, p.cell(quantity.DimTime, k.TimeS, k.TimeSDS), p.cell(quantity.DimSpeed, k.SpeedMps, k.SpeedSDMps))
	}
	return t
}

func (p *printer) gears(s *Pass) {
	if len(s.Gears) == 0 {
		return
	}
	p.write(p.gearTable(s))
	if t := p.engineTable(s); t.hasMoreThan(1) {
		p.write(t)
	}
}

// gearTable tells what each gear did to the road.
func (p *printer) gearTable(s *Pass) *table {
	t := new(table)
	t.leftColumn("Gear")
	t.column("from", p.unit(quantity.DimLength))
	t.column("to", p.unit(quantity.DimLength))
	t.column("torque", p.unit(quantity.DimTorque))
	t.column("peak", p.unit(quantity.DimTorque))
	t.column("tyres carry", p.unit(quantity.DimTorque))
	t.column("tyre slip", "peak %")
	t.column("grip used", "mean")
	t.column("out at", "rpm")
	t.leftColumn("held by")
	for i := range s.Gears {
		g := &s.Gears[i]
		carry := p.cell(quantity.DimTorque, g.CeilingWheel, g.CeilingWheelSD)
		if carry != "" && g.CeilingIsBound != nil && *g.CeilingIsBound {
			carry = "≥ " + p.cell(quantity.DimTorque, g.CeilingWheel, nil)
		}
		held := ""
		if g.LimitedBy != nil {
			held = *g.LimitedBy
		}
		t.row(ordinal(g.Gear), p.distance(g.StartM), p.distance(g.EndM),
			p.cell(quantity.DimTorque, g.MeanWheelTorque, g.MeanWheelTorqueSD),
			p.cell(quantity.DimTorque, g.PeakWheelTorque, nil), carry,
			percent(g.PeakSlip), plain(g.UsedGripMean, 2), p.cell(quantity.DimRotation, g.ShiftEngineSpeed, nil), held)
	}
	return t
}

// engineTable tells how the engine ran in each gear.
func (p *printer) engineTable(s *Pass) *table {
	t := new(table)
	t.leftColumn("Gear")
	t.column("boost", p.unit(quantity.DimPressure))
	t.column("target", p.unit(quantity.DimPressure))
	t.column("mixture", p.mixtureName())
	t.column("ignition", "deg")
	t.column("exhaust", p.unit(quantity.DimTemperature))
	t.column("charge", p.unit(quantity.DimTemperature))
	t.column("injectors", "%")
	t.column("fuel over boost", p.unit(quantity.DimPressure))
	t.column("back pressure", "ratio")
	t.column("turbo", "rpm")
	for i := range s.Gears {
		g := &s.Gears[i]
		t.row(ordinal(g.Gear), p.cell(quantity.DimPressure, g.MeanBoost, nil), p.cell(quantity.DimPressure, g.BoostTarget, nil),
			p.cell(quantity.DimMixture, g.Lambda, nil), p.cell(quantity.DimAngle, g.Ignition, nil),
			p.cell(quantity.DimTemperature, g.MaxExhaustTemp, nil), p.cell(quantity.DimTemperature, g.ChargeTempEnd, nil),
			percent(g.MaxInjectorDuty), p.cell(quantity.DimPressure, g.MinFuelOverManifold, nil),
			plain(g.MaxBackPressure, 2), p.cell(quantity.DimRotation, g.TurboSpeed, nil))
	}
	return t
}

// hasMoreThan says whether more than n columns hold something.
func (t *table) hasMoreThan(n int) bool {
	used := 0
	for c := range t.names {
		for _, r := range t.rows {
			if c < len(r) && r[c] != "" {
				used++
				break
			}
		}
	}
	return used > n
}

func (p *printer) mixtureName() string {
	u := p.unit(quantity.DimMixture)
	if u == "" {
		return "lambda"
	}
	return u
}

func (p *printer) shifts(s *Pass) { p.write(p.shiftTable(s)) }

func (p *printer) shiftTable(s *Pass) *table {
	t := new(table)
	t.leftColumn("Shift")
	t.column("at", p.unit(quantity.DimLength))
	t.column("speed", p.unit(quantity.DimSpeed))
	t.column("took", "s")
	t.column("boost before", p.unit(quantity.DimPressure))
	t.column("lowest", p.unit(quantity.DimPressure))
	t.column("back after", "s")
	t.column("at target after", "s")
	for i := range s.Shifts {
		k := &s.Shifts[i]
		back := p.cell(quantity.DimTime, k.RecoveryS, k.RecoverySDS)
		target := p.cell(quantity.DimTime, k.ToTargetS, k.ToTargetSDS)
		if k.RecoveryS != nil && *k.RecoveryS == 0 {
			back = "never below"
		}
		if k.ToTargetS != nil && *k.ToTargetS == 0 {
			target = "never below"
		}
		if k.RecoveryS == nil && k.BoostBefore != nil {
			back = "not in gear"
		}
		t.row(fmt.Sprintf("%d to %d", k.From, k.To), p.distance(k.AtM), p.cell(quantity.DimSpeed, k.SpeedMps, nil),
			p.cell(quantity.DimTime, k.DurationS, both(k.StartSDS, k.EndSDS)),
			p.cell(quantity.DimPressure, k.BoostBefore, nil), p.cell(quantity.DimPressure, k.BoostMin, nil),
			back, target)
	}
	return t
}

// both is the standard deviation of a difference of two independent values.
func both(a, b *float64) *float64 {
	if a == nil || b == nil {
		return nil
	}
	v := math.Hypot(*a, *b)
	return &v
}

func (p *printer) power(s *Pass) {
	w := s.Power
	if w == nil || w.PeakWheelW == nil {
		return
	}
	text := "Peak power " + p.with(quantity.DimPower, w.PeakWheelW, w.PeakWheelSDW) + " at the wheels"
	if w.EngineSpeed != nil {
		text += " at " + p.world.Rotation(*w.EngineSpeed)
	}
	if w.Gear != nil {
		text += " in " + ordinal(*w.Gear)
	}
	if w.CrankW != nil {
		text += "; at the crank " + p.with(quantity.DimPower, w.CrankW, w.CrankSDW) + " from the car's motion"
	}
	if w.ByFuelW != nil {
		text += "; at the crank " + p.with(quantity.DimPower, w.ByFuelW, w.ByFuelSDW) + " from the fuel burnt"
	}
	p.say("%s.", text)
	if w.BackPressureRatio != nil {
		p.say("Back pressure there: %.2f times the manifold pressure, both absolute.", *w.BackPressureRatio)
	}
}

// altitude is the density altitude as closely as the density is known: it falls by a
// share of 1 in some 10.4 km.
func (p *printer) altitude(a *Air) string {
	sd := 0.0
	if a.DensitySD != nil && *a.Density > 0 {
		sd = 10.4e3 * *a.DensitySD / *a.Density
	}
	return p.world.Rounded(quantity.DimLength, *a.DensityAltitude, sd)
}

func (p *printer) air(s *Pass) {
	a := s.Air
	if a == nil || a.Density == nil {
		return
	}
	text := "Air " + p.with(quantity.DimDensity, a.Density, a.DensitySD)
	if a.DensityAltitude != nil {
		text += ", as at " + p.altitude(a) + " in the standard atmosphere"
	}
	if a.Source != "" {
		text += " (" + airSource(a.Source) + ")"
	}
	p.say("%s.", text)
	if a.Correction != nil {
		p.say("SAE J1349 would correct by %.3f; shown for comparison, it overstates for a boost-controlled engine.", *a.Correction)
	}
}

func airSource(s string) string {
	switch s {
	case "notes":
		return "from the notes"
	case "log":
		return "from the log"
	}
	return s
}

func (p *printer) whereSpeedWent(s *Pass) {
	lines := s.Ledger
	down, back, counted := 0.0, 0.0, 0
	for i := range s.Shifts {
		if d := s.Shifts[i].DurationS; d != nil {
			down += *d
			counted++
		}
		if r := s.Shifts[i].RecoveryS; r != nil {
			back += *r
		}
	}
	if len(lines) == 0 && counted == 0 {
		return
	}
	p.WriteString("\n")
	p.heading("Where the speed went")
	if counted > 0 {
		text := fmt.Sprintf("%s took %s with the torque down", upperFirst(countOf(counted, "shift")), seconds(down))
		if back > 0 {
			text += fmt.Sprintf("; boost took another %s to come back", seconds(back))
		}
		p.say("%s.", text)
	}
	for _, l := range lines {
		if l.SpeedMps != nil {
			p.say("%s (%s): %s.", upperFirst(l.Cause), l.Group, p.with(quantity.DimSpeed, l.SpeedMps, l.SDMps))
		}
	}
}

func countOf(n int, noun string) string {
	words := []string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight"}
	w := fmt.Sprint(n)
	if n < len(words) {
		w = words[n]
	}
	if n != 1 {
		noun += "s"
	}
	return w + " " + noun
}

func ordinal(n int) string {
	names := []string{"neutral", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth"}
	if n >= 0 && n < len(names) {
		return names[n]
	}
	return fmt.Sprintf("%dth", n)
}

func percent(v *float64) string {
	if v == nil {
		return ""
	}
	return fmt.Sprintf("%.1f", 100**v)
}

func plain(v *float64, decimals int) string {
	if v == nil {
		return ""
	}
	return strings.TrimSpace(fmt.Sprintf("%.*f", decimals, *v))
}

// seconds is a sum of times, as precise as it is of use.
func seconds(t float64) string { return fmt.Sprintf("%.2f s", t) }
