package ledger

import (
	"math"
	"math/bits"
	"testing"

	"pgregory.net/rapid"
)

// The glove game of the textbooks: one left glove, two right ones; a pair is worth
// 1. Shares 2/3, 1/6, 1/6 (standard example; computed by hand over the six orders).
func TestGloveGame(t *testing.T) {
	v := make([]float64, 8)
	for set := range v {
		if set&1 != 0 && set&6 != 0 {
			v[set] = 1
		}
	}
	got := Shapley(v, 3)
	for i, want := range []float64{2.0 / 3, 1.0 / 6, 1.0 / 6} {
		if math.Abs(got[i]-want) > 1e-12 {
			t.Errorf("player %d: %g, want %g", i, got[i], want)
		}
	}
}

// Efficiency, dummy player and symmetry, Shapley's axioms, for any game.
func TestAxioms(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		const n = 5
		v := make([]float64, 1<<n)
		for set := range v {
			core := set &^ 1 // player 0 adds a fixed amount
			if core == set {
				v[set] = rapid.Float64Range(-5, 5).Draw(r, "worth")
			}
		}
		d := rapid.Float64Range(-3, 3).Draw(r, "dummy")
		for set := range v {
			if set&1 != 0 {
				v[set] = v[set&^1] + d
			}
		}
		s := Shapley(v, n)
		sum := 0.0
		for _, x := range s {
			sum += x
		}
		if math.Abs(sum-(v[len(v)-1]-v[0])) > 1e-9 {
			r.Fatal("the shares do not add up")
		}
		if math.Abs(s[0]-d) > 1e-9 {
			r.Fatalf("a player who always adds %g gets %g", d, s[0])
		}
		// a game of sizes only treats all alike
		for set := range v {
			v[set] = math.Sqrt(float64(bits.OnesCount(uint(set))))
		}
		s = Shapley(v, n)
		for _, x := range s {
			if math.Abs(x-s[0]) > 1e-9 {
				r.Fatal("equal players get unequal shares")
			}
		}
	})
}
