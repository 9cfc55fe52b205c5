package report

import (
	"traplight/internal/pass"
	"traplight/internal/quantity"
	"traplight/internal/trace"
)

func splitOf(s *pass.Split, clock trace.Clock) Split {
	o := Split{Mark: s.Mark, DistanceM: number(s.Distance), AtS: instant(clock, s.At)}
	o.TimeS, o.TimeSDS = pair(&s.Time)
	o.SpeedMps, o.SpeedSDMps = pair(&s.Speed)
	return o
}

func trapOf(e *quantity.Estimate, window float64) *Trap {
	v, sd := pair(e)
	if v == nil {
		return nil
	}
	return &Trap{SpeedMps: v, SDMps: sd, WindowM: number(window)}
}

func takeUpOf(t *pass.TakeUp, launch float64, clock trace.Clock, m *pass.Motion) *TakeUp {
	if t == nil {
		return nil
	}
	o := &TakeUp{
		Boost: numberOf(t.Boost), ClosedEngine: numberOf(t.ClosedAt), ClosedBoost: numberOf(t.ClosedBoost),
		LowestEngine: numberOf(t.Lowest), SpunS: numberOf(t.Spun),
	}
	o.EngineSpeed, o.EngineSpeedSD = pair(t.EngineSpeed)
	if t.Closed != nil {
		o.ClosedS, o.ClosedSDS = instantPair(clock, t.Closed)
		o.TookS = number(t.Closed.Value - launch)
		_, o.ClosedMps = place(m, t.Closed.Value)
	}
	return o
}

func gearOf(g *pass.GearSpan, clock trace.Clock, m *pass.Motion) Gear {
	o := Gear{
		Gear: g.Gear, StartS: instant(clock, g.Start), EndS: instant(clock, g.End),
		UsedGripMax: numberOf(g.UsedGripMax), UsedGripMean: numberOf(g.UsedGripMean),
		LimitedBy: words(g.LimitedBy),
		MeanBoost: numberOf(g.MeanBoost), BoostTarget: numberOf(g.BoostTarget),
		Lambda: numberOf(g.Lambda), Ignition: numberOf(g.Ignition),
		MaxExhaustTemp: numberOf(g.MaxExhaustTemp), ChargeTempEnd: numberOf(g.ChargeTempEnd),
		MaxInjectorDuty: numberOf(g.MaxInjectorDuty), MinFuelOverManifold: numberOf(g.MinFuelOverManifold),
		MaxBackPressure: numberOf(g.MaxBackPressure), MeanBackPressure: numberOf(g.MeanBackPressure),
		TurboSpeed: numberOf(g.TurboSpeed), ShiftEngineSpeed: numberOf(g.ShiftEngineSpeed),
	}
	o.StartM, o.StartMps = place(m, g.Start)
	o.EndM, o.EndMps = place(m, g.End)
	full := 0.0
	for _, w := range g.FullThrottle {
		full += w.To - w.From
	}
	o.FullThrottleS = number(full)
	o.PeakHubTorque, o.PeakHubTorqueSD = pair(g.PeakHubTorque)
	o.MeanHubTorque, o.MeanHubTorqueSD = pair(g.MeanHubTorque)
	o.PeakWheelTorque, o.PeakWheelTorqueSD = pair(g.PeakWheelTorque)
	o.MeanWheelTorque, o.MeanWheelTorqueSD = pair(g.MeanWheelTorque)
	o.MeanCrankTorque, o.MeanCrankTorqueSD = pair(g.MeanCrankTorque)
	o.PeakGearboxTorque, o.PeakGearboxSD = pair(g.PeakGearboxTorque)
	o.PeakSlip, o.PeakSlipSD = pair(g.PeakSlip)
	o.MeanSlip, o.MeanSlipSD = pair(g.MeanSlip)
	o.CeilingHub, o.CeilingHubSD = pair(g.CeilingHubTorque)
	o.CeilingWheel, o.CeilingWheelSD = pair(g.CeilingWheelTorque)
	o.CeilingEstimate, o.CeilingEstimateSD = pair(g.CeilingEstimate)
	if g.CeilingHubTorque != nil {
		bound := g.CeilingHubTorque.LowerBound
		o.CeilingIsBound = &bound
	}
	return o
}

