package report

import (
	"fmt"
	"slices"
	"strings"

	"traplight/internal/dictionary"
	"traplight/internal/quantity"
)

// byChannel lists results that rest on a channel: when the result is null in
// every gear (or in every shift) and the log lacks the channel, a note says so.
var byChannel = []struct {
	what     string
	absent   func(p *Pass) bool
	needs    []quantity.Name // any of them would give it
	sentence string
}{
	{"lambda", inAllGears(func(g *Gear) bool { return g.Lambda == nil }), []quantity.Name{quantity.Lambda}, "no lambda by gear: the log has no lambda or air-fuel channel"},
	{"ignition", inAllGears(func(g *Gear) bool { return g.Ignition == nil }), []quantity.Name{quantity.IgnitionAngle}, "no ignition angle by gear: the log has no channel for it"},
	{"exhaust temperature", inAllGears(func(g *Gear) bool { return g.MaxExhaustTemp == nil }), []quantity.Name{quantity.ExhaustTemperature}, "no exhaust temperature: the log has no channel for it"},
	{"charge temperature", inAllGears(func(g *Gear) bool { return g.ChargeTempEnd == nil }), []quantity.Name{quantity.ChargeTemperature, quantity.IntakeTemperature}, "no charge temperature: the log has no channel for charge or intake temperature"},
	{"injector duty", inAllGears(func(g *Gear) bool { return g.MaxInjectorDuty == nil }), []quantity.Name{quantity.InjectorDuty}, "no injector duty: the log has no channel for it"},
	{"fuel pressure", inAllGears(func(g *Gear) bool { return g.MinFuelOverManifold == nil }), []quantity.Name{quantity.FuelPressure}, "no fuel pressure over manifold pressure: the log has no channel for fuel pressure"},
	{"back-pressure ratio", func(p *Pass) bool {
		return inAllGears(func(g *Gear) bool { return g.MaxBackPressure == nil })(p) || len(p.Gears) == 0 && p.Power != nil && p.Power.BackPressureRatio == nil
	}, []quantity.Name{quantity.ExhaustPressure}, "no back-pressure ratio: the log has no channel for turbine inlet pressure"},
	{"turbo speed", inAllGears(func(g *Gear) bool { return g.TurboSpeed == nil }), []quantity.Name{quantity.TurboSpeed}, "no turbo speed: the log has no channel for it"},
	{"boost", inAllGears(func(g *Gear) bool { return g.MeanBoost == nil }), []quantity.Name{quantity.ManifoldPressure}, "no boost and no boost recovery: the log has no channel for manifold pressure"},
	{"shift engine speed", inAllGears(func(g *Gear) bool { return g.ShiftEngineSpeed == nil }), []quantity.Name{quantity.EngineSpeed}, "no engine speed at the shifts: the log has no channel for engine speed"},
	{"tyre slip", inAllGears(func(g *Gear) bool { return g.PeakSlip == nil }), []quantity.Name{quantity.WheelSpeedFL, quantity.WheelSpeedFR, quantity.WheelSpeedRL, quantity.WheelSpeedRR, quantity.DrivenSpeed, quantity.EngineSpeed}, "no tyre slip: the log has no channel for the driven wheels' speed or engine speed"},
	{"power by fuel", func(p *Pass) bool { return p.Power != nil && p.Power.ByFuelW == nil }, []quantity.Name{quantity.FuelFlow, quantity.FuelVolumeFlow, quantity.InjectorDuty}, "no power by fuel: the log has no channel for fuel flow or injector duty"},
}

func inAllGears(absent func(g *Gear) bool) func(p *Pass) bool {
	return func(p *Pass) bool {
		for i := range p.Gears {
			if !absent(&p.Gears[i]) {
				return false
			}
		}
		return len(p.Gears) > 0
	}
}

// explain adds to the pass's notes the reasons for what is null that the pass
// itself did not give.
func explain(p *Pass, s *Source, opts Options) {
	add := func(sentence string) {
		if !slices.Contains(p.Notes, sentence) {
			p.Notes = append(p.Notes, sentence)
		}
	}
	for _, r := range byChannel {
		if r.absent(p) && !has(s.Set, r.needs) && !mentions(p.Notes, "no "+r.what) {
			add(r.sentence)
		}
	}
	if len(p.Gears) == 0 && !mentions(p.Notes, "no gears") {
		switch {
		case !has(s.Set, []quantity.Name{quantity.EngineSpeed}):
			add("no gears, shifts, torque by gear: the log has no channel for engine speed")
		default:
			add("no gears could be told from engine speed and road speed")
		}
	}
	if p.Trap == nil && !mentions(p.Notes, "trap") {
		if p.DistanceM != nil {
			add(fmt.Sprintf("no trap speed: the car was not seen to reach the line at %.1f m", *p.DistanceM))
		} else {
			add("no trap speed: the strip's length is not known")
		}
	}
	if p.Power == nil && !mentions(p.Notes, "no peak power") {
		add("no peak power: no stretch of full throttle more than 0.5 s after a shift was seen")
	}
	if p.Air == nil && !mentions(p.Notes, "air") {
		add("no air density: neither the notes nor the log give temperature and pressure")
	}
	if p.LiftS == nil && !mentions(p.Notes, "lift") {
		add("no final lift was seen: the log ends before it")
	}
	if p.Ledger == nil && !slices.Contains(opts.Without, "ledger") && !mentions(p.Notes, "ledger") {
		add("no ledger of lost speed: no car model was fitted")
	}
	if p.Health == nil && !mentions(p.Notes, "health") {
		add("no health verdict: nothing was judged")
	}
}

func has(set *dictionary.Set, any []quantity.Name) bool {
	if set == nil {
		return false
	}
	for _, q := range any {
		if set.First(q) != nil {
			return true
		}
	}
	return false
}

func mentions(notes []string, word string) bool {
	for _, n := range notes {
		if strings.Contains(strings.ToLower(n), word) {
			return true
		}
	}
	return false
}
