package sim

import (
	"math"
	"testing"
)

// Past the peak is where the slope of the curve by slip is negative, at any speed; Top is
// between, and friction that does not fall leaves the peak at PeakSlip.
func TestPastPeak(t *testing.T) {
	for _, q := range []Tyre{{Peak: 1, PeakSlip: 0.12, Shape: 1.45}, {Peak: 1, PeakSlip: 0.12, Shape: 1.45, Fall: 0.008}, {Peak: 1, PeakSlip: 0.2, Shape: 1.2, Fall: 0.02}} {
		k := curveOf(q.Shape)
		at := func(s, v float64) float64 { return q.curve(s/q.PeakSlip, k) * q.kept(s, v) }
		table := q.Peaks()
		for _, v := range []float64{0, 10, 30, 60, 90} {
			top, share := q.Top(v)
			if q.Fall == 0 && math.Abs(top-q.PeakSlip) > 1e-6 {
				t.Errorf("peak at %.4f without a fall", top)
			}
			for s := 0.01; s < 0.4; s += 0.0037 {
				falls := at(s+1e-4, v) < at(s-1e-4, v)
				if got := q.past(s, v); got != falls && math.Abs(s/top-1) > 2e-3 {
					t.Errorf("%+v at %.0f m/s, slip %.4f (peak %.4f): past %v, falls %v", q, v, s, top, got, falls)
				}
				if u := at(s, v); u > share+1e-9 {
					t.Errorf("%.4f at slip %.3f, over the top's %.4f", u, s, share)
				}
			}
			if math.Abs(table.Slip(v)/top-1) > 0.01 || math.Abs(table.Share(v)/share-1) > 0.015 {
				t.Errorf("%.0f m/s: table %.4f and %.4f, exact %.4f and %.4f", v, table.Slip(v), table.Share(v), top, share)
			}
		}
	}
}

// The slip that lasted is that of the longest 0.05 s in all: of slips that grow evenly over a
// second from half the peak's to twice, what the last twentieth begins with.
func TestSlipTimes(t *testing.T) {
	var q slipTimes
	for i := range 50 {
		a, b := 0.5*math.Pow(4, float64(i)/50), 0.5*math.Pow(4, float64(i+1)/50)
		q.add(a, b, 0.02)
	}
	if want := math.Log(0.5) + 0.95*math.Log(4); math.Abs(q.lasting()-want) > 0.01 {
		t.Errorf("%.3f, want %.3f", q.lasting(), want)
	}
	var short slipTimes
	short.add(3, 3, 0.04)
	if short.lasting() > slipFirst {
		t.Errorf("0.04 s are too short, not %.3f", short.lasting())
	}
}
