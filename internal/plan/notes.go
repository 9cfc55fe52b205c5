package plan

import (
	"fmt"
	"slices"
	"strings"
)

func (p *Plan) notes(s *search) {
	m := s.m
	l := &m.Sheet.Limits
	p.Notes = append(p.Notes, p.slipping(s.opt.Risk)...)
	for _, q := range s.unguarded() {
		text := "the limit of " + q + " is not guarded: no channel of the logs shows it; the engine is kept near the highest pressure it was run at"
		if _, ok := s.unread[q]; ok {
			text = "no channel of the logs shows the limit of " + q + ": it is worked out from " + s.workedFrom(q) + ", and what was run is taken to hold it"
			if q == turboSpeed && s.rotor.spread == 0 {
				text += "; the compressor's digitised map (compressor_map) or its wheel (compressor_inducer_mm, compressor_exducer_mm) in the sheet would tell it better"
			}
		}
		p.Notes = append(p.Notes, text)
		if q == turboSpeed && s.opt.NoMap != "" {
			p.Notes = append(p.Notes, s.opt.NoMap)
		}
	}
	if text := s.pumpNote(p.Limits); text != "" {
		p.Notes = append(p.Notes, text)
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
	p.Notes = append(p.Notes, "knock, mixture and oil are not part of the plan: read the health of the last pass first")
	if len(l.GearboxTorque) > 0 && m.Mean.Car.Clutch.Capacity <= 0 {
		p.Notes = append(p.Notes, "gearbox torque is that of the pull: the clutch's bite at the launch and in shifts is higher and not known without clutch_torque_rating_nm in the sheet; keep a margin")
	}
	if holds(s.opt.Findings) {
		p.Notes = append(p.Notes, "the health screen found what speaks against more boost: it is not raised anywhere")
	}
	p.Notes = append(p.Notes, s.cutNotes(p.cutting(s.opt.Risk))...)
	if p.NoCard != "" {
		p.Notes = append([]string{p.NoCard}, p.Notes...)
	}
}

// workedFrom is what a limit that no channel shows is worked out from.
func (s *search) workedFrom(limit string) string {
	switch {
	case limit == turboSpeed && s.rotor.chart != nil:
		return "the compressor's map"
	case limit == turboSpeed && s.rotor.radius > 0:
		return "the compressor's wheel"
	case limit == injectors:
		if flow, _ := s.metered(); flow > 0 {
			return "the fuel flow that the logs show"
		}
	}
	return "the car sheet"
}

// pumpNote says what is known of the fuel pump and what would tell more, where it is not measured.
func (s *search) pumpNote(limits []Limit) string {
	u, ok := s.unread[fuelSupply]
	sheet := s.m.Sheet
	if !ok || sheet.FuelPumpMeasured {
		return ""
	}
	used := fmt.Sprintf("%.0f %% of what it brings was used at most (± %.0f %% of that)", 100*min(1, u.share), 100*u.spread)
	text := "fuel supply: by the sheet's pump " + used
	if len(sheet.FuelPumpFlow) == 0 {
		text = "fuel supply: the car sheet states no pump (fuel_pumps_total_flow_l_h, fuel_pumps_rated_at_bar); by its injectors " + used + ", a guess, which counts as a soft limit: have rail pressure and lambda stop the pass"
	}
	for _, l := range limits {
		if l.Limit == fuelSupply && (l.Binds || l.Chance > supplyHolds) {
			return text + "; it holds this plan back: the flow measured in the car at full boost's rail pressure (fuel_pumps_measured) would tell it to some 5 %"
		}
	}
	return text
}

// unguarded are the stated limits that no channel of the logs shows.
func (s *search) unguarded() []string {
	l := &s.m.Sheet.Limits
	var out []string
	for _, q := range []struct {
		name  string
		limit float64
		meter *meter
	}{{injectors, l.MaxInjectorDuty, &s.gauge.duty}, {backPressure, l.MaxBackPressureRatio, &s.gauge.back},
		{turboSpeed, l.MaxTurboSpeed, &s.gauge.turbo}, {exhaustTemp, l.MaxExhaustTemp, &s.gauge.exhaust}} {
		if q.limit > 0 && !q.meter.known() {
			out = append(out, q.name)
		}
	}
	return out
}

// keptGear is a gear that passes a soft limit more often than is accepted and stays as
// it was run.
type keptGear struct {
	gear   int
	cut    bool // it is the electronics that act
	beyond bool // even the least boost that the model is believed for passes it; else less costs too much
}

func (k keptGear) text(risk float64) string {
	what := "the tyres slip past their peak"
	if k.cut {
		what = "the electronics cut torque on slip"
	}
	why := "less boost would cost more than it saves"
	if k.beyond {
		why = "no boost that the model is believed for would keep them from it"
	}
	return fmt.Sprintf("in gear %d %s more often than the accepted %s, but %s: it stays as it was run", k.gear, what, Percent(risk), why)
}

// slipping says of gears beside the kept ones that their tyres slip past their peak more often than
// is accepted, 0–1: a plan may leave that as the settings run have it (see softHeld).
func (p *Plan) slipping(risk float64) []string {
	var out []string
	for _, l := range p.Limits {
		if l.Limit == gripLimit && l.Chance > risk+slackSoft && !slices.ContainsFunc(p.kept, func(k keptGear) bool { return k.gear == l.Gear }) {
			out = append(out, fmt.Sprintf("in gear %d the tyres slip past their peak more often (%s) than the accepted %s, about as often as with the settings run", l.Gear, Percent(l.Chance), Percent(risk)))
		}
	}
	return out
}

// cutting are the gears in which the electronics act more often than is accepted.
func (p *Plan) cutting(risk float64) []string {
	var out []string
	for _, l := range p.Limits {
		if l.Limit == torqueCut && l.Chance > risk {
			out = append(out, fmt.Sprint(l.Gear))
		}
	}
	return out
}

// cutNotes tell traction control from grip: where electronics held the torque back the
// tyres have not shown what they carry.
func (s *search) cutNotes(still []string) []string {
	m := s.m
	acted := make([]bool, len(m.Mean.Car.Ratios))
	for _, p := range m.Passes {
		for _, g := range p.Obs.Gears {
			if g.Cut && g.Gear >= 1 && g.Gear <= len(acted) && p.Weight >= 0.5 {
				acted[g.Gear-1] = true
			}
		}
	}
	var where []string
	for g, a := range acted {
		if a {
			where = append(where, fmt.Sprint(g+1))
		}
	}
	var out []string
	if len(where) > 0 {
		out = append(out, "in gear "+strings.Join(where, ", ")+" the electronics cut torque: what the tyres carry there is known as 'at least' only")
	}
	switch {
	case m.Sheet.SlipCut && len(still) > 0:
		out = append(out, "with these settings the electronics still cut torque in gear "+strings.Join(still, ", ")+", as with those run: boost is not raised there")
	case m.Sheet.SlipCut:
		out = append(out, "this car's electronics cut torque on slip: with these settings they hardly act (limit 'torque cut'); the chance of slip past the peak holds with the cut in place")
	}
	return out
}
