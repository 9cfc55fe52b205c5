package health

import (
	"math"
	"testing"

	"traplight/internal/car"
	"traplight/internal/pass"
	"traplight/internal/quantity"
)

// Worked by hand: 600 kW at 7500 rpm from 3.2 l in six cylinders whose bore is
// 88 mm: 100 kW a cylinder, 187.5 kW a litre, 4π·763.9/0.0032 = 3.0 MPa, stroke
// 3.2e-3·4/(6π·0.088²) = 87.69 mm, 2·0.08769·125 = 21.9 m/s.
func TestLoadOf(t *testing.T) {
	p := &pass.Pass{Power: &pass.Power{PeakWheel: quantity.Estimate{Value: 540e3}, EngineSpeed: 7500 * math.Pi / 30}}
	s := &car.Sheet{Displacement: 3.2e-3, Cylinders: 6, Bore: 0.088, LossShare: quantity.Estimate{Value: 0.1}}
	l, ok := LoadOf(p, s)
	if !ok {
		t.Fatal("no load")
	}
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"crank power", l.CrankPower, 600e3}, {"a cylinder", l.PerCylinder, 100e3}, {"a litre", l.PerVolume * 1e-3, 187.5e3},
		{"mean effective pressure", l.MeanEffective, 3.0e6}, {"mean piston speed", l.PistonSpeed, 21.92},
	} {
		if math.Abs(c.got/c.want-1) > 2e-3 {
			t.Errorf("%s %.6g, want %.6g", c.name, c.got, c.want)
		}
	}
	if s.Bore = 0; !mustLoad(t, p, s).StrokeGuessed {
		t.Error("a stroke that nobody told is not marked")
	}
	p.Power.EngineSpeed = math.NaN()
	if _, ok := LoadOf(p, s); ok {
		t.Error("a load at an engine speed that is not known")
	}
	p.Power.EngineSpeed = 700
	s.Displacement = 0
	if _, ok := LoadOf(p, s); ok {
		t.Error("a load without the engine's size")
	}
	double := l
	double.CrankPower *= 2
	h := PastLoads([]Summary{{Load: &l}, {}, {Load: &double}, {Load: &l}})
	if h == nil || h.Passes != 3 || h.Middle.CrankPower != l.CrankPower || h.Highest.CrankPower != double.CrankPower || h.Highest.PistonSpeed != l.PistonSpeed {
		t.Errorf("history %+v", h)
	}
	if PastLoads(nil) != nil {
		t.Error("a history out of nothing")
	}
}

func mustLoad(t *testing.T, p *pass.Pass, s *car.Sheet) Load {
	t.Helper()
	l, ok := LoadOf(p, s)
	if !ok {
		t.Fatal("no load")
	}
	return l
}
