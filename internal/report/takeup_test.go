package report

import (
	"strings"
	"testing"

	"traplight/internal/quantity"
)

func TestTakeUpText(t *testing.T) {
	v := func(x float64) *float64 { return &x }
	rpm := quantity.Imperial.SI(quantity.DimRotation, 1)
	full := &TakeUp{EngineSpeed: v(4400 * rpm), Boost: v(14e3), TookS: v(1.04), ClosedSDS: v(0.03), ClosedEngine: v(1370 * rpm), LowestEngine: v(1010 * rpm), SpunS: v(0.1)}
	for _, c := range []struct {
		t    *TakeUp
		has  []string
		hasn string
	}{
		{nil, nil, "Launch"},
		{&TakeUp{}, nil, "Launch"},
		{full, []string{"held at 4400 rpm and 2.0 psi", "closed 1.040 ± 0.030 s after the car moved, at 1370 rpm", "bogged: it fell to 1010 rpm"}, "spun"},
		{&TakeUp{EngineSpeed: v(4400 * rpm), LowestEngine: v(3900 * rpm), TookS: v(0.6), SpunS: v(1.24)}, []string{"The tyres spun for 1.2 s."}, "bogged"},
	} {
		text := c.t.Text(quantity.Imperial)
		for _, h := range c.has {
			if !strings.Contains(text, h) {
				t.Errorf("%q does not say %q", text, h)
			}
		}
		if strings.Contains(text, c.hasn) {
			t.Errorf("%q says %q", text, c.hasn)
		}
	}
}
