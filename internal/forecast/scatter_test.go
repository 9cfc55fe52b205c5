package forecast

import (
	"math"
	"testing"

	"traplight/internal/fitcar"
	"traplight/internal/num/xrand"
)

// Passes that scatter by more than is usual within their days are told to, once there are enough;
// those that do not, and days that lie apart, are not.
func TestExcess(t *testing.T) {
	record := func(days, passes int, once, day float64) float64 {
		r := xrand.Stream(1, "forecast/excess")
		m := &fitcar.Model{}
		for d := range days {
			off := day * r.NormFloat64()
			for k := range passes {
				m.Passes = append(m.Passes, fitcar.PassFit{Obs: &fitcar.Observation{Trap: 80, Hour: float64(100*d + k)}, Weight: 1})
				m.Mean.Residual = append(m.Mean.Residual, 80*(off+once*r.NormFloat64()))
			}
		}
		return excess(m)
	}
	for _, c := range []struct {
		days, passes    int
		once, day, want float64 // 1
		within          float64
	}{
		{1, 3, 0.02, 0, 0, 0},       // too few
		{40, 3, 0.0028, 0, 0, 8e-4}, // as is usual
		{40, 3, 0.0028, 0.01, 0, 8e-4},
		{40, 3, 0.006, 0, math.Sqrt(0.006*0.006 - replayScatter*replayScatter), 8e-4},
	} {
		if got := record(c.days, c.passes, c.once, c.day); math.Abs(got-c.want) > c.within {
			t.Errorf("%d days of %d passes that scatter by %.4f, days by %.3f: excess %.4f, not %.4f", c.days, c.passes, c.once, c.day, got, c.want)
		}
	}
}
