package forecast_test

import (
	"math"
	"testing"

	"traplight/internal/fitcar/fitcartest"
	"traplight/internal/forecast"
	"traplight/internal/ledger"
	"traplight/internal/physics/air"
	"traplight/internal/sim"
	"traplight/internal/sim/simtest"
)

// A pass of the record comes out in standard air as the car itself runs there, and the
// standard correction stands beside it.
func TestOtherDay(t *testing.T) {
	m := model(t)
	runs, err := fitcartest.Record(3, 1, simtest.InventedPass().Target)
	if err != nil {
		t.Fatal(err)
	}
	r, err := forecast.Run(t.Context(), m, prepare(t, m, plain()), forecast.Options{Draws: 40})
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Past) != len(runs) {
		t.Fatalf("%d passes in standard air, want %d", len(r.Past), len(runs))
	}
	for i, q := range r.Past {
		there := *runs[i].Pass
		there.Air = ledger.Reference
		truth, err := (&sim.Runner{Car: simtest.Invented()}).Run(&there)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(q.Speed-truth.Trap) > 3*q.SD+0.1 || q.SD <= 0 {
			t.Errorf("%s ran %.2f m/s, in standard air %.2f ± %.2f, truth %.2f", q.Pass, q.Trap, q.Speed, q.SD, truth.Trap)
		}
		was := runs[i].Obs.Air
		f, _ := air.CorrectionJ1349(was.Temperature, was.Pressure, 0.5)
		if q.J1349 == nil || q.J607 == nil || math.Abs(q.J1349.Speed-q.Trap*math.Cbrt(f)) > 1e-9 || q.J607.Speed <= q.J1349.Speed {
			t.Errorf("%s: corrections %+v, %+v", q.Pass, q.J1349, q.J607)
		}
	}
	if r.Standard <= 0 || math.Abs(r.Standard-r.Trap.Mean-(r.Past[0].Speed-r.Past[0].Trap)) > 1 {
		t.Errorf("pass to come %.2f, in standard air %.2f; the last ran %.2f, there %.2f", r.Trap.Mean, r.Standard, r.Past[0].Trap, r.Past[0].Speed)
	}
}
