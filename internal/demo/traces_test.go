package demo

import (
	"math"
	"testing"
)

// The Mahalanobis distance of (3, 4) is 5 when all is independent and of unit variance,
// and √2 of (2, 1) for variances of 2 with covariance 1: worked by hand.
func TestDistanceByHand(t *testing.T) {
	for _, c := range []struct {
		s    []float64
		cov  [][]float64
		want float64
	}{
		{[]float64{3, 4}, [][]float64{{1, 0}, {0, 1}}, 5},
		{[]float64{2, 1}, [][]float64{{2, 1}, {1, 2}}, math.Sqrt(2)},
		{[]float64{1, 1, 1}, [][]float64{{4, 0, 0}, {0, 4, 0}, {0, 0, 4}}, math.Sqrt(0.75)},
	} {
		if got := distance(c.s, c.cov); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("distance of %v: %g, want %g", c.s, got, c.want)
		}
	}
}

// Lost oil pressure shows in the oil's gauge, and in no other channel by more than a
// hundredth of that: nothing else depends on it. A pass without a fault leaves nothing.
func TestTraceOfLostOil(t *testing.T) {
	c := Cars()[0]
	f, ok := c.MakeFault(OilSupply, Gross, 3)
	if !ok {
		t.Fatal("no such fault")
	}
	tr := Trace(c, PassOptions{Sensors: "full", Fault: &f}, 5, 4)
	if len(tr.Channels) == 0 {
		t.Fatal("no channels")
	}
	top := tr.Channels[0]
	if top.Quantity != "oil_pressure" || top.Shift > -25e3 {
		t.Errorf("most of it in %s, %g", top.Quantity, top.Shift)
	}
	for _, o := range tr.Channels[1:] {
		if math.Abs(o.Shift)/o.Noise > 0.01*math.Abs(top.Shift)/top.Noise {
			t.Errorf("%s shifts by %g, %g of its noise", o.Quantity, o.Shift, o.Shift/o.Noise)
		}
	}
	if tr := Trace(c, PassOptions{Sensors: "full"}, 5, 4); len(tr.Channels) != 0 {
		t.Error("a pass without a fault has a trace")
	}
}
