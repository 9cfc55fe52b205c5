package car

import (
	"fmt"
	"strings"

	"traplight/internal/physics/tyre"
)

// finishEngine works out injectors, boost, displacement and nitrous, and checks what
// belongs to them.
func (s *Sheet) finishEngine(w *written, r *reader) {
	s.InjectorCount = w.injectorCount
	if w.injectorEach > 0 {
		n := w.injectorCount
		if n == 0 {
			n = s.Cylinders
		}
		switch {
		case s.InjectorFlow > 0:
			r.note("%s: injectors_total_flow is used; injector_flow_each is not.", s.File)
		case n == 0:
			r.note("%s: injector_flow_each needs injector_count or cylinders and was not used.", s.File)
		default:
			s.InjectorFlow, s.InjectorCount = w.injectorEach*float64(n), n
			if w.injectorCount == 0 {
				s.assume("injector_count = %d, one for each cylinder", n)
			}
		}
	}
	if s.InjectorFlow > 0 && s.InjectorFlowPress == 0 {
		s.InjectorFlowPress = defaultInjectorPressure
		from := "the usual rating"
		if s.FuelPressureBase > 0 {
			s.InjectorFlowPress, from = s.FuelPressureBase, "as fuel_pressure_base"
		}
		s.assume("injectors_rated_at_bar = %.3g (%s)", s.InjectorFlowPress/1e5, from)
	}
	s.finishPump(w, r)
	if s.LambdaScale == 0 {
		s.LambdaScale = defaultLambdaScale
		s.assume("lambda_scale_in_afr_columns = %.3g", s.LambdaScale)
	}
	if w.usualBoostOne != 0 {
		if len(s.UsualBoost) > 0 {
			r.note("%s: usual_boost by gear is used; the single figure is not.", s.File)
		} else {
			s.UsualBoost = extend([]float64{w.usualBoostOne}, len(s.Gears))
		}
	}
	if s.Bore > 0 && s.Stroke > 0 && s.Cylinders > 0 {
		swept := 0.7853981633974483 * s.Bore * s.Bore * s.Stroke * float64(s.Cylinders)
		switch {
		case s.Displacement == 0:
			s.Displacement = swept
		case swept > 1.03*s.Displacement || swept < 0.97*s.Displacement:
			r.note("%s: bore, stroke and cylinders give %.3g l, but displacement says %.3g l.", s.File, swept*1e3, s.Displacement*1e3)
		}
	}
	if s.Inducer > 0 && s.Exducer > 0 && s.Exducer <= s.Inducer {
		r.note("%s: a compressor wheel's outlet (exducer), here %.3g mm, is always larger than its inlet (inducer), here %.3g mm: are they exchanged? Neither is used.", s.File, s.Exducer*1e3, s.Inducer*1e3)
	}
	s.finishNitrous(w, r)
	if w.bottlePressure > 0 {
		s.Nitrous.BottlePressure = w.bottlePressure - atmosphere
	}
	s.BoostSetpoint = strings.ToLower(s.BoostSetpoint)
	s.Units = strings.ToLower(s.Units)
	if f, ok := r.at[&s.ValidFrom]; ok {
		if _, ok := parseWhen(s.ValidFrom); !ok {
			r.fail(f.Line, f.Key, fmt.Sprintf("%q is not a date such as 2031-05-17 or 2031-05-17 10:21", s.ValidFrom), ErrImpossible)
			s.ValidFrom = ""
		}
	}
	if f, ok := r.at[&w.speedSymbol]; ok {
		if _, _, ok := tyre.SymbolSpeed(w.speedSymbol); !ok {
			r.fail(f.Line, "[tyres] "+f.Key, fmt.Sprintf("%q is not a speed symbol such as V, W, Y or (Y)", w.speedSymbol), ErrImpossible)
		}
	}
}

// finishNitrous brings the three ways to say wet or dry together.
func (s *Sheet) finishNitrous(w *written, r *reader) {
	var first Reading
	say := func(wet bool, at Reading) {
		if first.Key != "" && s.Nitrous.Wet != wet {
			r.fail(max(at.Line, first.Line), "[nitrous] "+at.Key, "contradicts "+first.Key, ErrImpossible)
		}
		s.Nitrous.Wet, first = wet, at
	}
	if w.nitrousKind != "" {
		say(strings.ToLower(w.nitrousKind) == "wet", r.at[&w.nitrousKind])
	}
	if w.nitrousWet != nil {
		say(*w.nitrousWet, r.at[&w.nitrousWet])
	}
	if w.nitrousDry != nil {
		say(!*w.nitrousDry, r.at[&w.nitrousDry])
	}
	if s.Nitrous.Flow > 0 && first.Key == "" {
		s.assume("nitrous kind = \"dry\"")
	}
}
