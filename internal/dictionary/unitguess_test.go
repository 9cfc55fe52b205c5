package dictionary

import (
	"testing"

	"traplight/internal/quantity"
)

// Exhaust temperatures in °C of which two or three in a hundred are a loose plug's leaps
// beyond what any exhaust reaches: the file's unit stands. All of them twice as high: it does not.
func TestLeapsGiveNoUnitTheLie(t *testing.T) {
	for name, wild := range map[string]int{"none": 0, "one in 37": 37, "all": 1} {
		v := make([]float64, 400)
		for i := range v {
			v[i] = 650 + float64(i%200)
			if wild > 0 && i%wild == 0 {
				v[i] += 900
			}
		}
		b := look(v)
		r := fitUnit(quantity.ExhaustTemperature, quantity.MustUnit("°C"), true, &b, &context{})
		if wild != 1 && (r.unit.Symbol != "°C" || r.fit < 0.5) || wild == 1 && r.unit.Symbol == "°C" {
			t.Errorf("%s wild: read in %s with fit %.2f", name, r.unit.Symbol, r.fit)
		}
	}
}
