package rainflow

import (
	"cmp"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"traplight/internal/reftest"
)

// e1049 is the history of ASTM E1049-85, figure 6.
var e1049 = []float64{-2, 1, -3, 5, -1, 3, -4, 4, -2}

// count counts the cycles of every turn of x.
func count(x []float64) []Cycle { return Count(Reversals(x, 0)) }

// level is how often one range was counted.
type level struct{ Range, Count float64 }

// byRange adds up cycles of one range, from the smallest.
func byRange(cycles []Cycle) []level {
	s := slices.Clone(cycles)
	slices.SortFunc(s, func(a, b Cycle) int { return cmp.Compare(a.Range(), b.Range()) })
	var out []level
	for _, c := range s {
		if n := len(out); n > 0 && c.Range() == out[n-1].Range {
			out[n-1].Count += c.Count
			continue
		}
		out = append(out, level{c.Range(), c.Count})
	}
	return out
}

// TestStandard holds the standard's own table: section 5.4.4, figure 6 (A).
func TestStandard(t *testing.T) {
	want := []struct{ rng, mean, count, from, to float64 }{
		{3, -0.5, 0.5, -2, 1}, {4, -1, 0.5, 1, -3}, {4, 1, 1, -1, 3}, {8, 1, 0.5, -3, 5}, {9, 0.5, 0.5, 5, -4}, {8, 0, 0.5, -4, 4}, {6, 1, 0.5, 4, -2},
	}
	got := count(e1049)
	if len(got) != len(want) {
		t.Fatalf("%d cycles, want %d: %v", len(got), len(want), got)
	}
	for i, w := range want {
		c := got[i]
		if c.Range() != w.rng || (c.From+c.To)/2 != w.mean || c.Count != w.count || c.From != w.from || c.To != w.to {
			t.Errorf("cycle %d: %+v, range %g, mean %g; want %+v", i+1, c, c.Range(), (c.From+c.To)/2, w)
		}
	}
	levels := byRange(got)
	if want := []level{{3, 0.5}, {4, 1.5}, {6, 0.5}, {8, 1}, {9, 0.5}}; !slices.Equal(levels, want) {
		t.Errorf("%v, want %v", levels, want)
	}
	var history []float64
	table := map[float64]float64{}
	for _, r := range reftest.Rows(t, "rainflow_e1049.csv") {
		switch r["kind"] {
		case "history":
			history = append(history, r.Num(t, "value_or_count"))
		case "summary_by_range":
			table[r.Num(t, "index_or_range")] = r.Num(t, "value_or_count")
		}
	}
	if !slices.Equal(history, e1049) {
		t.Errorf("the table's history is %v", history)
	}
	for _, l := range levels {
		if table[l.Range] != l.Count {
			t.Errorf("range %g: %g, the table has %g", l.Range, l.Count, table[l.Range])
		}
		delete(table, l.Range)
	}
	for r, n := range table {
		if n != 0 {
			t.Errorf("range %g of the table was not counted", r)
		}
	}
}

// TestSineSeries: a longer series with the counts of another library's documentation (A).
func TestSineSeries(t *testing.T) {
	var x []float64
	for i := range 201 {
		u := 4 * float64(i) / 200
		x = append(x, 0.2+0.5*math.Sin(u)+0.2*math.Cos(10*u)+0.2*math.Sin(4*u))
	}
	for i, r := range reftest.Rows(t, "rainflow_sine_series.csv") {
		if v := r.Num(t, "value"); math.Abs(v-x[i]) > 1e-9 {
			t.Fatalf("row %d: %g, formula %g", i, v, x[i])
		}
	}
	want := []level{{0.042589651507, 0.5}, {0.109734394457, 1}, {0.112946280786, 0.5}, {0.205710699116, 1}, {0.214679909416, 1}, {0.438898597978, 1},
		{0.483057480513, 0.5}, {0.528642386654, 0.5}, {0.780933029316, 0.5}, {1.434361017214, 0.5}}
	got := byRange(count(x))
	if len(got) != len(want) {
		t.Fatalf("%v", got)
	}
	for i := range want {
		if math.Abs(got[i].Range-want[i].Range) > 1e-9 || got[i].Count != want[i].Count {
			t.Errorf("%v, want %v", got[i], want[i])
		}
	}
}

