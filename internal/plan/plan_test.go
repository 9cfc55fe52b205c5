package plan

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"math"
	"slices"
	"strings"
	"sync"
	"testing"

	"traplight/internal/car"
	"traplight/internal/fitcar"
	"traplight/internal/fitcar/fitcartest"
	"traplight/internal/forecast"
	"traplight/internal/sim"
	"traplight/internal/sim/simtest"
)

// fitted is an invented car fitted to three of its passes.
var fitted = sync.OnceValues(func() (*fitcar.Model, error) {
	runs, err := fitcartest.Record(3, 1, simtest.InventedPass().Target)
	if err != nil {
		return nil, err
	}
	return fitcar.Fit(context.Background(), fitcartest.Sheet(), fitcartest.Observations(runs), fitcar.Options{Members: 3})
})

// model is a copy whose sheet a test may change.
func model(t testing.TB) *fitcar.Model {
	t.Helper()
	m, err := fitted()
	if err != nil {
		t.Fatal(err)
	}
	own, sheet := *m, *m.Sheet
	own.Sheet = &sheet
	return &own
}

func next(t testing.TB, m *fitcar.Model) *forecast.Next {
	t.Helper()
	n, err := forecast.Prepare(m, &car.Notes{}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

func make1(t testing.TB, m *fitcar.Model, n *forecast.Next, opt Options) *Plan {
	t.Helper()
	if opt.Draws == 0 {
		opt.Draws = 12
	}
	if opt.Verdict == "" {
		opt.Verdict = "clear"
	}
	p, err := Make(t.Context(), m, n, opt)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// plain is the plan of that car without wishes, for all tests that change nothing.
var plain = sync.OnceValues(func() (*Plan, error) {
	m, err := fitted()
	if err != nil {
		return nil, err
	}
	n, err := forecast.Prepare(m, &car.Notes{}, nil)
	if err != nil {
		return nil, err
	}
	return Make(context.Background(), m, n, Options{Draws: 12, Verdict: "clear"})
})

// No plan goes beyond the sheet, bold or not; without bold it goes one step.
func TestWithinLimits(t *testing.T) {
	m := model(t)
	most := slices.Max(m.Sheet.UsualBoost) + 12e3
	m.Sheet.Limits.MaxBoost = most
	for _, bold := range []bool{false, true} {
		p := make1(t, m, next(t, m), Options{Bold: bold})
		baro := p.Settings.Barometer
		for g, b := range p.Settings.Boost {
			if b*1e3 > most {
				t.Errorf("bold %v: %.0f kPa in %d, the sheet allows %.0f", bold, b, g+1, most/1e3)
			}
			ran := m.Sheet.UsualBoost[g] / 1e3
			if step := (b + baro) / (ran + baro); !bold && step > 1+torqueStep+0.005 {
				t.Errorf("%.1f %% of torque beyond what was run in %d", 100*(step-1), g+1)
			}
			marked := slices.ContainsFunc(p.New, func(s string) bool { return strings.Contains(s, "kPa in gear "+string(rune('1'+g))) })
			if new := b > ran+0.6; new != marked {
				t.Errorf("bold %v: %.0f kPa in %d (run so far %.0f) is marked 'not run before': %v", bold, b, g+1, ran, marked)
			}
		}
		hard := 0.0
		for _, l := range p.Limits {
			if l.Chance < 0 || l.Chance > 1 || l.ShadowSD < 0 {
				t.Errorf("limit out of range: %+v", l)
			}
			if l.Class == Hard {
				hard = max(hard, l.Chance)
			}
		}
		if hard > hardChance {
			t.Errorf("bold %v: a hard limit is passed with chance %.3f", bold, hard)
		}
		if p.Forecast.Trap.Mean < p.As.Trap.Mean-easeCost {
			t.Errorf("bold %v: %.2f m/s planned, %.2f as run", bold, p.Forecast.Trap.Mean, p.As.Trap.Mean)
		}
	}
}

// What is accepted more readily brings no less.
func TestRiskMonotone(t *testing.T) {
	m := model(t)
	var before float64
	for _, risk := range []float64{0.03, 0.1, 0.3} {
		v := make1(t, m, next(t, m), Options{Risk: risk, Bold: true}).Forecast.Trap.Mean
		if v < before-0.15 {
			t.Errorf("risk %.2f: %.2f m/s, less than %.2f with a smaller risk", risk, v, before)
		}
		before = max(before, v)
	}
}

// The same input has the same bytes.
func TestDeterministic(t *testing.T) {
	m := model(t)
	first, err := plain()
	if err != nil {
		t.Fatal(err)
	}
	var out [2]bytes.Buffer
	for i, p := range []*Plan{first, make1(t, m, next(t, m), Options{})} {
		if err := p.Answer().WriteJSON(&out[i]); err != nil {
			t.Fatal(err)
		}
	}
	if out[0].String() != out[1].String() {
		t.Error("two plans of the same record differ")
	}
	shape(t, out[0].Bytes())
}

// shape holds the JSON to the design.
func shape(t *testing.T, raw []byte) {
	t.Helper()
	var a struct {
		Settings *struct {
			Boost   []float64 `json:"boost_target_kpa_by_gear"`
			Shift   []float64 `json:"shift_rpm"`
			Nitrous *bool     `json:"nitrous"`
			Launch  *float64  `json:"launch_rpm"`
		} `json:"settings"`
		Forecast *struct {
			Trap *struct{ Mean float64 } `json:"trap"`
		} `json:"forecast"`
		Limits []struct {
			Gear   *int     `json:"gear"`
			Limit  *string  `json:"limit"`
			Class  string   `json:"class"`
			Chance *float64 `json:"chance"`
			Shadow *float64 `json:"shadow_mps"`
		} `json:"limits"`
		New   *[]string `json:"not_run_before"`
		Notes *[]string `json:"notes"`
	}
	if err := json.Unmarshal(raw, &a); err != nil {
		t.Fatal(err)
	}
	if a.Settings == nil || len(a.Settings.Boost) == 0 || len(a.Settings.Shift) != len(a.Settings.Boost)-1 || a.Settings.Nitrous == nil || a.Forecast == nil || a.Forecast.Trap == nil || a.New == nil || a.Notes == nil {
		t.Errorf("a key is missing: %s", raw)
	}
	if len(a.Limits) == 0 {
		t.Error("no limits")
	}
	for _, l := range a.Limits {
		if l.Gear == nil || l.Limit == nil || l.Chance == nil || l.Shadow == nil || l.Class != Soft && l.Class != Hard {
			t.Errorf("a limit lacks a key: %+v", l)
		}
	}
}

// A limit that nothing holds is named, and there is no card.
func TestInfeasible(t *testing.T) {
	m := model(t)
	m.Sheet.Limits.MaxCrankPower = 150e3
	p := make1(t, m, next(t, m), Options{})
	if p.Card || !strings.Contains(p.NoCard, "crank power") {
		t.Errorf("card %v: %q", p.Card, p.NoCard)
	}
}

// A strip too short to stop on forbids the card; one on which the car was stopped does
// not.
func TestShutDown(t *testing.T) {
	m := model(t)
	n := next(t, m)
	n.ShutDown = 150
	if p := make1(t, m, n, Options{}); p.Card || !strings.Contains(p.NoCard, "shut-down") {
		t.Errorf("150 m: card %v: %q", p.Card, p.NoCard)
	}
	n.ShutDown = 2500
	if p := make1(t, m, n, Options{}); !p.Card {
		t.Errorf("2500 m: %q", p.NoCard)
	}
}

func TestCard(t *testing.T) {
	for _, c := range []struct {
		verdict, inspected string
		card               bool
	}{
		{"clear", "", true}, {"inspect", "", true}, {"stand down", "", false}, {"stand down", "head off, gasket changed", true},
		{"", "", false}, {"", "plugs read, all well", true},
	} {
		p := &Plan{sheet: &car.Sheet{}}
		p.card(Options{Verdict: c.verdict, Inspected: c.inspected})
		if p.Card != c.card || p.Card != (p.NoCard == "") {
			t.Errorf("%q, inspected %q: card %v, %q", c.verdict, c.inspected, p.Card, p.NoCard)
		}
	}
}

// A finding that speaks against boost holds it.
func TestHold(t *testing.T) {
	m := model(t)
	p := make1(t, m, next(t, m), Options{Bold: true, Verdict: "inspect", Findings: []string{"knock"}})
	for g, b := range p.Settings.Boost {
		if b*1e3 > m.Sheet.UsualBoost[g]+500 {
			t.Errorf("%.0f kPa in %d in spite of knock", b, g+1)
		}
	}
}

func TestStops(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	m := model(t)
	if _, err := Make(ctx, m, next(t, m), Options{}); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
	n := next(t, m)
	n.Target = nil
	if _, err := Make(t.Context(), m, n, Options{}); !errors.Is(err, ErrNoBoost) {
		t.Errorf("no boost known: %v", err)
	}
}

// The chance in several passes against closed forms: luck that is drawn anew gives
// 1 − (1 − p)ⁿ; ignorance that stays gives p however often one goes.
func TestReaching(t *testing.T) {
	const n = 4000
	for _, c := range []struct {
		name       string
		ours, luck float64 // m/s, spreads between members and within
		left       int
		want       float64
	}{
		{"one pass", 0, 1, 1, 0.5}, {"three passes of luck", 0, 1, 3, 0.875}, {"three passes of ignorance", 20, 0.1, 3, 0.5},
	} {
		s := &search{m: &fitcar.Model{Members: make([]fitcar.Member, 8)}, base: &forecast.Next{Aim: 80}, opt: Options{PassesLeft: c.left}}
		traps := make([]float64, n)
		for i := range traps {
			k := i % 8
			// normal scores: half the members above, half below; luck likewise
			z := math.Sqrt2 * math.Erfinv(2*(float64(i/8)+0.5)/(n/8)-1)
			traps[i] = 80 + c.ours*(float64(k)-3.5)/3.5 + c.luck*z
		}
		if got := s.reaching(traps); math.Abs(got-c.want) > 0.01 {
			t.Errorf("%s: %.3f, want %.3f", c.name, got, c.want)
		}
	}
}

// Stopping is no worse than what the car has shown on the strip.
func TestStopping(t *testing.T) {
	s := &search{m: &fitcar.Model{}, base: &forecast.Next{ShutDown: 1000}, opt: Options{StoppedFrom: 80}}
	if got := s.stopping(80, 1400); math.Abs(got-1000) > 1e-6 {
		t.Errorf("from the speed from which it was stopped: %.2f m, want 1000", got)
	}
	if got := s.stopping(80, 700); math.Abs(got-700) > 1e-6 {
		t.Errorf("better brakes than shown: %.2f m, want 700", got)
	}
	// v + v²/(2a) with a = 80²/(2·920)
	if got, want := s.stopping(90, 1600), 90+8100.0/6400*920; math.Abs(got-want) > 1e-6 {
		t.Errorf("faster: %.2f m, want %.2f", got, want)
	}
}

// Gears of one kind share their doubt, so that the one nearest to its limit decides; kinds
// add up.
func TestSum(t *testing.T) {
	s := &search{m: &fitcar.Model{}, base: &forecast.Next{}}
	near := func(gear int, limit string, z float64) margin { return margin{gear, limit, Hard, 0.02 * z, 0.02, nil} }
	out := []drawn{{80, []sim.Gear{{}}, []margin{near(1, "boost", 3), near(2, "boost", 2.5), near(0, shutDown, 3), near(1, clutchBite, 0)}}}
	worst, kinds := s.chances(out, 1)
	if len(worst) != 4 || len(kinds) != 3 {
		t.Fatalf("%d by gear and %d kinds", len(worst), len(kinds))
	}
	// tails of the normal distribution at 2.5 and 3: 0.00621 and 0.00135 (Abramowitz and Stegun, table 26.1, from memory)
	if got := s.sum(kinds); math.Abs(got-0.50756) > 1e-5 {
		t.Errorf("sum %.5f, want 0.50756", got)
	}
	if s.bites = true; math.Abs(s.sum(kinds)-0.00756) > 1e-5 {
		t.Errorf("with the clutch told first: %.5f, want 0.00756", s.sum(kinds))
	}
}

// Back pressure follows the power balance: with the wastegate open the turbine's work
// equals the compressor's.
func TestBack(t *testing.T) {
	m := model(t)
	b := &m.Mean.Car.Boost
	g := fitGear(m)
	ratio := backOf(b, &g)
	if ratio < 0.3 || ratio > 4 {
		t.Fatalf("back-pressure ratio %.2f", ratio)
	}
	more := g
	more.MaxFlow *= 1.1
	if got := backOf(b, &more); got > 1.15*ratio {
		t.Errorf("a tenth more flow at the same boost: %.3f from %.3f", got, ratio)
	}
}

func BenchmarkMake(b *testing.B) {
	m := model(b)
	n := next(b, m)
	b.ResetTimer()
	for b.Loop() {
		p, err := Make(b.Context(), m, n, Options{Bold: true, Verdict: "clear"})
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(p.Passes), "passes")
	}
}
