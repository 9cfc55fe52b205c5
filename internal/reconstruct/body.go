package reconstruct

import (
	"math"

	"traplight/internal/car"
	"traplight/internal/force"
	"traplight/internal/pass"
	"traplight/internal/quantity"
)

// body is the car as believed before the pass, with the priors of what rolls can tell.
func body(sheet *car.Sheet, note *car.PassNote, strip car.Strip, day *pass.Air, w *sweep) (*force.Body, force.Resistance, force.Surroundings) {
	b := &force.Body{
		Mass: sheet.Mass.Value, DragArea: sheet.DragArea.Value, LiftFront: sheet.LiftFront.Value, LiftRear: sheet.LiftRear.Value,
		Rolling: sheet.RollingResist.Value, FrontShare: sheet.FrontWeightShare.Value, CGHeight: sheet.CGHeight.Value, Wheelbase: sheet.Wheelbase.Value,
		JDriven: sheet.DrivenInertia.Value, JUndriven: sheet.UndrivenInertia.Value, Radius: sheet.TyreRadius.Value, Growth: 3e-6,
	}
	if note != nil && note.MassAdd != 0 && !math.IsNaN(note.MassAdd) {
		b.Mass += note.MassAdd
	}
	switch sheet.Driven {
	case car.FrontDriven:
		b.Driven = force.Front
	case car.RearDriven:
		b.Driven = force.Rear
	default:
		b.Driven = force.All
	}
	if g, sd, ok := w.res.Param("growth"); ok && sd < 1.5e-6 {
		b.Growth = g
	}
	sur := force.Surroundings{Density: 1.2}
	if day != nil && day.Density.Value > 0 {
		sur.Density = day.Density.Value
	}
	wind := quantity.Estimate{Value: 0, SD: 2} // m/s, nobody measured: a light breeze either way
	if note != nil && !math.IsNaN(note.Weather.Headwind) {
		wind.Value = note.Weather.Headwind
		wind.SD = 0.9 // a mast beside the strip, seconds before or after
		if note.Weather.HeadwindS > 0 {
			wind.SD = note.Weather.HeadwindS
		}
	}
	grade := quantity.Estimate{Value: 0, SD: 0.0015} // an airfield: most runways slope less than 0.2 % over half a mile (common practice, no source)
	if !math.IsNaN(strip.Grade) {
		grade = quantity.Estimate{Value: strip.Grade, SD: 0.0003}
	}
	sur.Headwind, sur.Grade = wind.Value, grade.Value
	return b, force.Resistance{DragArea: sheet.DragArea, Rolling: sheet.RollingResist, Headwind: wind, Grade: grade}, sur
}
