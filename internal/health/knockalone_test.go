package health

import (
	"math"
	"math/rand/v2"
	"testing"

	"traplight/internal/dictionary"
	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// Pulses that two sensors hear at once are knock even on a first pass; as many that
// each hears at other times, and a skewed background alone, are none.
func TestOwnBursts(t *testing.T) {
	judged := func(shared, apart int) int {
		r := rand.New(rand.NewPCG(8, 9))
		const n, step = 700, 0.02
		f := &frame{n: n, set: &source{Set: &dictionary.Set{}}}
		for i := range n {
			f.t = append(f.t, float64(i)*step)
			f.full, f.since, f.speed = append(f.full, true), append(f.since, 1), append(f.speed, 600)
		}
		for s := range 2 {
			x := trace.Trace{T: f.t, V: make([]float64, n)}
			for i := range x.V {
				x.V[i] = math.Exp(0.1*r.NormFloat64() + 0.1*r.ExpFloat64())
			}
			for k := range shared {
				x.V[50+60*k] *= 5
			}
			for k := range apart {
				x.V[80+60*k+20*s] *= 5
			}
			f.set.Channels = append(f.set.Channels, dictionary.Channel{Name: string(rune('A' + s)), Quantity: quantity.Knock, Index: s + 1, Trace: x, Confidence: 1})
		}
		j := &judge{frame: f}
		j.ownBursts()
		return len(j.obs)
	}
	for _, c := range []struct{ shared, apart, want int }{{0, 0, 0}, {0, 6, 0}, {2, 0, 0}, {5, 0, 1}, {5, 4, 1}} {
		if got := judged(c.shared, c.apart); got != c.want {
			t.Errorf("%d shared and %d separate pulses: %d observations, want %d", c.shared, c.apart, got, c.want)
		}
	}
}
