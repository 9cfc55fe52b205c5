package health

import (
	"slices"
	"strings"
	"testing"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/pass"
	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// The rule of docs/verdict.md, row by row.
func TestVerdictRule(t *testing.T) {
	for _, r := range []struct {
		kind Kind
		sev  Severity
		stop bool
	}{
		{OilSupply, Subtle, false}, {OilSupply, Moderate, true}, {FuelSupply, Moderate, true}, {FuelSupply, Subtle, false}, {Knock, Moderate, true}, {Ignition, Moderate, true}, {Ignition, Subtle, false}, {Tyre, Moderate, true},
		{ClutchSlip, Moderate, false}, {ClutchSlip, Gross, true}, {BoostLeak, Moderate, false}, {BoostLeak, Gross, true}, {Sensor, Gross, false}, {Electrical, Gross, true}, {Throttle, Moderate, true},
	} {
		if got := stops(Finding{Kind: r.kind, Severity: r.sev}); got != r.stop {
			t.Errorf("%s, %s: stands down %v", r.kind, r.sev, got)
		}
	}
}

// speedOnly is a pass of which only the speed is known.
func speedOnly() Record {
	c := dictionary.Channel{Name: "speed", Quantity: quantity.GPSSpeed, RateHz: 20, Confidence: 1}
	m := pass.Motion{Start: 0, Step: 0.02}
	for i := range 900 {
		c.Trace.T = append(c.Trace.T, float64(i)*0.02)
		c.Trace.V = append(c.Trace.V, float64(i)*0.1)
		m.V, m.A, m.X = append(m.V, float64(i)*0.1), append(m.A, 5), append(m.X, 0)
	}
	return Record{Name: "speed only", Set: &dictionary.Set{Channels: []dictionary.Channel{c}}, Pass: &pass.Pass{Launch: quantity.Estimate{Value: 0.1}, Motion: m}, Clear: true}
}

// With nothing to judge by the verdict is absent, never clear; what is missing is
// said.
func TestNothingToJudgeBy(t *testing.T) {
	res := Screen(speedOnly(), nil, &car.Sheet{})
	if res.Verdict != None || len(res.Findings) != 0 {
		t.Errorf("verdict %q, findings %v", res.Verdict, res.Findings)
	}
	if len(res.NotJudged) < 15 {
		t.Errorf("only %d things are said not to be judged: %v", len(res.NotJudged), res.NotJudged)
	}
	usual := func(s string) bool { return strings.HasPrefix(s, "a few per cent less torque") }
	if !slices.ContainsFunc(res.NotJudged, usual) {
		t.Errorf("it is not said what a first pass cannot tell: %v", res.NotJudged)
	}
	r := speedOnly()
	if res := ScreenAgainst(r, []Summary{Summarise(r, &car.Sheet{})}, &car.Sheet{}, Options{}); slices.ContainsFunc(res.NotJudged, usual) {
		t.Errorf("said with an earlier pass: %v", res.NotJudged)
	}
	if len(res.Checks) == 0 {
		t.Error("the hand checks are missing")
	}
	if r := Screen(Record{Name: "empty"}, nil, nil); r.Verdict != None || r.Findings == nil {
		t.Errorf("no pass: %+v", r)
	}
}

// A limit of the sheet holds without any history.
func TestSheetLimitAlwaysHolds(t *testing.T) {
	r := speedOnly()
	c := dictionary.Channel{Name: "turbo", Quantity: quantity.TurboSpeed, RateHz: 50, Confidence: 1, Trace: trace.Trace{}}
	for i := range 900 {
		c.Trace.T = append(c.Trace.T, float64(i)*0.02)
		c.Trace.V = append(c.Trace.V, 9000+float64(i))
	}
	r.Set.Channels = append(r.Set.Channels, c)
	res := Screen(r, nil, &car.Sheet{Limits: car.Limits{MaxTurboSpeed: 9500}})
	if res.Verdict != StandDown || len(res.Findings) != 1 || res.Findings[0].Kind != TurboOverspeed {
		t.Fatalf("verdict %q, findings %+v", res.Verdict, res.Findings)
	}
	// 9500 is passed at sample 501, 10.02 s.
	if s := res.Findings[0].Start; s < 10 || s > 10.1 {
		t.Errorf("start %.2f s", s)
	}
}
