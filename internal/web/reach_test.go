package web

import (
	"math"
	"slices"
	"testing"

	"traplight/internal/app"
	"traplight/internal/quantity"
)

// TestReachTellsWhatIsSet: a form left blank is filled with what the forecast was worked out for,
// in steps of the sliders and within what they reach.
func TestReachTellsWhatIsSet(t *testing.T) {
	const psi, turn = 6894.757, math.Pi / 30
	c := &app.Coming{Boost: []float64{17.43 * psi, 27.58 * psi}, Shift: []float64{7654 * turn},
		Range: &app.Range{Boost: [][2]float64{{14 * psi, 19 * psi}, {22 * psi, 30 * psi}}, Shift: [][2]float64{{7000 * turn, 7900 * turn}}, Ran: []float64{17.43 * psi, 27.58 * psi}}}
	r := reachOf(c, quantity.Imperial)
	if !slices.Equal(r.SetBoost, []float64{17.4, 27.6}) || !slices.Equal(r.SetShift, []float64{7650}) {
		t.Errorf("set %v psi, %v rpm", r.SetBoost, r.SetShift)
	}
	for g, b := range r.Boost {
		if r.SetBoost[g] < b[0] || r.SetBoost[g] > b[1] {
			t.Errorf("gear %d: %v outside of %v", g+1, r.SetBoost[g], b)
		}
	}
	if r := reachOf(c, quantity.Metric); !slices.Equal(r.SetBoost, []float64{120, 190}) {
		t.Errorf("set %v kPa", r.SetBoost)
	}
}
