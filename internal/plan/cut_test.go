package plan

import (
	"context"
	"strings"
	"testing"

	"traplight/internal/fitcar"
	"traplight/internal/fitcar/fitcartest"
	"traplight/internal/forecast"
	"traplight/internal/sim"
	"traplight/internal/sim/simtest"
)

// electronic is the invented car with more boost in its second gear than its tyres carry
// and electronics that cut torque on slip, fitted to two passes.
func electronic(t *testing.T, grip float64) *fitcar.Model {
	t.Helper()
	c := simtest.Invented()
	c.Tyre.Peak, c.SlipCut, c.SlipCutWidth = grip, 0.14, 0.08
	runs, err := fitcartest.RecordOf(c, 2, 1, []float64{60e3, 190e3, 190e3, 200e3, 200e3})
	if err != nil {
		t.Fatal(err)
	}
	for _, q := range runs {
		q.Obs.Sheet.SlipCut = true
		res, err := (&sim.Runner{Car: c, Watch: true}).Run(q.Pass)
		if err != nil {
			t.Fatal(err)
		}
		for _, g := range res.Gears {

			q.Obs.Gears = append(q.Obs.Gears, fitcar.GearSeen{Gear: g.Gear, Cut: g.Cut > cutShare})
		}
	}
	sheet := fitcartest.Sheet()
	sheet.SlipCut = true
	m, err := fitcar.Fit(context.Background(), sheet, fitcartest.Observations(runs), fitcar.Options{Members: 3})
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// Where electronics cut torque the plan says so, gear by gear, tells that from what the
// tyres carry, and lowers boost until the cut hardly acts; where it cannot, it says that.
func TestElectronicsCut(t *testing.T) {
	for _, c := range []struct {
		name   string
		grip   float64 // 1, of the tyres
		eased  bool
		told   string
		untold string
	}{
		{"acts a little", 1.25, true, "with these settings they hardly act", "still cut torque"},
		{"acts all the time", 1.15, false, "with these settings the electronics still cut torque in gear 2", "hardly act (limit 'torque cut'); the chance"},
	} {
		m := electronic(t, c.grip)
		n, err := forecast.Prepare(m, nil, nil)
		if err != nil {
			t.Fatal(err)
		}
		p := make1(t, m, n, Options{Draws: 24, Bold: !c.eased})
		told := strings.Join(p.Notes, "\n")
		for _, want := range []string{"in gear 2 the electronics cut torque: what the tyres carry there is known as 'at least' only", c.told} {
			if !strings.Contains(told, want) {
				t.Errorf("%s: %q is not told:\n%s", c.name, want, told)
			}
		}
		if strings.Contains(told, c.untold) {
			t.Errorf("%s: %q is told:\n%s", c.name, c.untold, told)
		}
		var cut []Limit
		for _, l := range p.Limits {
			if l.Limit == torqueCut {
				cut = append(cut, l)
			}
		}
		if len(cut) != len(p.Settings.Boost) {
			t.Fatalf("%s: torque cut is a limit in %d of %d gears", c.name, len(cut), len(p.Settings.Boost))
		}
		if b := p.Settings.Boost[1]; c.eased != (b < 190 && cut[1].Chance <= 0.2) || b > 190 {
			t.Errorf("%s: %.0f kPa in the second gear, run at 190; the cut acts with chance %.2f", c.name, b, cut[1].Chance)
		}
		if cut[4].Chance > 0.05 {
			t.Errorf("%s: the cut acts in the last gear with chance %.2f", c.name, cut[4].Chance)
		}
	}
}

// A car without electronics has no such limit and no word of them.
func TestNoElectronics(t *testing.T) {
	p, err := plain()
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range p.Limits {
		if l.Limit == torqueCut {
			t.Error("a torque cut without electronics")
		}
	}
	if told := strings.Join(p.Notes, "\n"); strings.Contains(told, "electronics") {
		t.Error(told)
	}
}
