package app

import (
	"cmp"
	"slices"

	"traplight/internal/forecast"
	"traplight/internal/quantity"
	"traplight/internal/report"
	"traplight/internal/store"
)

// Figure is one number of a pass that is followed over the seasons.
type Figure struct {
	Name  string             `json:"name"`
	Dim   quantity.Dimension `json:"dimension"`
	Value float64            `json:"value"` // SI unit of the dimension
	SD    float64            `json:"sd"`    // the same; 0 not known
}

// Figures are the numbers of a pass that tell how a car ages: its speed and power, and the
// extremes of its channels over the gears.
func Figures(p *report.Pass) []Figure {
	var out []Figure
	add := func(name string, d quantity.Dimension, v, sd *float64) {
		if v != nil {
			f := Figure{name, d, *v, 0}
			if sd != nil {
				f.SD = *sd
			}
			out = append(out, f)
		}
	}
	if p.Trap != nil {
		add("trap speed", quantity.DimSpeed, p.Trap.SpeedMps, p.Trap.SDMps)
	}
	for i := range p.Splits {
		if s := &p.Splits[i]; s.Mark == "60 ft" || s.Mark == "1/2 mile" {
			add("time at "+s.Mark, quantity.DimTime, s.TimeS, s.TimeSDS)
		}
	}
	if p.Power != nil {
		add("peak wheel power", quantity.DimPower, p.Power.PeakWheelW, p.Power.PeakWheelSDW)
	}
	extreme := func(name string, d quantity.Dimension, of func(*report.Gear) *float64, low bool) {
		var best *float64
		for i := range p.Gears {
			if v := of(&p.Gears[i]); v != nil && (best == nil || low && *v < *best || !low && *v > *best) {
				best = v
			}
		}
		add(name, d, best, nil)
	}
	extreme("highest mean boost", quantity.DimPressure, func(g *report.Gear) *float64 { return g.MeanBoost }, false)
	extreme("leanest mixture", quantity.DimMixture, func(g *report.Gear) *float64 { return g.Lambda }, false)
	extreme("hottest exhaust", quantity.DimTemperature, func(g *report.Gear) *float64 { return g.MaxExhaustTemp }, false)
	extreme("hottest charge", quantity.DimTemperature, func(g *report.Gear) *float64 { return g.ChargeTempEnd }, false)
	extreme("lowest fuel over manifold", quantity.DimPressure, func(g *report.Gear) *float64 { return g.MinFuelOverManifold }, true)
	extreme("highest injector duty", quantity.DimShare, func(g *report.Gear) *float64 { return g.MaxInjectorDuty }, false)
	extreme("highest turbo speed", quantity.DimRotation, func(g *report.Gear) *float64 { return g.TurboSpeed }, false)
	extreme("highest back-pressure ratio", quantity.DimNumber, func(g *report.Gear) *float64 { return g.MaxBackPressure }, false)
	extreme("most tyre slip", quantity.DimShare, func(g *report.Gear) *float64 { return g.PeakSlip }, false)
	extreme("most gearbox torque", quantity.DimTorque, func(g *report.Gear) *float64 { return g.PeakGearboxTorque }, false)
	var slowest *float64
	for i := range p.Shifts {
		if v := p.Shifts[i].RecoveryS; v != nil && (slowest == nil || *v > *slowest) {
			slowest = v
		}
	}
	add("slowest boost recovery", quantity.DimTime, slowest, nil)
	if p.AirPath != nil {
		add("cooler effectiveness", quantity.DimShare, p.AirPath.CoolerEffectiveness, nil)
	}
	return out
}

// Outcome is a forecast that was written down and the pass that followed.
type Outcome struct {
	Pass     store.Pass      `json:"pass"`
	Recorded string          `json:"recorded_at"` // UTC
	Said     forecast.Speeds `json:"trap"`
	Score    forecast.Score  `json:"score"`
}

// Record scores the forecasts that were written down against the passes that followed to
// the line, the last forecast of each counting, and sums up how good they have been.
func Record(forecasts []store.Forecast, passes []store.Pass, read func([]byte) (*forecast.Answer, error)) ([]Outcome, forecast.Track) {
	var out []Outcome
	for _, p := range passes {
		if p.NoteKey == "" || p.TrapSpeed == nil || !p.Complete {
			continue
		}
		k := -1
		for i, f := range forecasts {
			if f.Planned == p.NoteKey {
				k = i
			}
		}
		if k < 0 {
			continue
		}
		a, err := read(forecasts[k].Body)
		if err != nil {
			continue
		}
		r := &forecast.Record{Next: p.NoteKey, Forecast: a}
		out = append(out, Outcome{p, forecasts[k].RecordedAt, a.Trap, forecast.ScoreRecord(r, *p.TrapSpeed)})
	}
	slices.SortStableFunc(out, func(a, b Outcome) int { return cmp.Compare(a.Pass.RunAt, b.Pass.RunAt) })
	var scores []forecast.Score
	var sds []float64
	for _, o := range out {
		scores, sds = append(scores, o.Score), append(sds, o.Said.SD)
	}
	return out, forecast.Tracking(scores, sds)
}
