package health

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// passesOf makes summaries with one watch whose level follows a course.
func passesOf(r *rand.Rand, n int, course func(i int) float64) []Summary {
	var out []Summary
	for i := range n {
		d := trial.digestRows(trialRows(r, 2, -1.5, course(i)+0.05*r.NormFloat64(), 0, 0, 99))
		out = append(out, Summary{Name: fmt.Sprintf("pass %d", i+1), Digests: map[string]*digest{"trial": d}})
	}
	return out
}

// Drift over a season must be told from a step, and both from neither.
func TestTrendsTellDriftFromStep(t *testing.T) {
	specs := map[string]Spec{"trial": {trial}}
	for _, c := range []struct {
		name   string
		course func(i int) float64
	}{
		{"steady", func(int) float64 { return 0 }},
		{"drift", func(i int) float64 { return 0.25 * float64(i) }},
		{"step", func(i int) float64 {
			if i >= 8 {
				return 3
			}
			return 0
		}},
	} {
		r := rand.New(rand.NewPCG(11, 2))
		ts := Trends(passesOf(r, 14, c.course), specs)
		if len(ts) != 1 || ts[0].Course != c.name {
			t.Errorf("%s: %+v", c.name, ts)
			continue
		}
		if c.name == "step" && (ts[0].At != "pass 9" || math.Abs(ts[0].Size-3) > 0.5) {
			t.Errorf("step of %.2f at %s, want 3 at pass 9", ts[0].Size, ts[0].At)
		}
		if c.name == "drift" && math.Abs(ts[0].Size-0.25*13) > 0.8 {
			t.Errorf("drift of %.2f, want 3.25", ts[0].Size)
		}
	}
}

// A threshold's chance of a false trip must be what is said, over many cars: the
// next pass's held extreme lies beyond it in about 1 of 1000; here no more than 8
// of 2000 (more would be one chance in 10 000 for 2 expected).
func TestProtectionFalseTrips(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	trips := 0
	for range 2000 {
		draw := func() float64 { return 345e3 + 9e3*r.NormFloat64() }
		var past []Summary
		for range 8 {
			past = append(past, Summary{Extremes: map[string]float64{"fuel over manifold": draw()}})
		}
		ts := Protection(past)
		if len(ts) != 1 || !ts[0].Below || ts[0].Passes != 8 {
			t.Fatalf("%+v", ts)
		}
		if draw() < ts[0].Value {
			trips++
		}
	}
	if trips > 8 {
		t.Errorf("%d false trips in 2000 passes", trips)
	}
	if ts := Protection([]Summary{{Extremes: map[string]float64{"lambda": 0.8}}}); len(ts) != 0 {
		t.Errorf("a threshold from one pass: %+v", ts)
	}
}

// knockPass makes the digest of a pass whose readings are lognormal about a level
// that grows with engine speed.
func knockPass(r *rand.Rand, scale float64) Summary {
	d := &knockDigest{Bins: map[int][3]float64{}, Counts: map[int]int{}}
	var ratio []float64
	for b := 8; b < 14; b++ {
		level := 0.1 * float64(b) * scale
		var v []float64
		for range 200 {
			v = append(v, level*math.Exp(0.25*r.NormFloat64()))
		}
		q := quantiles(v)
		d.Bins[b], d.Counts[b] = q, len(v)
		for _, x := range v {
			ratio = append(ratio, x/q[1])
		}
	}
	d.N = len(ratio)
	d.High = upperTenth(ratio)
	return Summary{Name: "k", Knock: map[string]*knockDigest{"front": d}}
}

func TestKnockBackground(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		var past []Summary
		for range 6 {
			past = append(past, knockPass(r, 1))
		}
		bs := KnockBackgrounds(past)
		if len(bs) != 1 || len(bs[0].Bins) != 6 {
			t.Fatalf("%+v", bs)
		}
		// For a lognormal of 0.25 the 0.9999 quantile over the 0.9 quantile is
		// exp(0.25·(3.719 − 1.282)) = 1.84; raised by the spread between passes.
		if x := bs[0].Rare; x < 1.6 || x > 2.8 {
			t.Fatalf("rare ratio %.2f, want about 1.84 and a little more", x)
		}
		// A run at three times the level fixes where it knocks; a quiet one fixes
		// nothing.
		if p := ProvokedLevels(knockPass(r, 3), bs); len(p) != 1 || !p[0].Found || p[0].Ratio < bs[0].Rare {
			t.Fatalf("provoked: %+v", p)
		}
		if p := ProvokedLevels(knockPass(r, 1), bs); len(p) != 1 || p[0].Found {
			t.Fatalf("quiet run: %+v", p)
		}
	})
}
