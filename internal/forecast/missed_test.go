package forecast

import (
	"math"
	"strings"
	"testing"

	"traplight/internal/fitcar"
)

// A forecast is no surer than the best known trap speed of the record; one that is well
// known corrects what passes that are not had made of the car.
func TestMissing(t *testing.T) {
	near := func(what string, got, want, within float64) {
		t.Helper()
		if math.Abs(got-want) > within {
			t.Errorf("%s %.3f, not %.3f ± %.3f", what, got, want, within)
		}
	}
	record := func(sd, residual []float64) (*fitcar.Model, *fitcar.Member) {
		m := &fitcar.Model{}
		for i := range sd {
			m.Passes = append(m.Passes, fitcar.PassFit{Obs: &fitcar.Observation{Trap: 80, TrapSD: sd[i], Hour: float64(i)}, Weight: 1})
		}
		return m, &fitcar.Member{Residual: residual}
	}
	nan := math.NaN()
	m, mem := record([]float64{2, 2, 2}, []float64{0.1, -0.1, 0})
	mean, sd, shared := missing(m, mem, &Next{Hour: 4})
	near("spread of a gain", sd, 0.2, 0.1)
	sd = math.Hypot(sd, shared)
	near("mean of three poorly known", mean, 0, 0.02)
	near("spread of three poorly known", sd, 2, 0.05)
	if notes := knownNote(m, &Spread{Mean: 0.8, SD: 0.24}); len(notes) != 1 || !strings.Contains(notes[0], "+1.0 ± 0.3 %") {
		t.Error("not told that the trap speeds are poorly known")
	}
	m, mem = record([]float64{0.02, 0.02, 0.02}, []float64{0.1, -0.1, 0})
	_, sure, _ := missing(m, mem, &Next{Hour: 4})
	if len(knownNote(m, nil)) != 0 {
		t.Error("told that well known trap speeds are poorly known")
	}
	if sure > 0.25 || sure < missOnce*80 {
		t.Errorf("spread of three well known %.3f m/s", sure)
	}
	m, mem = record([]float64{2, 2, 0.05}, []float64{0, 0, -1.5})
	mean, sd, _ = missing(m, mem, &Next{Hour: 4})
	near("mean with one well known", mean, -1.4, 0.15)
	near("spread with one well known", sd, 0.3, 0.15)
	m, mem = record([]float64{2}, []float64{nan})
	_, sd, shared = missing(m, mem, &Next{Hour: 4})
	sd = math.Hypot(sd, shared)
	if sd < 2 {
		t.Errorf("spread without a replay %.3f m/s is under that of the trap speed", sd)
	}
	m, mem = record([]float64{0.02}, []float64{nan})
	if _, sd, _ = missing(m, mem, &Next{Hour: 4}); sd < missBlind*80 {
		t.Errorf("spread of a car that nothing is held against %.3f m/s", sd)
	}
	// what is missed by far more than sound models miss is in doubt by what is over that
	m, mem = record([]float64{0.02, 0.02, 0.02}, []float64{4.8, 4.9, 4.7})
	mean, sd, _ = missing(m, mem, &Next{Hour: 4})
	near("spread of a car that the model misses by 6 %", sd, mean-missOdd*80, 0.2)
}
