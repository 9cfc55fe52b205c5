package fitcar_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"testing"

	"traplight/internal/fitcar"
	"traplight/internal/fitcar/fitcartest"
	"traplight/internal/sim"
	"traplight/internal/sim/simtest"
)

// What went into the record comes out of the fit: torque, boost dynamics, driver and
// the traps of the passes themselves.
func TestRecovery(t *testing.T) {
	runs, err := fitcartest.Record(3, 1, simtest.InventedPass().Target)
	if err != nil {
		t.Fatal(err)
	}
	m, err := fitcar.Fit(t.Context(), fitcartest.Sheet(), fitcartest.Observations(runs), fitcar.Options{Members: 4})
	if err != nil {
		t.Fatal(err)
	}
	truth, got := simtest.Invented(), m.Mean.Car
	// crank torque, N·m, at an engine speed, rad/s, and manifold pressure, Pa absolute
	torque := func(c *sim.Car, speed, pressure float64) float64 {
		const barometer, ambient = 100e3, 295
		e := &c.Engine
		return e.Torque(speed, e.Charge(speed, pressure, e.LateCharge(ambient, sim.Head(barometer, pressure)), 0))
	}
	for _, c := range []struct {
		name      string
		got, want float64
		tol       float64 // 1, relative
	}{
		{"torque at 6500 rpm, 250 kPa", torque(got, 680, 250e3) * m.Mean.Scale[3], torque(truth, 680, 250e3), 0.03},
		{"torque at 5500 rpm, 150 kPa", torque(got, 576, 150e3) * m.Mean.Scale[2], torque(truth, 576, 150e3), 0.05},
		{"torque at 7200 rpm, 300 kPa", torque(got, 754, 300e3) * m.Mean.Scale[4], torque(truth, 754, 300e3), 0.03},
		{"decay with the throttle shut", got.Boost.Decay, truth.Boost.Decay, 0.1},
		{"engine speed over the aim", m.Driver.Over, 8, 0.9},
	} {
		if math.Abs(c.got/c.want-1) > c.tol {
			t.Errorf("%s: %.4g, truth %.4g", c.name, c.got, c.want)
		}
	}
	for i, r := range m.Mean.Residual {
		if math.Abs(r) > 0.4 {
			t.Errorf("pass %d: the replay misses the trap by %.2f m/s", i, r)
		}
	}
	if len(m.Unlearned) == 0 {
		t.Error("nothing is said to be unlearned, yet nitrous was never used")
	}
}

// Without a manifold pressure the model still answers, and says what is missing.
func TestWithoutBoost(t *testing.T) {
	runs, _ := fitcartest.Record(2, 2, simtest.InventedPass().Target)
	obs := fitcartest.Observations(runs)
	for _, o := range obs {
		o.Boost = nil
	}
	m, err := fitcar.Fit(t.Context(), fitcartest.Sheet(), obs, fitcar.Options{Members: 2})
	if err != nil {
		t.Fatal(err)
	}
	for i, r := range m.Mean.Residual {
		if !(math.Abs(r) < 2.5) {
			t.Errorf("pass %d: residual %.2f m/s", i, r)
		}
	}
	if m.HasBoost || m.Unlearned[0] != "the whole air path: no channel for manifold pressure" {
		t.Errorf("%v", m.Unlearned)
	}
}

// A pass that is far from the others is told and counts for little.
func TestOddPass(t *testing.T) {
	runs, _ := fitcartest.Record(4, 3, simtest.InventedPass().Target)
	runs[2].Obs.Trap -= 6
	m, err := fitcar.Fit(t.Context(), fitcartest.Sheet(), fitcartest.Observations(runs), fitcar.Options{Members: 2})
	if err != nil {
		t.Fatal(err)
	}
	if m.Passes[2].Weight > 0.2 || len(m.Notes) == 0 {
		t.Errorf("weight %g, notes %v", m.Passes[2].Weight, m.Notes)
	}
}

func TestFitRefuses(t *testing.T) {
	if _, err := fitcar.Fit(t.Context(), fitcartest.Sheet(), nil, fitcar.Options{}); !errors.Is(err, fitcar.ErrNothing) {
		t.Error(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	stop()
	runs, _ := fitcartest.Record(1, 4, simtest.InventedPass().Target)
	if _, err := fitcar.Fit(ctx, fitcartest.Sheet(), fitcartest.Observations(runs), fitcar.Options{}); !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
}

// The fit of a day's passes and of a long record.
func BenchmarkFit(b *testing.B) {
	for _, passes := range []int{4, 15} {
		b.Run(fmt.Sprintf("%d passes", passes), func(b *testing.B) {
			runs, err := fitcartest.Record(passes, 1, simtest.InventedPass().Target)
			if err != nil {
				b.Fatal(err)
			}
			obs := fitcartest.Observations(runs)
			for b.Loop() {
				if _, err := fitcar.Fit(context.Background(), fitcartest.Sheet(), obs, fitcar.Options{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
