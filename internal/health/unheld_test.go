package health

import (
	"fmt"
	"strings"
	"testing"
)

// A wastegate that gives 60 kPa where 34 are asked for in second gear, and holds 150 in third
// and fourth, holds no less: said, not judged. One that held 34 for a while and then did not,
// one that holds no gear's target, and one that gives more than any gear is to have are judged.
// With one or two earlier passes it counts whether they all had it; with more, habits say it.
func TestUnheldTargetsOfLowGears(t *testing.T) {
	so := Summary{Practice: []Kind{Overboost}}
	strong := func(g int, _ float64) float64 {
		return map[int]float64{2: 60e3}[g] + map[bool]float64{true: 150e3}[g != 2]
	}
	for _, c := range []struct {
		name  string
		boost func(gear int, since float64) float64 // Pa
		past  []Summary
		want  string
	}{
		{"spring too strong", strong, nil, "[2]"},
		{"so on the pass before", strong, []Summary{so}, "[2]"},
		{"not so on the pass before", strong, []Summary{{}}, "[]"},
		{"so on one of two passes", strong, []Summary{so, {}}, "[]"},
		{"a habit", strong, []Summary{so, so, so}, "[]"},
		{"held at first", func(g int, since float64) float64 {
			switch {
			case g != 2:
				return 150e3
			case since < 1.5:
				return 34e3
			}
			return 60e3
		}, nil, "[]"},
		{"none is held", func(int, float64) float64 { return 190e3 }, nil, "[]"},
		{"more than any gear's", func(g int, _ float64) float64 { return map[bool]float64{true: 150e3, false: 170e3}[g != 2] }, nil, "[]"},
	} {
		j := firstPass(nil)
		f := j.frame
		j.past, f.alone, f.target = c.past, len(c.past) == 0, filled(f.n, 150e3)
		for i, g := range f.gear {
			if g == 2 {
				f.target[i] = 34e3
			}
			if g > 0 {
				f.boost[i] = c.boost(g, f.since[i])
			}
		}
		gears, _, _ := j.unjudgedGears()
		if got := fmt.Sprint(gears); got != c.want {
			t.Errorf("%s: gears %s, want %s", c.name, got, c.want)
		}
		if s := j.unheldText(); strings.Contains(s, "60 kPa where 34 kPa is asked for in second gear") != (c.want == "[2]") {
			t.Errorf("%s: %q", c.name, s)
		}
	}
}
