package health

import (
	"math"
	"testing"

	"traplight/internal/quantity"
)

// A third gear, from 8 s on, that is leaner at the boost of those before it tells of fuel that
// lacks; a table that grows richer with boost, a richer gear, a little scatter between gears
// and a computer that asks for the leaner mixture do not.
func TestLeanerWithMoreBoost(t *testing.T) {
	gear3 := func(by float64) func(t, speed, boost float64) float64 {
		return func(t, _, _ float64) float64 {
			if t >= 8 && t < 12 {
				return 0.8 + by
			}
			return 0.8
		}
	}
	level := func(float64, float64, float64) float64 { return 0.8 }
	for _, c := range []struct {
		name           string
		lambda, target func(t, speed, boost float64) float64
		want           bool
	}{
		{"level", level, nil, false},
		{"rich with boost", func(_, _, boost float64) float64 { return 0.92 - 0.12*boost/150e3 }, nil, false},
		{"scatter between gears", gear3(0.02), nil, false},
		{"richer gear", gear3(-0.06), nil, true}, // the fourth is leaner again than the third
		{"leaner gear", gear3(0.06), nil, true},
		{"leaner as asked", gear3(0.06), gear3(0.06), false},
		{"not as rich as asked", level, gear3(-0.06), true},
	} {
		add := map[quantity.Name][]func(t, speed, boost float64) float64{quantity.Lambda: {c.lambda}}
		if c.target != nil {
			add[quantity.LambdaTarget] = []func(t, speed, boost float64) float64{c.target}
		}
		j := firstPass(add)
		f := j.frame
		f.alone, f.boostRate = true, rate(f.boost, 4)
		f.nitrous, f.cut = make([]float64, f.n), make([]bool, f.n)
		got := j.leanerWithMore()
		if len(got) > 0 != c.want {
			t.Errorf("%s: %+v", c.name, got)
		}
		if c.want && c.name != "richer gear" && math.Abs(got[0].from-8) > 0.1 {
			t.Errorf("%s: from %.1f s, want the third gear", c.name, got[0].from)
		}
		if f.alone = false; len(j.leanerWithMore()) > 0 {
			t.Errorf("%s: told although the car's own passes tell", c.name)
		}
	}
}

// Boost that stands at 150 kPa where 230 are asked for does not come; where 190 are asked for
// that is left to the watches, and what rises by 40 kPa/s is on its way.
func TestBoostThatDoesNotCome(t *testing.T) {
	for _, c := range []struct {
		target, rises float64
		from          float64 // s; NaN: nothing is to be told
	}{{150e3, 0, nan()}, {190e3, 0, nan()}, {230e3, 0, 6}, {230e3, 40e3, nan()}} {
		j := firstPass(map[quantity.Name][]func(t, speed, boost float64) float64{quantity.ManifoldPressure: {func(_, _, b float64) float64 { return b }}})
		f := j.frame
		f.boostRate, f.target = filled(f.n, c.rises), filled(f.n, c.target)
		got := j.farShort()
		switch {
		case math.IsNaN(c.from):
			if len(got) > 0 {
				t.Errorf("%+v: %+v", c, got)
			}
		case len(got) != 1 || got[0].kind != Underboost || math.Abs(got[0].from-c.from) > 0.8:
			t.Errorf("%+v: %+v", c, got)
		}
	}
}
