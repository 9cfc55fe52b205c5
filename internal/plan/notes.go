package plan

func (p *Plan) notes(s *search) {
	m := s.m
	l := &m.Sheet.Limits
	var missing []string
	for _, q := range []struct {
		name  string
		limit float64
		meter *meter
	}{{"injector duty", l.MaxInjectorDuty, &s.gauge.duty}, {"back pressure", l.MaxBackPressureRatio, &s.gauge.back}, {"turbo speed", l.MaxTurboSpeed, &s.gauge.turbo}, {"exhaust temperature", l.MaxExhaustTemp, &s.gauge.exhaust}} {
		if q.limit > 0 && !q.meter.known() {
			missing = append(missing, q.name)
		}
	}
	for _, q := range missing {
		p.Notes = append(p.Notes, "the limit of "+q+" is not guarded: no channel of the logs shows it")
	}
	if l.MaxBoost == 0 && len(l.GearboxTorque) == 0 && l.MaxCrankPower == 0 && l.MaxInjectorDuty == 0 {
		p.Notes = append(p.Notes, "the car sheet states no [limits]: nothing but grip, the runway and what was run before holds this plan back")
	}
	if s.base.ShutDown == 0 {
		p.Notes = append(p.Notes, "the strip's shut_down_m is not known: whether the car can be stopped is not judged")
	}
	if l.TyreSpeed == 0 {
		p.Notes = append(p.Notes, "the tyres' speed limit (tyre_speed_kmh) is not known")
	}
	p.Notes = append(p.Notes, "knock, mixture and oil are not part of the plan: read the health of the last pass first",
		"gearbox torque is that of the pull: clutch bites at the launch and in shifts are higher and not in the model, so the stated chance of passing the gearbox's limit is too low; keep a margin")
	if m.Sheet.SlipCut {
		p.Notes = append(p.Notes, "this car's electronics cut torque on slip: the plan keeps that cut from acting, grip is what the tyres show beside it")
	}
	if p.NoCard != "" {
		p.Notes = append([]string{p.NoCard}, p.Notes...)
	}
}
