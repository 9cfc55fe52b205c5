package health

import (
	"fmt"
	"math"

	"traplight/internal/quantity"
)

// Limit is a threshold's value with the digits that a person types: small pressures with one
// decimal, turbo speeds in hundreds.
func (t Threshold) Limit(w quantity.World) string {
	d := quantity.DimensionOf(t.Measure)
	u := w.Unit(d)
	switch v := u.Of(t.Value); {
	case d == quantity.DimPressure && math.Abs(v) < 20:
		return fmt.Sprintf("%.1f %s", v, u.Symbol)
	case t.Measure == quantity.TurboSpeed && v > 1e4:
		return fmt.Sprintf("%.0f %s", math.Round(v/100)*100, u.Symbol)
	}
	return w.Value(t.Measure, t.Value)
}
