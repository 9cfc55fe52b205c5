package plan

import (
	"math"
	"strings"
	"testing"

	"traplight/internal/quantity"
)

// The launch is worked out, not assumed: gains differ by engine speed, hot clutches and
// the rev limit forbid, and what is far below a pass's scatter leaves it as it was run.
func TestLaunchWorkedOut(t *testing.T) {
	m := model(t)
	p := make1(t, m, next(t, m), Options{Bold: true})
	l := p.Launch
	if l == nil || len(l.Tried) != 4 || l.Run != 4500 || l.PassSD <= 0 {
		t.Fatalf("launch %+v", l)
	}
	if l.Tried[0].Gain == l.Tried[3].Gain {
		t.Errorf("%.0f and %.0f rpm bring the same", l.Tried[0].RPM, l.Tried[3].RPM)
	}
	if !l.Moved() && (l.Chosen != 4500 || *p.Settings.LaunchRPM != 4500) {
		t.Errorf("nothing was taken, yet it is set to %.0f rpm", *p.Settings.LaunchRPM)
	}
	if s := l.Text(quantity.Metric); !strings.Contains(s, "rpm") || strings.Count(s, ".") > 8 {
		t.Error(s)
	}
	for _, x := range l.Tried {
		if x.RPM == l.Chosen && (x.HeldBy != "" || x.Gain <= launchWorth || x.Gain <= x.SD) {
			t.Errorf("taken without reason: %+v", x)
		}
	}
}

// A launch outside what was run is marked; the rev limit and stalling bound it.
func TestLaunchBounds(t *testing.T) {
	m := model(t)
	const rpm = math.Pi / 30
	s, x, err := begin(m, next(t, m), Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		at, lim float64 // rpm
		held    string
	}{{7900, 8000, "rev limit"}, {1200, 8000, "stalling"}, {6400, 8000, "clutch heat"}} {
		m.Sheet.RevLimit, x.launch = c.lim*rpm, c.at*rpm
		if got := s.launchHeld(x); got != c.held {
			t.Errorf("%.0f rpm: held by %q, want %q", c.at, got, c.held)
		}
	}
	x.launch = 5000 * rpm
	if n := strings.Join(s.notRun(x, quantity.Metric), "; "); !strings.Contains(n, "launch at 5000 rpm") {
		t.Errorf("not marked: %s", n)
	}
	x.launch = 4520 * rpm
	if n := strings.Join(s.notRun(x, quantity.Metric), "; "); strings.Contains(n, "launch") {
		t.Errorf("marked, though run: %s", n)
	}
}

// A launch engine speed that costs is not told as one that would bring something.
func TestLaunchText(t *testing.T) {
	for _, c := range []struct {
		gain float64 // m/s
		want string
	}{
		{-0.01, "no other that was tried would bring more; the best of them, 4000 rpm, would cost 0.04 ± 0.03 km/h at the trap."},
		{-0.002, "the best other that was tried, 4000 rpm, would do as well within 0.03 km/h at the trap."},
		{0.01, "the best other, 4000 rpm, would bring 0.04 ± 0.03 km/h at the trap, far below"},
	} {
		l := Launch{Run: 4400, Chosen: 4400, PassSD: 0.3, Tried: []LaunchTried{{RPM: 4000, Gain: c.gain, SD: 0.009}, {RPM: 4800, Gain: c.gain - 0.1, SD: 0.009}}}
		if s := l.Text(quantity.Metric); !strings.Contains(s, c.want) {
			t.Errorf("%+.2f m/s: %q, want %q", c.gain, s, c.want)
		}
	}
}
