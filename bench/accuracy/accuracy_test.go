package main

import (
	"math"
	"testing"

	"traplight/internal/report"
)

func ptr(v float64) *float64 { return &v }

func TestRecoveryCountsFromTheShiftsEnd(t *testing.T) {
	for _, c := range []struct {
		name          string
		pre, target   *float64
		lesser, toEnd *float64
	}{
		{"both reached", ptr(0.857), ptr(1.294), ptr(0.484), ptr(0.921)},
		{"never below", ptr(0), ptr(0.4), ptr(0), ptr(0.027)},
		{"target lower than before", ptr(1.2), ptr(1.198), ptr(0.825), ptr(0.825)},
		{"target not reached", ptr(0.9), nil, ptr(0.527), nil},
		{"nothing reached", nil, nil, nil, nil},
	} {
		s := TruthShift{Start: 16.905, TorqueOn: 17.278, MapStart: 200e3, MapTarget: 250e3, MapMin: 20e3, ToPre: c.pre, ToTarget: c.target}
		sameValue(t, c.name, s.Recovery(100e3), c.lesser)
		sameValue(t, c.name+" to target", s.RecoveryToTarget(100e3), c.toEnd)
	}
	// Boost of 96 % at its lowest never fell below 95 %, whatever the truth's
	// clock of the lowest boost says.
	s := TruthShift{Start: 9.42, TorqueOn: 9.485, MapStart: 300e3, MapTarget: 300e3, MapMin: 292e3, ToPre: ptr(0.249), ToTarget: ptr(0.249)}
	sameValue(t, "never below 95 %", s.Recovery(100e3), ptr(0))
}

func sameValue(t *testing.T, name string, got, want *float64) {
	t.Helper()
	switch {
	case (got == nil) != (want == nil):
		t.Errorf("%s: got %v, want %v", name, got, want)
	case got != nil && math.Abs(*got-*want) > 1e-9:
		t.Errorf("%s: got %v, want %v", name, *got, *want)
	}
}

// The binomial distribution against values worked out by hand: 0.8^2 etc.
func TestAtMost(t *testing.T) {
	for _, c := range []struct {
		k, n int
		p    float64
		want float64
	}{{0, 2, 0.8, 0.04}, {1, 2, 0.8, 0.36}, {2, 2, 0.8, 1}, {-1, 5, 0.5, 0}} {
		if got := atMost(c.k, c.n, c.p); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("atMost(%d, %d, %v) = %v, want %v", c.k, c.n, c.p, got, c.want)
		}
	}
}

// TestJudge feeds errors whose spread is known: intervals of the right width
// pass, half as wide and three times as wide do not.
func TestJudge(t *testing.T) {
	for _, c := range []struct {
		factor float64
		ok     bool
	}{{1, true}, {0.4, false}, {3, false}} {
		var rows []Row
		for i := range 200 {
			// The quantiles of a normal distribution.
			z := math.Sqrt2 * math.Erfinv(2*(float64(i)+0.5)/200-1)
			rows = append(rows, Row{Quantity: "trap", Healthy: true, Error: 0.03 * z, SD: 0.03 * c.factor})
		}
		l := summarise(rows, true, bounds)[0]
		if ok := len(l.Fails) == 0; ok != c.ok {
			t.Errorf("intervals %v times as wide as right: fails %v", c.factor, l.Fails)
		}
	}
}

// TestCompareFindsNothingWrongWithTheTruth makes a report out of the truth: its
// errors are zero, and a wrong one is seen.
func TestCompareFindsNothingWrongWithTheTruth(t *testing.T) {
	truth, err := readTruth("testdata/a04_marlin.truth.json")
	if err != nil {
		t.Fatal(err)
	}
	r := reportOfTruth(truth)
	var f Findings
	compareLog(&f, truth, r)
	if len(f.Misses) > 0 {
		t.Errorf("misses: %v", f.Misses)
	}
	if len(f.Rows) < 40 {
		t.Errorf("only %d comparisons", len(f.Rows))
	}
	for _, row := range f.Rows {
		if math.Abs(row.Error) > 1e-9 {
			t.Errorf("%s %s: error %v", row.Quantity, row.Where, row.Error)
		}
	}
	*r.Passes[0].Trap.SpeedMps *= 1.01
	r.Passes[0].Gears[1].Gear = 4
	r.Passes[0].Shifts = r.Passes[0].Shifts[1:]
	f = Findings{}
	compareLog(&f, truth, r)
	if len(f.Misses) < 3 {
		t.Errorf("a wrong gear and a missing shift give only %v", f.Misses)
	}
	for _, row := range f.Rows {
		if row.Quantity == "trap" && math.Abs(row.Error-1) > 1e-9 {
			t.Errorf("1 %% too fast at the trap is an error of %v", row.Error)
		}
	}
}

func reportOfTruth(t *Truth) *report.Report {
	r := &report.Report{}
	for i := range t.Passes {
		tp := &t.Passes[i]
		p := report.Pass{
			LaunchS: ptr(tp.Launch), RolloutS: ptr(tp.Rollout), LiftS: ptr(tp.FinalLift), Complete: tp.Complete,
			Trap: &report.Trap{SpeedMps: ptr(tp.Trap.Mean)},
			Air:  &report.Air{Density: ptr(tp.Air.Density)},
			Power: &report.Power{PeakWheelW: ptr(tp.Power.Power), AtS: ptr(tp.Power.At),
				EngineSpeed: ptr(tp.Power.EngineSpeed * math.Pi / 30)},
		}
		for _, m := range markNames {
			k := tp.Marks[m.truth]
			p.Splits = append(p.Splits, report.Split{Mark: m.report, TimeS: ptr(k.FromRollout), SpeedMps: ptr(k.V)})
		}
		for j := range tp.Gears {
			g := &tp.Gears[j]
			from, to := g.Start, g.End
			if j > 0 {
				from = tp.Shifts[j-1].TorqueOn
			}
			if j < len(tp.Shifts) {
				to = tp.Shifts[j].TorqueOff
			}
			bound := *g.TimePastPeak < pastPeakFor
			p.Gears = append(p.Gears, report.Gear{Gear: g.Gear, StartS: ptr(from), EndS: ptr(to),
				PeakHubTorque: g.HubPeak, MeanHubTorque: g.HubMean, MeanWheelTorque: ptr(*g.HubMean / g.Ratio),
				PeakSlip: g.SlipMax, CeilingHub: g.CeilingMean, CeilingIsBound: &bound})
		}
		for j := range tp.Shifts {
			s := &tp.Shifts[j]
			p.Shifts = append(p.Shifts, report.Shift{From: s.From, To: s.To, StartS: ptr(s.TorqueOff), EndS: ptr(s.TorqueOn),
				RecoveryS: s.Recovery(tp.Air.Pressure), ToTargetS: s.RecoveryToTarget(tp.Air.Pressure), Missed: s.Missed})
		}
		r.Passes = append(r.Passes, p)
	}
	return r
}
