package health

import (
	"encoding/json"
	"fmt"
	"os"
	"strings"
	"testing"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/logfile"
	"traplight/internal/reconstruct"
)

type faultTruth struct {
	Type, Kind, Grade string
	TStart            float64  `json:"t_start"`
	TObs              *float64 `json:"t_observable"`
}

type logTruth struct {
	Passes []struct {
		TLaunch float64 `json:"t_launch"`
		Healthy bool
		Faults  []faultTruth
	}
}

// load reads a reference log as the program does.
func load(t testing.TB, file string, sheet *car.Sheet, notes *car.Notes) []Record {
	t.Helper()
	log, err := logfile.Open(shared(t, "logs/"+file+".csv"))
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
	var out []Record
	for i, p := range res.Passes {
		out = append(out, Record{Name: fmt.Sprintf("%s/%d", file, i), Set: set, Pass: p, Note: notes.For(file+".csv", i), Clear: true})
	}
	return out
}

func readTruth(t testing.TB, file string) (tr logTruth) {
	raw, err := os.ReadFile(shared(t, "logs/"+file+".truth.json"))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(raw, &tr); err != nil {
		t.Fatal(err)
	}
	return tr
}

func TestRealScreens(t *testing.T) {
	notes, err := car.LoadNotes(shared(t, "logs/passes.toml"))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ car, logs string }{
		{"marlin", "a01 a02 a03 a04 a05 a06 a07 a08 a09"}, {"heron", "b01 b02"}, {"otter", "c01_otter_two_passes"}, {"wren", "d01_wren_clock"}, {"tern", "e01_tern"}, {"gannet", "f01_gannet"},
	} {
		sheet, err := car.LoadSheet(shared(t, "logs/car_"+c.car+".toml"))
		if err != nil {
			t.Fatal(err)
		}
		var all []Record
		var truths []logTruth
		var idx []int
		for _, n := range strings.Fields(c.logs) {
			if len(n) == 3 {
				n += "_" + c.car
			}
			tr := readTruth(t, n)
			for i, r := range load(t, n, sheet, notes) {
				r.Clear = len(tr.Passes[i].Faults) == 0
				all = append(all, r)
				truths = append(truths, tr)
				idx = append(idx, i)
			}
		}
		for i, r := range all {
			var h []Record
			for k := range all {
				if k != i {
					h = append(h, all[k])
				}
			}
			for k, past := range [][]Record{h, nil} {
				res := Screen(r, past, sheet)
				t.Logf("%s history %v: %q %s; not judged %v", r.Name, k == 0, res.Verdict, res.Basis, len(res.NotJudged))
				for _, f := range res.Findings {
					t.Logf("   %s %s start %.2f score %.1f chance %.2g others %v: %s", f.Kind, f.Severity, r.Set.Clock.Log(f.Start), f.Score, f.Chance, f.Others, f.Evidence)
				}
				for _, x := range truths[i].Passes[idx[i]].Faults {
					t.Logf("   truth %+v %v", x, *x.TObs)
				}
			}
		}
	}
}