// TestMiner: damage and equivalent range on the standard's history (hand-checkable
// arithmetic; references/life.md, D). N = (20/range)^m.
func TestMiner(t *testing.T) {
	c := count(e1049)
	for _, r := range []struct{ m, damage, equivalent float64 }{{3, 0.136750, 6.491112}, {5, 0.021199375, 7.012657}, {8.738, 8.143479e-4, 7.561249}} {
		if d := Damage(c, r.m, 20, 1); math.Abs(d/r.damage-1) > 1e-6 {
			t.Errorf("slope %g: damage %.9g, want %.9g", r.m, d, r.damage)
		}
		rng, n := Equivalent(c, r.m)
		if math.Abs(rng-r.equivalent) > 1e-6 || n != 4 {
			t.Errorf("slope %g: equivalent %.7f in %g cycles, want %.7f in 4", r.m, rng, n, r.equivalent)
		}
		if d := Damage([]Cycle{{0, rng, n}}, r.m, 20, 1); math.Abs(d/r.damage-1) > 1e-6 {
			t.Errorf("slope %g: the equivalent range does %g, the history %g", r.m, d, r.damage)
		}
	}
}

func TestEdges(t *testing.T) {
	for _, r := range []struct {
		name string
		x    []float64
		want []Cycle
	}{
		{"empty", nil, nil},
		{"one point", []float64{3}, nil},
		{"constant", []float64{2, 2, 2}, nil},
		{"never turns", []float64{0, 1, 2, 5}, []Cycle{{0, 5, 0.5}}},
		{"one pulse", []float64{0, 10, 0}, []Cycle{{0, 10, 0.5}, {10, 0, 0.5}}},
		{"gaps are passed over", []float64{0, math.NaN(), 10, 10, math.NaN(), 0}, []Cycle{{0, 10, 0.5}, {10, 0, 0.5}}},
	} {
		if got := count(r.x); !slices.Equal(got, r.want) {
			t.Errorf("%s: %v, want %v", r.name, got, r.want)
		}
	}
	if got := Reversals([]float64{0, 10, 9.5, 10.2, 0, 0.3, -1}, 1); !slices.Equal(got, []float64{0, 10.2, -1}) {
		t.Errorf("gate: %v", got)
	}
	if r, n := Equivalent(nil, 3); r != 0 || n != 0 {
		t.Error("no cycles have a range")
	}
}

func TestProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.SliceOfN(rapid.Float64Range(-100, 100), 0, 60).Draw(t, "x")
		k := rapid.Float64Range(0.1, 10).Draw(t, "scale")
		off := rapid.Float64Range(-50, 50).Draw(t, "offset")
		c := count(x)
		// Every reversal but the last begins half a cycle.
		total := 0.0
		for _, y := range c {
			total += y.Count
			if y.Range() <= 0 {
				t.Fatalf("a cycle without range: %+v", y)
			}
		}
		if n := len(Reversals(x, 0)); n > 0 && math.Abs(total-float64(n-1)/2) > 1e-12 {
			t.Fatalf("%g cycles from %d reversals", total, n)
		}
		// The greatest range is the history's own.
		if len(c) > 0 {
			top := 0.0
			for _, y := range c {
				top = math.Max(top, y.Range())
			}
			if span := slices.Max(x) - slices.Min(x); top != span {
				t.Fatalf("greatest range %g, the history spans %g", top, span)
			}
		}
		// Scale, offset and sign change nothing but the size.
		y := make([]float64, len(x))
		for i := range x {
			y[i] = -k*x[i] + off
		}
		if a, b := Damage(c, 3, 20, 1)*k*k*k, Damage(count(y), 3, 20, 1); math.Abs(a-b) > 1e-6*(a+1e-9) {
			t.Fatalf("damage %g of the scaled history, want %g", b, a)
		}
		// A gate leaves out small ranges only.
		gate := rapid.Float64Range(0, 30).Draw(t, "gate")
		if d := Damage(Count(Reversals(x, gate)), 3, 20, 1); d > Damage(c, 3, 20, 1)*(1+1e-9) {
			t.Fatalf("the gate adds damage: %g", d)
		}
	})
}

func BenchmarkCount(b *testing.B) {
	x := make([]float64, 5000)
	for i := range x {
		x[i] = 100*math.Sin(float64(i)/50) + 20*math.Sin(float64(i)*1.7)
	}
	for b.Loop() {
		count(x)
	}
}
