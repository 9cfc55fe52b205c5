package logfile

import (
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"traplight/internal/logfile/csv"
	"traplight/internal/logfile/table"
	"traplight/internal/reftest"
)

func noLine(int) int { return 0 }

// ticks gives n stamps from a on, every step, printed to digits decimals.
func ticks(a, step float64, n, digits int) []float64 {
	t := make([]float64, n)
	p := math.Pow(10, float64(digits))
	for i := range t {
		t[i] = math.Round((a+float64(i)*step)*p) / p
	}
	return t
}

func TestRepair(t *testing.T) {
	shift := func(t []float64, from int, by float64) []float64 {
		t = slices.Clone(t)
		for i := from; i < len(t); i++ {
			t[i] += by
		}
		return t
	}
	base := ticks(100, 0.01, 400, 2)
	repeated := slices.Clone(base)
	for _, i := range []int{40, 41, 200, 333} {
		repeated[i] = repeated[i-1]
	}
	midnight := ticks(86398, 0.01, 400, 2)
	for i := range midnight {
		midnight[i] = math.Mod(midnight[i], 86400)
	}
	seconds := make([]float64, 400)
	for i := range seconds {
		seconds[i] = math.Floor(float64(i) * 0.4)
	}
	wandering := func(i int) float64 { return float64(i)*0.005 + 0.05*(1-math.Cos(float64(i)/300)) }
	wander := make([]float64, 3000)
	for i := range wander {
		wander[i] = math.Round(wandering(i)*100) / 100
	}
	blanks := slices.Clone(base)
	blanks[0], blanks[17], blanks[18] = math.NaN(), math.NaN(), math.NaN()
	stray := slices.Clone(base)
	stray[80], stray[399] = 1e300, -7e9
	for _, c := range []struct {
		name      string
		stamps    []float64
		period    float64
		want      func(int) float64 // run time less the first, s
		tolerance float64           // s
		segments  int
	}{
		{"even", base, 0, func(i int) float64 { return float64(i) * 0.01 }, 1e-12 * 100, 0},
		{"repeated stamps", repeated, 0, func(i int) float64 { return float64(i) * 0.01 }, 1e-6, 0},
		{"set back", shift(base, 250, -1.7), 0, func(i int) float64 { return float64(i) * 0.01 }, 1e-9, 2},
		{"midnight", midnight, 86400, func(i int) float64 { return float64(i) * 0.01 }, 1e-9, 0},
		{"gap", shift(base, 250, 3), 0, func(i int) float64 { return float64(i)*0.01 + map[bool]float64{true: 3}[i >= 250] }, 1e-9, 0},
		{"whole seconds, five rows in two", seconds, 0, func(i int) float64 { return float64(i) * 0.4 }, 0.5, 0},
		{"three hundred a second in milliseconds", ticks(0, 1.0/300, 900, 3), 0, func(i int) float64 { return float64(i) / 300 }, 1e-4, 0},
		{"five hundred a second in hundredths", ticks(5, 0.002, 2000, 2), 0, func(i int) float64 { return float64(i) * 0.002 }, 3e-3, 0},
		{"blank times", blanks, 0, func(i int) float64 { return float64(i) * 0.01 }, 1e-6, 0},
		{"off for years", shift(base, 250, 5e8), 0, func(i int) float64 { return float64(i)*0.01 + map[bool]float64{true: 86400 - 0.01}[i >= 250] }, 1e-6, 2},
		{"stray numbers", stray, 0, func(i int) float64 { return float64(i) * 0.01 }, 0.0101, 0},
		{"wandering clock in hundredths", wander, 0, func(i int) float64 { return wandering(i) }, 6e-3, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := repair(c.stamps, c.period, false, nil, nil, noLine)
			for i, x := range r.run {
				if math.Abs(x-r.run[0]-c.want(i)) > c.tolerance {
					t.Fatalf("row %d is at %.6f s, want %.6f", i, x-r.run[0], c.want(i))
				}
			}
			want := c.segments
			if r.origin != 0 && want == 0 {
				want = 1
			}
			if n := len(r.clock.Segments); n != want || math.Abs(r.run[0]) > 0.5 {
				t.Errorf("%d segments of the clock, want %d; it begins at %v s", n, want, r.run[0])
			}
			// The log's own times come back, whatever was done to the run clock.
			for i, x := range r.run {
				s := c.stamps[i]
				if c.period > 0 && i > 0 && s < c.stamps[0] {
					s += c.period
				}
				if d := math.Abs(r.clock.Log(x) - s); math.Abs(s) < 1e9 && d > r.stamp+0.011 && c.name != "repeated stamps" && c.name != "whole seconds, five rows in two" {
					t.Fatalf("row %d: the log's clock gives %.6f s, want %.6f", i, r.clock.Log(x), s)
				}
			}
		})
	}
}

