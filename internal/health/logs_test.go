package health

import (
	"testing"
)

func TestTruthScreens(t *testing.T) {
	for _, car := range []struct {
		name    string
		healthy []string
		faulty  []string
	}{
		{"marlin", []string{"a01", "a02", "a03", "a04", "a05", "a06", "a07"}, []string{"a08", "a09"}},
		{"heron", []string{"b01"}, []string{"b02"}},
	} {
		sheet := sheetOf(t, car.name)
		var hist []Record
		for _, n := range car.healthy {
			r, _ := fromTruth(t, n+"_"+car.name)
			r.Note = noteOf(t, n+"_"+car.name)
			hist = append(hist, r)
		}
		show := func(r Record, h []Record, tr truthFile) {
			for k, past := range [][]Record{h, nil} {
				res := Screen(r, past, sheet)
				t.Logf("%s history %v: %q %s", r.Name, k == 0, res.Verdict, res.Basis)
				for _, f := range res.Findings {
					t.Logf("   %s %s start %.2f score %.1f chance %.2g others %v: %s", f.Kind, f.Severity, f.Start, f.Score, f.Chance, f.Others, f.Evidence)
				}
				for _, x := range tr.Passes[0].Faults {
					t.Logf("   truth %+v %v", x, *x.TObs)
				}
			}
		}
		for i := range hist {
			var h []Record
			for k := range hist {
				if k != i {
					h = append(h, hist[k])
				}
			}
			show(hist[i], h, truthFile{Passes: []struct {
				TLaunch    float64 `json:"t_launch"`
				TFinalLift float64 `json:"t_final_lift"`
				Gears      []struct {
					Gear   int
					TStart float64 `json:"t_start"`
					TEnd   float64 `json:"t_end"`
				}
				Trace struct {
					TLog   []float64 `json:"t_log"`
					X, V   []float64
					A      []float64
					Gear   []int
					Slip   []float64
					Hub    []float64 `json:"hub_torque"`
					Driven []float64 `json:"driven_load"`
				} `json:"trace_20hz"`
				Faults []struct {
					Type, Grade string
					TStart      float64  `json:"t_start"`
					TObs        *float64 `json:"t_observable"`
				}
			}{{}}})
		}
		for _, n := range car.faulty {
			r, tr := fromTruth(t, n+"_"+car.name)
			r.Note = noteOf(t, n+"_"+car.name)
			show(r, hist, tr)
		}
	}
}
