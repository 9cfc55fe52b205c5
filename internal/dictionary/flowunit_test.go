package dictionary

import (
	"testing"

	"traplight/internal/logfile"
	"traplight/internal/quantity"
)

// A flow whose name ends in "gps" is in grams a second; a position whose name ends so is the
// receiver's.
func TestGramsPerSecond(t *testing.T) {
	l, _ := aPull()
	n := len(l.Columns[1].Values)
	flow, place := make([]float64, n), make([]float64, n)
	for i := range flow {
		flow[i] = 5 + 60*float64(i)/float64(n)
		place[i] = 42.1 + float64(i)*1e-6
	}
	for _, c := range []struct {
		name, unit string
		values     []float64
		want       quantity.Name
	}{
		{"fuel_flow_gps", "g/s", flow, quantity.FuelFlow},
		{"Fuel Flow (gps)", "g/s", flow, quantity.FuelFlow},
		{"Latitude GPS", "deg", place, quantity.Latitude},
	} {
		l, _ := aPull()
		l.Columns = append(l.Columns, logfile.Column{Name: c.name, Values: c.values})
		if got := identified(t, l).Channels[len(l.Columns)-1]; got.Quantity != c.want || got.Unit != c.unit {
			t.Errorf("%q is %q in %q, want %q in %s", c.name, got.Quantity, got.Unit, c.want, c.unit)
		}
	}
}