// TestRepairAlwaysRises feeds any stamps at all.
func TestRepairAlwaysRises(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		stamps := rapid.SliceOfN(rapid.OneOf(rapid.Float64Range(-1e6, 1e6), rapid.Float64Range(0, 2),
			rapid.Map(rapid.IntRange(0, 5), func(i int) float64 { return float64(i) / 10 })), 1, 60).Draw(t, "stamps")
		period := rapid.SampledFrom([]float64{0, 3600, 86400}).Draw(t, "period")
		r := repair(stamps, period, false, nil, [][]float64{stamps}, noLine)
		for i, x := range r.run {
			if math.IsNaN(x) || math.IsInf(x, 0) || i > 0 && x <= r.run[i-1] {
				t.Fatalf("row %d at %v after %v", i, x, r.run[max(0, i-1)])
			}
		}
	})
}

// TestJumps sets the clock of reference logs, and takes rows out of them, at many
// places, and asks which of the two it was. Where the channels do not tell it
// must say so; it must never mistake one for the other.
func TestJumps(t *testing.T) {
	dir := reftest.Path(t, "logs")
	counts := map[string]int{}
	for _, name := range []string{"a02_marlin.csv", "b02_heron.csv", "d01_wren_clock.csv"} {
		tb := readShared(t, filepath.Join(dir, name))
		cc, _ := chooseClock(tb)
		var channels [][]float64
		for i := range tb.Columns {
			if i != cc.index {
				channels = append(channels, tb.Columns[i].Values)
			}
		}
		n := len(cc.t)
		step := (cc.t[n-1] - cc.t[0]) / float64(n-1)
		for _, size := range []float64{0.1, 0.7, 2.5} {
			for _, share := range []float64{0.25, 0.4, 0.5, 0.62, 0.71, 0.83} {
				at := int(share * float64(n))
				set := slices.Clone(cc.t)
				for k := at; k < n; k++ {
					set[k] += size
				}
				counts["set:"+kindOf(repair(set, 0, false, nil, channels, noLine))]++
				lost := int(size/step + 0.5)
				cut := func(v []float64) []float64 { return slices.Concat(v[:at], v[at+lost:]) }
				var rest [][]float64
				for _, v := range channels {
					rest = append(rest, cut(v))
				}
				counts["lost:"+kindOf(repair(cut(cc.t), 0, false, nil, rest, noLine))]++
			}
		}
	}
	t.Log(counts)
	if counts["set:lost"] > 0 || counts["lost:set"] > 0 {
		t.Errorf("a clock that was set and rows that are missing were mistaken for each other: %v", counts)
	}
	for _, kind := range []string{"set", "lost"} {
		if all := counts[kind+":set"] + counts[kind+":lost"] + counts[kind+":unclear"]; 10*counts[kind+":"+kind] < 8*all {
			t.Errorf("of %d clocks %s only %d were told", all, kind, counts[kind+":"+kind])
		}
	}
}

func kindOf(r times) string {
	if len(r.clock.Segments) > 1 {
		return "set"
	}
	for _, n := range r.notes {
		switch {
		case strings.Contains(n, "rows are missing for"):
			return "lost"
		case strings.Contains(n, "do not tell"):
			return "unclear"
		}
	}
	return "nothing"
}

func readShared(t *testing.T, path string) *table.Table {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Skip(err)
	}
	defer f.Close()
	tb, err := csv.Read(filepath.Base(path), f, 0)
	if err != nil {
		t.Fatal(err)
	}
	return tb
}
