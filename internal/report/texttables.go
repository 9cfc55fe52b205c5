package report

import (
	"fmt"
	"math"

	"traplight/internal/quantity"
)

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
	t.column("torque", "mean "+p.unit(quantity.DimTorque))
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
			p.bare(quantity.DimTorque, g.PeakWheelTorque, g.PeakWheelTorqueSD), carry,
			p.bare(quantity.DimShare, g.PeakSlip, g.PeakSlipSD), plain(g.UsedGripMean, 2), p.cell(quantity.DimRotation, g.ShiftEngineSpeed, nil), held)
	}
	return t
}

// engineTable tells how the engine ran in each gear: which of a gear's readings each column
// holds stands with its unit.
func (p *printer) engineTable(s *Pass) *table {
	t := new(table)
	t.leftColumn("Gear")
	t.column("boost", "mean "+p.unit(quantity.DimPressure))
	t.column("target", p.unit(quantity.DimPressure))
	t.column("mixture", p.mixtureName())
	t.column("ignition", "deg")
	t.column("exhaust", "peak "+p.unit(quantity.DimTemperature))
	t.column("charge", "end "+p.unit(quantity.DimTemperature))
	t.column("injectors", "peak %")
	t.column("fuel over boost", "least "+p.unit(quantity.DimPressure))
	t.column("back pressure", "peak ratio")
	t.column("turbo", "peak rpm")
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
