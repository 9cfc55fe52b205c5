package forecast_test

import (
	"math"
	"testing"

	"traplight/internal/forecast"
)

// What the spread is made of adds up to it, in squares, and wind that is known less is a
// larger part of it.
func TestParts(t *testing.T) {
	m := model(t)
	of := func(sd float64) (total, wind float64, n *forecast.Next) {
		p := plain()
		p.Weather.HeadwindS = sd
		n = prepare(t, m, p)
		parts, err := forecast.Parts(t.Context(), m, n, 200)
		if err != nil {
			t.Fatal(err)
		}
		for _, x := range parts {
			total = math.Hypot(total, x.SD)
			if x.Name == "wind" {
				wind = x.SD
			}
		}
		return total, wind, n
	}
	sure, less, _ := of(0.2)
	total, more, n := of(1.2)
	r, err := forecast.Run(t.Context(), m, n, forecast.Options{Draws: 400})
	if err != nil {
		t.Fatal(err)
	}
	if all := r.Trap.SD; math.Abs(total/all-1) > 0.15 {
		t.Errorf("the parts come to %.3f m/s, the forecast's spread is %.3f", total, r.Trap.SD)
	}
	if more < 3*less || total <= sure {
		t.Errorf("wind ± 0.2 m/s: %.3f of %.3f m/s; ± 1.2: %.3f of %.3f", less, sure, more, total)
	}
}
