package health

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/logfile"
	"traplight/internal/quantity"
	"traplight/internal/reconstruct"
	"traplight/internal/reftest"
)

// kindsOfReference translates the reference logs' own names of faults.
var kindsOfReference = map[string]Kind{"fuel_pump_fade": FuelSupply, "boost_leak": BoostLeak, "clutch_slip": ClutchSlip}

type logTruth struct {
	Passes []struct {
		Faults []struct {
			Type string
			TObs *float64 `json:"t_observable"` // s, log's own clock
		}
	}
}

// load reads a reference log as the program does.
func load(t testing.TB, file string, sheet *car.Sheet, notes *car.Notes) ([]Record, logTruth) {
	t.Helper()
	log, err := logfile.Open(reftest.Path(t, "logs/"+file+".csv"))
	if err != nil {
		t.Fatal(err)
	}
	set, err := dictionary.Identify(log, dictionary.Options{MixtureScale: sheet.LambdaScale, Corrections: sheet.Channels})
	if err != nil {
		t.Fatal(err)
	}
	res, err := reconstruct.Passes(set, sheet, notes, reconstruct.Options{File: file + ".csv"})
	if err != nil {
		t.Fatal(err)
	}
	raw, err := os.ReadFile(reftest.Path(t, "logs/"+file+".truth.json"))
	if err != nil {
		t.Fatal(err)
	}
	var tr logTruth
	if err := json.Unmarshal(raw, &tr); err != nil {
		t.Fatal(err)
	}
	if len(res.Passes) != len(tr.Passes) {
		t.Fatalf("%s: %d passes found, %d are there", file, len(res.Passes), len(tr.Passes))
	}
	var out []Record
	for i, p := range res.Passes {
		out = append(out, Record{Name: fmt.Sprintf("%s pass %d", file, i+1), Set: set, Pass: p, Note: notes.For(file+".csv", i), Clear: len(tr.Passes[i].Faults) == 0})
	}
	return out, tr
}

// The reference logs: every fault found with the right kind first and near the
// moment from which it can be seen, no healthy pass worse than clear, with the
// car's history and without it.
func TestReferenceLogs(t *testing.T) {
	notes, err := car.LoadNotes(reftest.Path(t, "logs/passes.toml"))
	if err != nil {
		t.Fatal(err)
	}
	// How near the start must be, s; without a history a leak shows by what the
	// boost then lacks.
	near := map[string][2]float64{"a08_marlin": {0.7, 0.7}, "a09_marlin": {0.2, 5}, "b02_heron": {0.2, 0.3}}
	for _, c := range []struct{ car, logs string }{
		{"marlin", "a01_marlin a02_marlin a03_marlin a04_marlin a05_marlin a06_marlin a07_marlin a08_marlin a09_marlin"},
		{"heron", "b01_heron b02_heron"}, {"otter", "c01_otter_two_passes"}, {"wren", "d01_wren_clock"}, {"tern", "e01_tern"}, {"gannet", "f01_gannet"},
	} {
		sheet, err := car.LoadSheet(reftest.Path(t, "logs/car_"+c.car+".toml"))
		if err != nil {
			t.Fatal(err)
		}
		var recs []Record
		var sums []Summary
		truths := map[string]logTruth{}
		for _, f := range strings.Fields(c.logs) {
			rs, tr := load(t, f, sheet, notes)
			truths[f] = tr
			recs = append(recs, rs...)
		}
		for _, r := range recs {
			sums = append(sums, Summarise(r, sheet))
		}
		for i, r := range recs {
			var past []Summary
			for k := range recs {
				if k != i && recs[k].Clear {
					past = append(past, sums[k])
				}
			}
			file := strings.Fields(r.Name)[0]
			for k, h := range [][]Summary{past, nil} {
				res := ScreenAgainst(r, h, sheet, Options{Units: quantity.Metric})
				if r.Clear {
					if res.Verdict != Clear {
						t.Errorf("%s, %d earlier passes: healthy, but %q: %+v", r.Name, len(h), res.Verdict, res.Findings)
					}
					continue
				}
				fault := truths[file].Passes[0].Faults[0]
				want := kindsOfReference[fault.Type]
				if len(res.Findings) == 0 {
					t.Errorf("%s, %d earlier passes: %s not found", r.Name, len(h), want)
					continue
				}
				f := res.Findings[0]
				off := r.Set.Clock.Log(f.Start) - *fault.TObs
				t.Logf("%s, %d earlier passes: %s, %s, start off by %.2f s: %s", r.Name, len(h), f.Kind, f.Severity, off, f.Evidence)
				if f.Kind != want && !(k == 1 && want == BoostLeak && f.Kind == Underboost) {
					t.Errorf("%s, %d earlier passes: %s, want %s", r.Name, len(h), f.Kind, want)
				}
				if math.Abs(off) > near[file][k] {
					t.Errorf("%s, %d earlier passes: start off by %.2f s, want within %.1f", r.Name, len(h), off, near[file][k])
				}
			}
		}
	}
}

// BenchmarkScreen is one pass against a history of 200, condensed as a store
// keeps it: the whole screen, baseline included.
func BenchmarkScreen(b *testing.B) {
	notes, err := car.LoadNotes(reftest.Path(b, "logs/passes.toml"))
	if err != nil {
		b.Fatal(err)
	}
	sheet, err := car.LoadSheet(reftest.Path(b, "logs/car_marlin.toml"))
	if err != nil {
		b.Fatal(err)
	}
	var past []Summary
	var now Record
	for i := range 8 {
		rs, _ := load(b, fmt.Sprintf("a%02d_marlin", i+1), sheet, notes)
		if i == 7 {
			now = rs[0]
			break
		}
		past = append(past, Summarise(rs[0], sheet))
	}
	for len(past) < 200 {
		past = append(past, past[len(past)%7])
	}
	for b.Loop() {
		ScreenAgainst(now, past, sheet, Options{Units: quantity.Metric})
	}
}