func shiftOf(s *pass.Shift, clock trace.Clock, m *pass.Motion) Shift {
	o := Shift{
		From: s.From, To: s.To, Missed: s.Missed,
		BoostBefore: numberOf(s.BoostBefore), BoostMin: numberOf(s.BoostMin), BoostTarget: numberOf(s.BoostTarget),
		NitrousS: numberOf(s.NitrousTime),
	}
	o.AtM, o.SpeedMps = place(m, s.Start.Value)
	o.DurationS = number(s.End.Value - s.Start.Value)
	o.StartS, o.StartSDS = instantPair(clock, &s.Start)
	o.EndS, o.EndSDS = instantPair(clock, &s.End)
	o.RecoveryS, o.RecoverySDS = pair(s.Recovery)
	o.ToTargetS, o.ToTargetSDS = pair(s.ToTarget)
	return o
}

func powerOf(p *pass.Power, clock trace.Clock) *Power {
	if p == nil {
		return nil
	}
	o := &Power{
		EngineSpeed: number(p.EngineSpeed), AtS: instant(clock, p.At),
		FuelFlow: numberOf(p.FuelFlow), BackPressureRatio: numberOf(p.BackPressureRatio),
	}
	if p.Gear > 0 {
		gear := p.Gear
		o.Gear = &gear
	}
	o.PeakWheelW, o.PeakWheelSDW = pair(&p.PeakWheel)
	o.CrankW, o.CrankSDW = pair(p.Crank)
	o.ByFuelW, o.ByFuelSDW = pair(p.ByFuel)
	return o
}

func airOf(a *pass.Air) *Air {
	if a == nil {
		return nil
	}
	o := &Air{
		DensityAltitude: number(a.DensityAltitude), Correction: numberOf(a.CorrectionJ1349),
		Temperature: number(a.Temperature), Pressure: number(a.Pressure), Humidity: number(a.Humidity),
		Source: a.Source,
	}
	o.Density, o.DensitySD = pair(&a.Density)
	return o
}

func gripOf(g *pass.Grip) *Grip {
	if g == nil {
		return nil
	}
	o := &Grip{ReachedPeak: g.ReachedPeak}
	o.PeakSlip, o.PeakSlipSD = pair(&g.PeakSlip)
	o.PeakGrip, o.PeakGripSD = pair(&g.PeakGrip)
	return o
}

// place is where the car was at a time on the run clock, s, and how fast: m from
// the staged position and m/s. Both are absent outside the motion's grid.
func place(m *pass.Motion, run float64) (x, v *float64) {
	n := len(m.X)
	if n < 2 || len(m.V) != n || m.Step <= 0 {
		return nil, nil
	}
	at := (run - m.Start) / m.Step
	if !(at >= 0 && at <= float64(n-1)) {
		return nil, nil
	}
	i := min(int(at), n-2)
	f := at - float64(i)
	return number(m.X[i] + f*(m.X[i+1]-m.X[i])), number(m.V[i] + f*(m.V[i+1]-m.V[i]))
}

func airPathOf(a *pass.AirPath) *AirPath {
	if a == nil {
		return nil
	}
	o := &AirPath{
		BarometerSource: a.BarometerSource, ManifoldOffset: number(a.ManifoldOffset.Value),
		ChargeRise: numberOf(a.ChargeRise), CoolerEffectiveness: numberOf(a.CoolerEffectiveness),
		CompressorRise: numberOf(a.CompressorRise), CompressorEfficiency: numberOf(a.CompressorEff),
	}
	o.Barometer, o.BarometerSD = pair(&a.Barometer)
	o.BackPressureGrowth, o.BackPressureGrowthSD = pair(a.BackPressureGrowth)
	o.AirFlow, o.AirFlowSD = pair(a.AirFlow)
	o.VolumetricEfficiency, o.VolumetricEffSD = pair(a.VolumetricEfficiency)
	return o
}

func fuelOf(f *pass.Fuel) *Fuel {
	if f == nil {
		return nil
	}
	o := &Fuel{
		Name: f.Name, Stoich: number(f.Stoich.Value), StoichSource: f.StoichSource, FlowSource: words(f.FlowSource),
		InjectorSpare: numberOf(f.InjectorSpare), PressureLoss: numberOf(f.PressureLoss),
	}
	o.FlowMax, _ = pair(f.FlowMax)
	o.Lambda, _ = pair(f.Lambda)
	o.Efficiency, o.EfficiencySD = pair(f.Efficiency)
	return o
}
