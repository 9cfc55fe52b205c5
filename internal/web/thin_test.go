package web

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"traplight/internal/trace"
)

// TestThin: whatever the samples, their order, ends, lowest and highest stay.
func TestThin(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.SliceOfN(rapid.Float64Range(-1e6, 1e6), 1, 3000).Draw(t, "v")
		points := rapid.IntRange(2, 500).Draw(t, "points")
		x := trace.Trace{T: make([]float64, len(v)), V: v}
		for i := range x.T {
			x.T[i] = float64(i)
		}
		k := thin(x, points)
		if len(k) > points+2 && len(v) > points {
			t.Fatalf("%d points of %d asked", len(k), points)
		}
		if !slices.IsSorted(k) || k[0] != 0 || k[len(k)-1] != len(v)-1 {
			t.Fatalf("order or ends are lost: %v", k)
		}
		var kept []float64
		for _, i := range k {
			kept = append(kept, v[i])
		}
		if slices.Min(kept) != slices.Min(v) || slices.Max(kept) != slices.Max(v) {
			t.Fatal("lowest or highest is lost")
		}
	})
}

func TestShort(t *testing.T) {
	for _, c := range []struct{ in, want float64 }{{0, 0}, {math.NaN(), 0}, {123.456789, 123.46}, {-0.00012345678, -0.00012346}, {1e6 + 1, 1e6}, {5e-324, 5e-324}} {
		if got := short(c.in); math.Abs(got-c.want) > 1e-9*math.Abs(c.want) {
			t.Errorf("%v: %v, want %v", c.in, got, c.want)
		}
	}
}

// BenchmarkThinMillion thins 1,000,000 samples for a screen.
func BenchmarkThinMillion(b *testing.B) {
	x := trace.Trace{T: make([]float64, 1_000_000), V: make([]float64, 1_000_000)}
	r := rand.New(rand.NewPCG(1, 2))
	for i := range x.T {
		x.T[i], x.V[i] = float64(i)*1e-4, r.NormFloat64()
	}
	for b.Loop() {
		thin(x, 2000)
	}
}

func TestHostAllowed(t *testing.T) {
	for _, c := range []struct {
		host      string
		listening bool
		want      bool
	}{
		{"localhost:8000", false, true}, {"127.0.0.1", false, true}, {"[::1]:80", false, true}, {"LOCALHOST", false, true},
		{"192.0.2.1:80", false, false}, {"192.0.2.1:80", true, true}, {"evil.example", true, false}, {"", false, false}, {"127.0.0.1.evil.example", true, false},
	} {
		if got := hostAllowed(c.host, c.listening); got != c.want {
			t.Errorf("%q, listening %v: %v", c.host, c.listening, got)
		}
	}
}

func TestSentence(t *testing.T) {
	for in, want := range map[string]string{"it failed": "It failed.", "a.csv: no pass": "a.csv: no pass.", "Done.": "Done.", "": ""} {
		if got := sentence(in); got != want {
			t.Errorf("%q: %q, want %q", in, got, want)
		}
	}
}
