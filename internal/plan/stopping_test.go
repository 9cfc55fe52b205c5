package plan

import (
	"math"
	"testing"

	"traplight/internal/sim"
)

// Ways to a stop by brakes that scatter: the chance is that of the logarithmic normal law, of
// which the tail beyond the length is twice what a normal one of the distances would have.
func TestStopTail(t *testing.T) {
	s := searching(t)
	s.opt.StoppedFrom = 0
	const n, sd = 400, 0.1
	for _, mean := range []float64{0.75, 0.80, 0.85} {
		var draws []drawn
		for i := range n {
			way := 1000 * mean * math.Exp(sd*math.Sqrt2*math.Erfinv((2*float64(i)+1)/n-1))
			m, ok := stopMargin(way, 1000)
			if !ok {
				t.Fatal("no margin")
			}
			draws = append(draws, drawn{trap: 80, gears: []sim.Gear{{}}, margins: []margin{m}})
		}
		worst, _ := s.chances(draws, n)
		want := tail(-math.Log(mean) / math.Hypot(sd, 0.02))
		if got := worst[0].chance; math.Abs(got-want) > 0.1*want {
			t.Errorf("mean at %g of the length: %.4f, want %.4f", mean, got, want)
		}
	}
	if _, ok := stopMargin(math.NaN(), 1000); ok {
		t.Error("a stop that is not known has no margin")
	}
	if _, ok := stopMargin(800, 0); ok {
		t.Error("a strip without a length has no limit")
	}
}
