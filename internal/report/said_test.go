package report

import (
	"strings"
	"testing"

	"traplight/internal/caution"
	"traplight/internal/quantity"
)

// TestSaid: other doors say what the text says, word for word.
func TestSaid(t *testing.T) {
	r := Assemble([]Source{inventedSource()}, nil, Options{})
	var text strings.Builder
	if err := WriteText(&text, r, TextOptions{Units: "us"}); err != nil {
		t.Fatal(err)
	}
	flat := strings.Join(strings.Fields(text.String()), " ")
	said := r.Say(0, quantity.Imperial)
	count := 0
	for _, part := range [][]string{said.Fit, said.Headline, said.Grip, said.Power, said.Air, said.Where, r.SayCautions(quantity.Imperial)} {
		if len(part) == 0 {
			t.Error("a part says nothing")
		}
		for _, s := range part {
			count++
			if !strings.Contains(flat, s) {
				t.Errorf("the text does not say %q", s)
			}
		}
	}
	if count < 12 {
		t.Errorf("only %d sentences", count)
	}
	for name, table := range map[string]Table{"splits": said.Splits, "gears": said.Gears, "engine": said.Engine, "shifts": said.Shifts} {
		if len(table.Rows) == 0 || len(table.Names) != len(table.Units) || len(table.Names) != len(table.Left) {
			t.Errorf("%s: %+v", name, table)
		}
		for _, row := range table.Rows {
			for c, cell := range row {
				if cell != "" && !strings.Contains(text.String(), cell) {
					t.Errorf("%s: cell %q of %q is not in the text", name, cell, table.Names[c])
				}
			}
		}
	}
}

// TestFitSaid: behind every verdict stands what must be done by hand, and behind every one
// but clear that the cause must be found first.
func TestFitSaid(t *testing.T) {
	for verdict, doubted := range map[string]bool{"clear": false, "inspect": true, "stand down": true, "": true} {
		h := &Health{Basis: "own history", NotJudged: []string{"oil: no pressure channel"}}
		if verdict != "" {
			h.Verdict = &verdict
		}
		r := &Report{Passes: []Pass{{Health: h}}}
		fit := strings.Join(r.Say(0, quantity.Metric).Fit, " ")
		if strings.Contains(fit, caution.Doubt) != doubted || !strings.Contains(fit, caution.ByHand) || !strings.Contains(fit, "a channel for oil pressure") {
			t.Errorf("%q: %s", verdict, fit)
		}
	}
}

// TestDoubtsFirst: that log and sheet may not belong together is told before all that rests on
// them.
func TestDoubtsFirst(t *testing.T) {
	doubt := "pass 1: " + OtherCar + ", or what?"
	s := inventedSource()
	s.Notes = append([]string{"something else"}, doubt)
	r := Assemble([]Source{s}, []string{"zeal is not a known key"}, Options{})
	if got := r.Leading(); len(got) != 2 || got[1] != doubt {
		t.Errorf("%q stand first of %q", got, r.Notes)
	}
}

// TestGripSaid: a bound below what was run is no news, and both are told as closely as they
// are known.
func TestGripSaid(t *testing.T) {
	bound, low, high, ran, sd, yes := 0.0, 856.0, 983.0, 859.2, 40.0, true
	gear := Gear{Gear: 6, MeanWheelTorque: &ran, MeanWheelTorqueSD: &sd, CeilingWheel: &bound, CeilingIsBound: &yes}
	r := &Report{Passes: []Pass{{Gears: []Gear{gear}}}}
	for v, want := range map[float64]string{
		low:  "Sixth gear: the tyres carry at least the 860 N·m (± 40) that you ran.",
		high: "Sixth gear: the tyres carry at least 983 N·m; you ran 860.",
	} {
		bound = v
		if got := r.Say(0, quantity.Metric).Grip[0]; got != want {
			t.Errorf("%v: %s", v, got)
		}
	}
}

