package forecast_test

import (
	"math"
	"slices"
	"testing"

	"traplight/internal/fitcar"
	"traplight/internal/forecast"
)

// What the sensor of road speed makes wrong in every pass widens the forecast and not the
// gain over the pass before; without a speed there is no gain to tell.
func TestGain(t *testing.T) {
	m := *model(t)
	m.Passes = slices.Clone(m.Passes)
	run := func(sd float64) *forecast.Result {
		for i := range m.Passes {
			o := *m.Passes[i].Obs
			o.TrapSD = sd
			m.Passes[i].Obs = &o
		}
		n := prepare(t, &m, plain())
		r, err := forecast.Run(t.Context(), &m, n, forecast.Options{Draws: 200})
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	sure, doubtful := run(0.03), run(2)
	last := lastOf(&m)
	for _, r := range []*forecast.Result{sure, doubtful} {
		if d := r.Trap.Mean - last.Trap - r.Gain.Mean; math.Abs(d) > 0.5 {
			t.Errorf("the gain is %.2f m/s beside the forecast's", d)
		}
	}
	if d := sure.Gain.SD - sure.Trap.SD; math.Abs(d) > 0.02 {
		t.Errorf("well known speeds: the gain ± %.3f m/s, the speed ± %.3f", sure.Gain.SD, sure.Trap.SD)
	}
	if doubtful.Trap.SD < 1.8 || doubtful.Gain.SD > 0.7 || doubtful.Gain.SD < sure.Gain.SD {
		t.Errorf("poorly known speeds: the gain ± %.2f m/s, the speed ± %.2f", doubtful.Gain.SD, doubtful.Trap.SD)
	}
	o := *last
	o.Trap = math.NaN()
	m.Passes[len(m.Passes)-1].Obs = &o
	if r, err := forecast.Run(t.Context(), &m, prepare(t, &m, plain()), forecast.Options{Draws: 50}); err != nil || r.Gain != nil {
		t.Errorf("a gain over a pass that had no trap speed: %v, %v", r, err)
	}
}

func lastOf(m *fitcar.Model) *fitcar.Observation { return m.Passes[len(m.Passes)-1].Obs }
