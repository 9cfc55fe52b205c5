package forecast

import (
	"fmt"
	"strings"

	"traplight/internal/quantity"
)

// The words of a forecast, the same in text, card and pages. What is said first is the
// mean, by which forecasts are scored and plans compared; beside it stands the interval.

// Text prints what is expected, with its standard deviation.
func (s Speeds) Text(w quantity.World) string {
	return w.Estimate(quantity.DimSpeed, quantity.Estimate{Value: s.Mean, SD: s.SD})
}

// Span prints the bounds that hold nine passes in ten, with a word between them.
func (s Speeds) Span(w quantity.World, word string) string {
	return w.Between(quantity.DimSpeed, s.P05, s.P95, s.SD, word)
}

// Text prints what is expected, with its standard deviation.
func (t Times) Text(w quantity.World) string {
	return w.Estimate(quantity.DimTime, quantity.Estimate{Value: t.Mean, SD: t.SD})
}

// Text prints the middle distance.
func (d Distances) Text(w quantity.World) string {
	return w.Rounded(quantity.DimLength, d.P50, d.SD())
}

// Far prints the distance that one pass in twenty passes.
func (d Distances) Far(w quantity.World) string {
	return w.Rounded(quantity.DimLength, d.P95, d.SD())
}

// TopText prints the highest speed, and TopFar the one that one pass in twenty passes.
func (a *Answer) TopText(w quantity.World) string {
	return w.Rounded(quantity.DimSpeed, a.Top, a.Trap.SD)
}

// TopFar prints the speed that one pass in twenty passes.
func (a *Answer) TopFar(w quantity.World) string {
	return w.Rounded(quantity.DimSpeed, a.TopP95, a.Trap.SD)
}

// Sentence says trap speed, interval and the chance of the target, without a full stop.
func (a *Answer) Sentence(w quantity.World) string {
	return fmt.Sprintf("%s at the trap, %s", a.Trap.Text(w), a.Odds(w))
}

// Odds says the interval of the trap speed and the chance of the target, without a full stop.
func (a *Answer) Odds(w quantity.World) string {
	t := "nine times in ten between " + a.Trap.Span(w, "and")
	if a.Target != nil {
		t += "; the chance of " + a.Target.Text(w)
	}
	return t
}

// Text says the chance, as in "192.00 mph is 40 %".
func (t *Target) Text(w quantity.World) string {
	return w.Stated(quantity.DimSpeed, t.Speed) + " is " + Percent(t.Chance)
}

// Stop says how far the car runs after the line, and how far it may; from is where the
// deceleration comes from, "" unsaid.
func (a *Answer) Stop(w quantity.World, from string) string {
	if from != "" {
		from = " (" + from + ")"
	}
	t := fmt.Sprintf("%s, one pass in twenty over %s, braking at %.2f g%s from one second after the line", a.Stopping.Text(w), a.Stopping.Far(w), a.Decel/gravity, from)
	if a.ShutDown > 0 {
		return t + "; the strip has " + w.Stated(quantity.DimLength, a.ShutDown)
	}
	return t + "; the strip's shut-down length is not stated"
}

// Percent prints a chance, 0–1, without claiming certainty.
func Percent(c float64) string {
	switch {
	case c > 0.995:
		return "over 99 %"
	case c < 0.0005:
		return "under 0.1 %"
	case c < 0.02:
		return strings.TrimSuffix(fmt.Sprintf("%.1f", 100*c), ".0") + " %"
	}
	return fmt.Sprintf("%.0f %%", 100*c)
}