// TestLostSaid: the first line names what cost most of ours, unless it does not stand out of
// its own spread.
func TestLostSaid(t *testing.T) {
	speed, sd, more := 4.0, 1.0, 9.0
	s := &Pass{Ledger: []Ledger{{Cause: "shifts", Group: "ours", SpeedMps: &speed, SDMps: &sd}, {Cause: "drag", Group: "given", SpeedMps: &more, SDMps: &sd}}}
	if got := s.SayLost(quantity.Metric); !strings.HasPrefix(got, "Most of what is ours to change went to shifts: 14 km/h (± 4)") {
		t.Error(got)
	}
	sd = 5
	if got := s.SayLost(quantity.Metric); !strings.HasPrefix(got, "Nothing of what is ours to change stands out; the most is shifts") {
		t.Error(got)
	}
	if got := (&Pass{}).SayLost(quantity.Metric); got != "" {
		t.Error(got)
	}
}

// TestShortSaid: a log that ends first does not tell that the line was not reached; a lift does.
func TestShortSaid(t *testing.T) {
	speed, at, lift := 60.0, 11.5, 12.0
	s := Pass{LaunchS: &at, Splits: []Split{{Mark: "1/4 mile", TimeS: &at, SpeedMps: &speed}}}
	r := &Report{Passes: []Pass{s}}
	if got := strings.Join(r.Say(0, quantity.Metric).Headline, " "); !strings.HasPrefix(got, "The log ends before the line. Last mark passed: 1/4 mile at 216.00 km/h") {
		t.Error(got)
	}
	r.Passes[0].LiftS = &lift
	if got := strings.Join(r.Say(0, quantity.Metric).Headline, " "); !strings.HasPrefix(got, "The pass was given up before the line. Last mark") {
		t.Error(got)
	}
	r.Passes[0].Splits = nil
	if got := strings.Join(r.Say(0, quantity.Metric).Headline, " "); got != "The pass was given up before the line, and before any mark." {
		t.Error(got)
	}
}

// TestNextSaid: the report ends with the way to the next pass, which no card opens before the
// car was looked over where it was not found clear, and which no plan is made for without gears.
func TestNextSaid(t *testing.T) {
	at := 1.0
	for verdict, want := range map[string]string{"clear": "`traplight plan`", "inspect": "`traplight plan`", "stand down": "No card yet", "": "No card yet", "clear, no gears": "No plan without gears"} {
		s := Pass{LaunchS: &at, Health: &Health{}, Gears: []Gear{{Gear: 1}}}
		if word, bare := strings.CutSuffix(verdict, ", no gears"); bare {
			verdict, s.Gears = word, nil
		}
		if verdict != "" {
			s.Health.Verdict = &verdict
		}
		var b strings.Builder
		if err := WriteText(&b, &Report{Passes: []Pass{{LaunchS: &at}, s}}, TextOptions{Width: 200}); err != nil {
			t.Fatal(err)
		}
		if _, next, _ := strings.Cut(b.String(), "\nNext pass\n  "); !strings.HasPrefix(next, want) || strings.Count(b.String(), "Next pass") != 1 {
			t.Errorf("%q: %s", verdict, b.String())
		}
	}
}

// TestAccount: the costliest line of each group stands first, and one below zero is explained,
// in the text's table and to other doors, where it is surely below.
func TestAccount(t *testing.T) {
	line := func(cause, group string, speed, sd float64) Ledger {
		return Ledger{Cause: cause, Group: group, SpeedMps: &speed, SDMps: &sd}
	}
	r := &Report{Passes: []Pass{{Ledger: []Ledger{line("grip", "ours", 0.2, 0.1), line("shifts", "ours", 2, 0.5), line("driver", "ours", -0.3, 0.5),
		line("air", "given", 1, 0.2), line("drag", "given", 6, 0.5), line("wind", "given", -1, 0.3), {Cause: "power", Group: "ours"}}}}}
	var text strings.Builder
	if err := WriteText(&text, r, TextOptions{Units: "metric"}); err != nil {
		t.Fatal(err)
	}
	_, table, _ := strings.Cut(text.String(), "km/h\n")
	table, _, _ = strings.Cut(table, "\n\n")
	var causes []string
	for row := range strings.Lines(table) {
		causes = append(causes, strings.Fields(row)[0])
	}
	if got := strings.Join(causes, " "); got != "shifts grip driver drag air wind" || !strings.Contains(table, "given: gained, by tail wind") {
		t.Errorf("%s in\n%s", got, text.String())
	}
	gains := r.Say(0, quantity.Metric).Gains
	if len(gains) != 1 || gains[0] != "Wind: -3.6 km/h (± 1.1), gained, by tail wind." {
		t.Errorf("gains: %q", gains)
	}
}
