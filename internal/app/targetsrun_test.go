package app

import (
	"slices"
	"testing"

	"traplight/internal/car"
	"traplight/internal/report"
)

// The next pass starts from what the log shows where no note states targets, as the plan does.
func TestTargetsRun(t *testing.T) {
	v := func(x float64) *float64 { return &x }
	gear := func(g int, target float64) report.Gear {
		return report.Gear{Gear: g, StartS: v(float64(g)), EndS: v(float64(g) + 1), BoostTarget: v(target)}
	}
	name := "boost_target"
	channel := []report.Channel{{Quantity: &name}}
	usual := []float64{80e3, 120e3, 120e3}
	for _, c := range []struct {
		what     string
		usual    []float64
		channels []report.Channel
		gears    []report.Gear
		want     []float64
	}{
		{"boost settled far under the usual", usual, nil, []report.Gear{gear(2, 95e3), gear(3, 118e3)}, []float64{80e3, 95e3, 120e3}},
		{"the log has the target", usual, channel, []report.Gear{gear(1, 70e3), gear(2, 118e3), gear(3, 121e3)}, []float64{70e3, 118e3, 121e3}},
		{"the log shows none", usual, nil, nil, usual},
		{"nothing is known", nil, nil, []report.Gear{gear(2, 95e3)}, nil},
	} {
		r := &report.Report{Passes: []report.Pass{{Gears: c.gears}}}
		r.Log.Channels = c.channels
		if got := TargetsRun(r, 0, &car.Sheet{UsualBoost: c.usual}); !slices.Equal(got, c.want) {
			t.Errorf("%s: %.0f, want %.0f", c.what, got, c.want)
		}
	}
	if got := TargetsRun(nil, 0, &car.Sheet{UsualBoost: usual}); !slices.Equal(got, usual) {
		t.Errorf("no report: %.0f", got)
	}
}
