package reconstruct

import "testing"

// TestLate: of a log that begins at speed only a pull that lasts is a run.
func TestLate(t *testing.T) {
	for _, c := range []struct {
		name   string
		pieces [][3]float64 // s, m/s from, m/s to
		want   bool
	}{
		{"the second half of a pass", [][3]float64{{7, 45, 80}, {8, 80, 0}}, true},
		{"a lift right behind the start", [][3]float64{{1, 70, 74}, {8, 74, 0}}, false},
		{"a drive that gains speed slowly", [][3]float64{{40, 16, 40}, {20, 40, 0}}, false},
	} {
		k := speeds(c.pieces...)
		_, _, late := k.passes()
		if got := late != nil && k.lasts(late); got != c.want {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}
