package health

import (
	"strings"
	"testing"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/quantity"
	"traplight/internal/reftest"
)

// A rule of common practice that the clear passes break as well is the car's habit and
// said beside the verdict; one that they keep, one that no engine survives, and a limit
// of the sheet are told.
func TestHabitsOfTheCar(t *testing.T) {
	over := breach{kind: Overboost, severity: Moderate, score: ofPractice, text: "boost stays over its target"}
	lean := breach{kind: MixtureLean, severity: Gross, score: ofPractice, text: "lean"}
	gas := breach{kind: CoolantPressure, severity: Moderate, score: ofPractice, text: "gas in the coolant"}
	sheet := breach{kind: Overboost, severity: Moderate, score: most, text: "over the sheet's limit"}
	past := func(with, without int) []Summary {
		var out []Summary
		for range with {
			out = append(out, Summary{Practice: []Kind{Overboost, MixtureLean, CoolantPressure}})
		}
		return append(out, make([]Summary, without)...)
	}
	for _, c := range []struct {
		name          string
		past          []Summary
		breach        breach
		told, doubted bool
	}{
		{"no history", nil, over, true, false},
		{"two passes are no habit", past(2, 0), over, true, false},
		{"all do", past(5, 0), over, false, true},
		{"most do", past(5, 2), over, false, true},
		{"some do", past(3, 4), over, true, false},
		{"no engine survives it", past(7, 0), lean, true, false},
		{"gas in the coolant", past(7, 0), gas, true, false},
		{"the sheet's limit", past(7, 0), sheet, true, false},
	} {
		j := &judge{past: c.past}
		got := j.unusual([]breach{c.breach})
		if len(got) == 1 != c.told || len(j.doubts) == 1 != c.doubted {
			t.Errorf("%s: told %v, doubts %q", c.name, got, j.doubts)
		}
	}
}

// Passes that were logged with more channels are no measure for what is reckoned
// without them: a healthy pass stays clear when a channel is lost.
func TestPoorerLogThanBefore(t *testing.T) {
	notes, err := car.LoadNotes(reftest.Path(t, "logs/passes.toml"))
	if err != nil {
		t.Fatal(err)
	}
	sheet, err := car.LoadSheet(reftest.Path(t, "logs/car_marlin.toml"))
	if err != nil {
		t.Fatal(err)
	}
	var past []Summary
	for _, f := range []string{"a02_marlin", "a03_marlin", "a05_marlin", "a06_marlin"} {
		rs, _ := load(t, f, sheet, notes)
		past = append(past, Summarise(rs[0], sheet))
	}
	rs, _ := load(t, "a01_marlin", sheet, notes)
	for _, q := range []quantity.Name{quantity.ManifoldPressure, quantity.EngineSpeed, quantity.Throttle} {
		now := rs[0]
		set := *now.Set
		set.Channels = nil
		var lost []dictionary.Channel
		for _, c := range now.Set.Channels {
			if c.Quantity == q {
				lost = append(lost, c)
			} else {
				set.Channels = append(set.Channels, c)
			}
		}
		now.Set = &set
		res := ScreenAgainst(now, past, sheet, Options{Units: quantity.Metric})
		if len(lost) == 0 || len(res.Findings) > 0 {
			t.Errorf("without %s (%d lost): %v", q, len(lost), findingsOf(res))
		}
	}
}

func findingsOf(r Result) string {
	var out []string
	for _, f := range r.Findings {
		out = append(out, string(f.Kind)+": "+f.Evidence)
	}
	return strings.Join(out, "; ")
}
