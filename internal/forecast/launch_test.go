package forecast_test

import (
	"context"
	"math"
	"strings"
	"testing"

	"traplight/internal/car"
	"traplight/internal/fitcar"
	"traplight/internal/fitcar/fitcartest"
	"traplight/internal/forecast"
	"traplight/internal/sim/simtest"
)

const rpm = math.Pi / 30 // rad/s

// launchedAt is the invented car fitted to passes launched at engine speeds, rad/s; each
// then starts faster by gain, natural logarithm per that of engine speed.
func launchedAt(t *testing.T, gain float64, speeds ...float64) *fitcar.Model {
	t.Helper()
	runs, err := fitcartest.Record(len(speeds), 1, simtest.InventedPass().Target)
	if err != nil {
		t.Fatal(err)
	}
	obs := fitcartest.Observations(runs)
	for i, o := range obs {
		o.LaunchSeen = speeds[i]
		f := math.Pow(speeds[i]/speeds[0], gain)
		for k := range o.V {
			if o.X[k] < 30 {
				o.V[k] *= f
			}
		}
	}
	m, err := fitcar.Fit(context.Background(), fitcartest.Sheet(), obs, fitcar.Options{Members: 3})
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// A record that never changed its launch leaves the effect wide; one that did narrows it.
func TestLaunchResponse(t *testing.T) {
	same := launchedAt(t, 0, 4500*rpm, 4520*rpm, 4490*rpm)
	mean, wide, taught := same.LaunchResponse()
	if taught || mean != 1 || wide < 0.5 {
		t.Errorf("never changed: %.2f ± %.2f, taught %v", mean, wide, taught)
	}
	varied := launchedAt(t, 0.2, 4500*rpm, 2800*rpm, 3600*rpm)
	if _, narrow, taught := varied.LaunchResponse(); !taught || narrow >= wide {
		t.Errorf("changed: ± %.2f, taught %v; never changed ± %.2f", narrow, taught, wide)
	}
	if last, low, high := varied.LaunchRun(); last != 3600*rpm || low != 2800*rpm || high != 4500*rpm {
		t.Errorf("run %.0f, from %.0f to %.0f rpm", last/rpm, low/rpm, high/rpm)
	}
}

// A launch outside what was run is marked so; one inside is not; without any known launch
// the plan's changes nothing, and that is told.
func TestLaunchNotes(t *testing.T) {
	m := launchedAt(t, 0, 4500*rpm, 4100*rpm)
	notes := func(m *fitcar.Model, speed float64) string {
		p := plain()
		p.LaunchSpeed = speed
		return strings.Join(prepare(t, m, p).Notes, "\n")
	}
	if s := notes(m, 5200*rpm); !strings.Contains(s, "launch at 5200 rpm, not run before") {
		t.Errorf("5200 rpm: %s", s)
	}
	if s := notes(m, 4300*rpm); !strings.Contains(s, "launch at 4300 rpm:") {
		t.Errorf("4300 rpm: %s", s)
	}
	for _, p := range m.Passes {
		p.Obs.LaunchSeen = 0
	}
	if s := notes(m, 4300*rpm); !strings.Contains(s, "is not known") {
		t.Errorf("no launch known: %s", s)
	}
	n, err := forecast.Prepare(m, &car.Notes{}, plain())
	if err != nil {
		t.Fatal(err)
	}
	if _, ok := n.LaunchEffect(); ok {
		t.Error("an effect of a launch that nobody asked for")
	}
}
