package health

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"traplight/internal/num/stats"
	"traplight/internal/reftest"
)

func published(t *testing.T, name, column string) []float64 {
	t.Helper()
	var x []float64
	for _, r := range reftest.Rows(t, name) {
		x = append(x, r.Num(t, column))
	}
	return x
}

// The Nile's yearly flow made one step after 1898, of 1097.75 to 849.97 (R package
// strucchange 1.5.3, references/estimation.md), and nothing before or after it; its
// scatter about a level is √15099 (Durbin and Koopman, chapter 2). Levels are medians
// here, so the size is only near that of the means.
func TestCourseOfTheNile(t *testing.T) {
	y := published(t, "nile.csv", "volume_1e8m3")
	usual := math.Sqrt(15099.0)
	c := courseOf(y, usual)
	if c.kind != "step" || c.at != 28 || math.Abs(c.size-(849.97-1097.75)) > 50 || c.chance > 1e-6 {
		t.Errorf("whole series: %+v, want a step at 28", c)
	}
	for _, part := range [][]float64{y[:28], y[28:]} {
		if c := courseOf(part, usual); c.kind != "steady" && c.chance < courseAlarm {
			t.Errorf("a level of the Nile: %+v", c)
		}
	}
	// As many years as a season has passes: ten before the step and ten after it.
	if c := courseOf(y[18:38], usual); c.kind != "step" || math.Abs(float64(c.at-10)) > 1 {
		t.Errorf("twenty years about the step: %+v", c)
	}
}

// The lottery's 218 draws (NIST StRD, univariate) have no course in any twenty.
func TestCourseOfALottery(t *testing.T) {
	y := published(t, "strd_univariate/lottery.csv", "y")
	for i := 0; i+20 <= len(y); i += 20 {
		if c := courseOf(y[i:i+20], 291.699727470969); c.chance < courseAlarm {
			t.Errorf("draws %d to %d: %+v", i, i+20, c)
		}
	}
}

// How often a course is named on a steady series must be no more than its chance
// says, and a clear drift and a clear step each be named for what they are.
func TestCourseIsNamedRight(t *testing.T) {
	const n, series = 20, 1000
	for _, c := range []struct {
		name string
		at   func(i int) float64
		want float64 // share of series, least; of the steady most not steady
	}{
		{"steady", func(int) float64 { return 0 }, 0.985},
		{"drift", func(i int) float64 { return 6 * float64(i) / (n - 1) }, 0.85},
		{"step", func(i int) float64 { return 4 * float64(i/10) }, 0.9},
	} {
		r := rand.New(rand.NewPCG(8, 1))
		right := 0
		for range series {
			var x []float64
			for i := range n {
				x = append(x, c.at(i)+r.NormFloat64())
			}
			got := courseOf(x, 1)
			if got.chance > courseAlarm {
				got.kind = "steady"
			}
			if got.kind == c.name {
				right++
			}
		}
		if p := stats.Binomial(right, series); p.P < c.want {
			t.Errorf("%s: %.1f %% named right, want %.1f", c.name, 100*p.P, 100*c.want)
		} else {
			t.Log(c.name, fmt.Sprintf("%.1f %% (95 %%: %.1f to %.1f)", 100*p.P, 100*p.Low, 100*p.High))
		}
	}
}

// A course must not depend on where zero lies, on the unit or on the sign, and one
// wild pass makes none.
func TestCourseProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.SliceOfN(rapid.Float64Range(-3, 3), 5, 40).Draw(t, "x")
		k := rapid.SampledFrom([]float64{-1000, -1, 0.01, 50}).Draw(t, "unit")
		off := rapid.Float64Range(-100, 100).Draw(t, "zero")
		y := make([]float64, len(x))
		for i, v := range x {
			y[i] = k * (v + off)
		}
		a, b := courseOf(x, 1), courseOf(y, math.Abs(k))
		// Two courses may fit all but alike, so only what is named must stay.
		if a.chance < courseAlarm/2 && b.chance > 2*courseAlarm || a.chance < courseAlarm/2 && a.kind == b.kind && math.Abs(a.size*k-b.size) > 0.01*(math.Abs(k)+math.Abs(b.size)) {
			t.Fatalf("%+v became %+v", a, b)
		}
	})
	wild := make([]float64, 20)
	wild[7] = 30
	if c := courseOf(wild, 1); c.chance < courseAlarm {
		t.Errorf("one wild pass: %+v", c)
	}
}
