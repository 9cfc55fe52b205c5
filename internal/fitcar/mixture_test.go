package fitcar

import "testing"

// A mixture that stays rich after a finding costs no torque; one that leans, or that no sensor
// tells, may.
func TestMixtureHeld(t *testing.T) {
	pass := func(lambda func(s float64) float64) *Observation {
		o := &Observation{Step: 0.02}
		for i := range 700 {
			s := float64(i) * 0.02
			o.Gear, o.Full = append(o.Gear, 1+int(s/5)), append(o.Full, s > 1)
			o.X = append(o.X, s)
			o.Lambda = append(o.Lambda, lambda(s))
		}
		return o
	}
	from := 6.0
	for _, c := range []struct {
		name   string
		lambda func(s float64) float64
		want   bool
	}{
		{"rich to the line", func(float64) float64 { return 0.8 }, true},
		{"lean behind every shift", func(s float64) float64 {
			for _, shift := range []float64{0, 5, 10} {
				if s >= shift && s < shift+0.35 {
					return 1.1
				}
			}
			return 0.8
		}, true},
		{"on the limiter at the end", func(s float64) float64 {
			if s > 13 {
				return 1.1
			}
			return 0.8
		}, true},
		{"leaning by 0.1", func(s float64) float64 { return 0.74 + 0.1*min(1, max(0, s-from)) }, false},
		{"lean all the way", func(float64) float64 { return 1 }, false},
		{"no reading", func(float64) float64 { return 0 }, false},
	} {
		if got := pass(c.lambda).MixtureHeld(from); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
	if (&Observation{Step: 0.02}).MixtureHeld(from) {
		t.Error("held without a sensor")
	}
}
