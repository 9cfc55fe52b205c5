package report

import (
	"fmt"

	"traplight/internal/quantity"
)

// When a launch is named by what went wrong with it. Common practice, no source.
const (
	boggedUnder = 0.5  // of the engine speed held, below which the engine was drawn
	lineBoostSD = 3e3  // Pa, to which boost at the line is told: it rises or falls there
	spunOver    = 0.25 // s of tyre slip past the peak of grip
)

// Bogged tells that the clutch drew the engine far below the speed at which it was held.
func (t *TakeUp) Bogged() bool {
	return t != nil && t.EngineSpeed != nil && t.LowestEngine != nil && *t.LowestEngine < boggedUnder**t.EngineSpeed
}

// Text is the launch in a sentence, "" where nothing is known of it.
func (t *TakeUp) Text(w quantity.World) string {
	if t == nil {
		return ""
	}
	say := func(d quantity.Dimension, v, sd float64) string {
		return w.Estimate(d, quantity.Estimate{Value: v, SD: sd})
	}
	text := ""
	if t.EngineSpeed != nil {
		text = "held at " + say(quantity.DimRotation, *t.EngineSpeed, 0)
		if t.Boost != nil {
			text += " and " + w.Rounded(quantity.DimPressure, *t.Boost, lineBoostSD)
		}
	}
	if t.TookS != nil {
		if text != "" {
			text += "; "
		}
		sd := 0.0
		if t.ClosedSDS != nil {
			sd = *t.ClosedSDS
		}
		text += fmt.Sprintf("the clutch closed %s after the car moved", say(quantity.DimTime, *t.TookS, sd))
		if t.ClosedEngine != nil {
			text += ", at " + say(quantity.DimRotation, *t.ClosedEngine, 0)
		}
	}
	if text == "" {
		return ""
	}
	text = "Launch: " + text
	if t.Bogged() {
		text += ". The engine bogged: it fell to " + say(quantity.DimRotation, *t.LowestEngine, 0)
	}
	if t.SpunS != nil && *t.SpunS > spunOver {
		text += fmt.Sprintf(". The tyres spun for %.1f s", *t.SpunS)
	}
	return text + "."
}
