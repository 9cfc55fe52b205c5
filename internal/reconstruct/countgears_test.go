package reconstruct

import (
	"math"
	"testing"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/trace"
)

// TestCountGears: neither the engine that the closing clutch draws down nor the rest of one
// fall is a change up, even where tyres had spun up to the speed of the changes and the engine
// falls to the next gear's; a flare before the fall does not hide one, nor the change before it
// within half a second. Invented courses, corners in rpm.
func TestCountGears(t *testing.T) {
	const rpm = math.Pi / 30
	sheet := &car.Sheet{Gears: []float64{2.8, 1.88, 1.4, 1.1, 0.9}, UsualShiftSpeed: []float64{7100 * rpm, 7150 * rpm, 7200 * rpm, 7200 * rpm}}
	type corner struct{ t, rpm float64 }
	pull := []corner{{6.6, 7400}, {6.7, 4960}, {8.6, 7100}, {8.7, 5290}, {11.4, 7150}, {11.5, 5620}, {16, 7250}, {16.1, 5930}, {20, 6900}}
	quick := []corner{{6.6, 7400}, {6.75, 4000}, {7.1, 7300}, {7.35, 3900}, {11.4, 7150}, {11.5, 5620}, {16, 7250}, {16.1, 5930}, {20, 6900}}
	flared := []corner{{6.6, 7300}, {6.63, 7750}, {6.75, 7600}, {6.85, 4960}, {8.6, 7100}, {8.63, 7750}, {8.75, 7600}, {8.85, 5290},
		{11.4, 7150}, {11.43, 7750}, {11.6, 7500}, {11.7, 5620}, {16, 7250}, {16.03, 7750}, {16.15, 7500}, {16.25, 5930}, {20, 6900}}
	for _, c := range []struct {
		name   string
		launch []corner
		pull   []corner
		want   []int // gear at 6, 8, 10, 14 and 19 s
	}{
		{"gripping", []corner{{0, 1000}, {1, 1000}, {1.5, 4800}, {3.6, 4800}, {3.7, 5000}, {4.4, 4300}}, pull, []int{1, 2, 3, 4, 5}},
		{"drawn down from the speed it was held at", []corner{{0, 1000}, {1, 1000}, {1.5, 5400}, {3.6, 5400}, {4.4, 2200}}, pull, []int{1, 2, 3, 4, 5}},
		{"drawn down after a flare", []corner{{0, 1000}, {1, 1000}, {1.5, 4770}, {3.6, 4770}, {3.8, 5300}, {4.4, 2300}}, pull, []int{1, 2, 3, 4, 5}},
		{"spun up at the launch, falls as in a change up", []corner{{0, 1000}, {1, 1000}, {1.5, 4770}, {3.6, 4770}, {3.9, 7300}, {4.5, 4900}}, pull, []int{1, 2, 3, 4, 5}},
		{"spun up in first and second, changes close together", []corner{{0, 1000}, {1, 1000}, {1.5, 4770}, {3.6, 4770}, {3.9, 7300}, {4.3, 1700}}, quick, []int{1, 3, 3, 4, 5}},
		{"flares in changes", []corner{{0, 1000}, {1, 1000}, {1.5, 4770}, {3.6, 4770}, {4.4, 2300}}, flared, []int{1, 2, 3, 4, 5}},
	} {
		var x trace.Trace
		all := append(append([]corner{}, c.launch...), c.pull...)
		for i, u := 0, 0.0; u < 20; u += 0.01 {
			for all[i+1].t < u {
				i++
			}
			a, b := all[i], all[i+1]
			x.T = append(x.T, u)
			x.V = append(x.V, (a.rpm+(b.rpm-a.rpm)*(u-a.t)/(b.t-a.t))*rpm)
		}
		gear := make([]int, len(x.T))
		s := &signals{engine: &dictionary.Channel{Trace: x}}
		s.countGears(gear, sheet, 1300*rpm)
		for k, u := range []float64{6, 8, 10, 14, 19} {
			if got := gear[int(u*100)]; got != c.want[k] {
				t.Errorf("%s: gear %d at %g s, want %d", c.name, got, u, c.want[k])
			}
		}
	}
}
