package car

import (
	"math"

	"traplight/internal/physics/tyre"
	"traplight/internal/quantity"
)

// finishTyres finds the effective rolling radius of driven and undriven tyres from
// whatever was stated: best a rolling radius or circumference, then the unloaded
// radius, the size, the logger's circumference.
func (s *Sheet) finishTyres(w *written, r *reader) {
	driven, undriven := w.tyre[""].over(w.tyre["driven_"]), w.tyre[""].over(w.tyre["undriven_"])
	switch s.Driven {
	case FrontDriven:
		driven, undriven = driven.over(w.tyre["front_"]), undriven.over(w.tyre["rear_"])
	case RearDriven:
		driven, undriven = driven.over(w.tyre["rear_"]), undriven.over(w.tyre["front_"])
	default:
		driven = driven.over(w.tyre["front_"]).over(w.tyre["rear_"])
		undriven = driven
	}
	s.TyreSize = driven.size
	var from, fromUndriven string
	s.TyreRadius, from = driven.radius(s.LoggerCircum)
	s.UndrivenRadius, fromUndriven = undriven.radius(s.LoggerCircum)
	switch from {
	case "":
		s.TyreRadius = quantity.Estimate{Value: defaultRadius, SD: defaultRadiusSD}
		s.assume("tyre rolling radius = %s m", plusMinus(defaultRadius, defaultRadiusSD))
	case "stated":
	default:
		s.assume("tyre rolling radius = %s m (%s)", plusMinus(s.TyreRadius.Value, s.TyreRadius.SD), from)
	}
	if fromUndriven == "" {
		s.UndrivenRadius = quantity.Estimate{Value: defaultRadius, SD: defaultRadiusSD}
		if from != "" {
			s.assume("undriven tyre rolling radius = %s m", plusMinus(defaultRadius, defaultRadiusSD))
		}
	}
	if size, ok := tyre.ParseSize(driven.size); ok {
		if u := driven.unloaded.Value; u > 0 && math.Abs(size.Radius/u-1) > 0.04 {
			r.note("%s: the size %q means a radius of about %.3f m, but unloaded_radius says %.3f m; the latter is used.", s.File, driven.size, size.Radius, u)
		}
		if w.speedSymbol == "" {
			w.speedSymbol = size.SpeedSymbol
		}
	} else if driven.size != "" && driven.bare() {
		r.note("%s: the tyre size %q is not of a form that is known (275/45R17, 26.0x9.5-16, 260/660-18), so it gives no radius.", s.File, driven.size)
	}
	// A written statement goes before the symbol; the owner's limit before both.
	if v, _, ok := tyre.SymbolSpeed(w.speedSymbol); ok && s.TyreSpeedLimit == 0 && s.Limits.TyreSpeed == 0 {
		s.TyreSpeedLimit = v
		s.assume("tyre speed limit = %.0f km/h, from the speed symbol %s", v*3.6, w.speedSymbol)
	}
	if s.Limits.TyreSpeed == 0 {
		s.Limits.TyreSpeed = s.TyreSpeedLimit
	}
	if s.TyreSpeedLimit == 0 {
		s.TyreSpeedLimit = s.Limits.TyreSpeed
	}
	w.tyre["driven_"], w.tyre["undriven_"] = driven, undriven
}

// over gives t with everything that more states put over it.
func (t *wheelText) over(more *wheelText) *wheelText {
	out := *t
	if more.size != "" || !more.bare() {
		// Another tyre: nothing of the general one's dimensions holds.
		out.size, out.unloaded, out.rolling, out.circum = more.size, more.unloaded, more.rolling, more.circum
	}
	if more.inertia.Value > 0 {
		out.inertia = more.inertia
	}
	return &out
}

// bare tells that no dimension but perhaps the size was stated.
func (t *wheelText) bare() bool {
	return missing(t.unloaded) && missing(t.rolling) && missing(t.circum)
}

// radius gives the rolling radius, m, and what it comes from; "" when nothing was
// stated.
func (t *wheelText) radius(logger float64) (quantity.Estimate, string) {
	est := func(v, rel float64) quantity.Estimate { return quantity.Estimate{Value: v, SD: v * rel} }
	switch {
	case !missing(t.rolling):
		return t.rolling, "stated"
	case !missing(t.circum):
		return quantity.Estimate{Value: t.circum.Value / (2 * math.Pi), SD: t.circum.SD / (2 * math.Pi)}, "stated"
	case !missing(t.unloaded):
		u := t.unloaded
		return est(u.Value*tyre.RollingShare, math.Hypot(tyre.RollingShareSD, u.SD/u.Value)), "from the unloaded radius"
	}
	if size, ok := tyre.ParseSize(t.size); ok {
		return est(size.Radius*tyre.RollingShare, math.Hypot(tyre.RollingShareSD, tyreSizeSD)), "from the size"
	}
	if logger > 0 {
		return est(logger/(2*math.Pi), tyreLoggerSD), "from the circumference set in the logger"
	}
	return quantity.Estimate{}, ""
}

func (s *Sheet) finishInertia(w *written) {
	if missing(s.EngineInertia) {
		j, sd := defaultEngineInertia(s.Displacement)
		s.setDefault(&s.EngineInertia, "engine inertia_kg_m2", j, sd)
	}
	wheel := func(t *wheelText, r quantity.Estimate) (j, sd float64) {
		if !missing(t.inertia) {
			return t.inertia.Value, t.inertia.SD
		}
		size, _ := tyre.ParseSize(t.size)
		return defaultWheelInertia(r.Value/tyre.RollingShare, size.Width)
	}
	j, sd := wheel(w.tyre["driven_"], s.TyreRadius)
	wheels, axles := 2.0, 1.0
	if s.Driven == AllDriven {
		wheels, axles = 4, 2
	}
	// The wheels are of one make: their errors go together.
	s.setDefault(&s.DrivenInertia, "driven_inertia_kg_m2", wheels*j+axles*shaftInertia, wheels*sd)
	if s.Driven == AllDriven {
		s.UndrivenInertia = quantity.Estimate{}
		return
	}
	j, sd = wheel(w.tyre["undriven_"], s.UndrivenRadius)
	s.setDefault(&s.UndrivenInertia, "undriven_inertia_kg_m2", 2*j, 2*sd)
}
