package health

import (
	"testing"

	"traplight/internal/car"
)

// moving is a watch that departs by size from its 20th row on, against a history; small
// in the unit of size.
func moving(id string, size, small float64) *observation {
	o := lacking(id, 1, func(float64) float64 { return size })
	o.small = small
	o.model.cov, o.model.wander, o.model.excess, o.model.passes, o.model.df = []float64{1e-6}, []float64{0.001}, 1, 6, 10
	return o
}

func first(t *testing.T, j *judge, obs ...*observation) Kind {
	t.Helper()
	got := attribute(obs, nil, j.amounts)
	if len(got) == 0 {
		t.Fatal("no kind explains what moved")
	}
	return got[0].kind
}

func TestKindsThatMoveTheSameWatchesAreToldByAmounts(t *testing.T) {
	plain := &judge{frame: &frame{sheet: &car.Sheet{Cylinders: 6}}}
	gas := &judge{frame: plain.frame, gas: true}
	cold := moving("exhaust apart 1", -120, 12)
	hot := moving("exhaust apart 1", 60, 12)
	late := moving("knock level", 0.6, 0.25)
	late.start += 4
	late.evidence = 12
	for _, c := range []struct {
		name string
		j    *judge
		obs  []*observation
		want Kind
	}{
		// Work goes as the square of the speed: little more pressure for the turbine.
		{"a blocked inlet", plain, []*observation{moving("turbo speed", 0.06, 0.012), moving("back-pressure", 0.06, 0.04)}, TurboOverspeed},
		{"a hole in the pipe", plain, []*observation{moving("turbo speed", 0.03, 0.012), moving("back-pressure", 0.10, 0.04)}, BoostLeak},
		{"a hole, and nothing lost before the compressor", plain, []*observation{moving("turbo speed", 0.06, 0.012), moving("back-pressure", 0.08, 0.04), moving("inlet depression", 400, 1500)}, BoostLeak},
		{"heat that the thermometer shows too", plain, []*observation{moving("coolant swell", 0.02e6, 6e3), moving("coolant heat", 4, 2)}, Overheat},
		{"gas in the coolant", gas, []*observation{moving("coolant swell", 0.02e6, 6e3), moving("coolant pressure", 0.02e6, 6e3), moving("coolant heat", 0.001, 2)}, CoolantPressure},
		// Oxygen says lean and the exhaust is cold: it did not burn.
		{"a cylinder that does not fire", plain, []*observation{cold, moving("lambda apart 1", 0.05, 0.012)}, CylinderDown},
		{"a bank with less fuel", plain, []*observation{hot, moving("lambda apart 1", 0.05, 0.012)}, MixtureImbalance},
		{"an exhaust in the way", plain, []*observation{moving("torque over air", -0.06, 0.04), moving("injectors over air", -0.04, 0.03)}, TurbineChoke},
		{"a loss behind the engine", plain, []*observation{moving("torque over air", -0.06, 0.04), moving("injectors over air", 0.0001, 0.03), moving("lambda", 0.0001, 0.015)}, Driveline},
		{"a small loss without unburnt oxygen", plain, []*observation{moving("torque over air", -0.047, 0.04), moving("lambda", 0.001, 0.015)}, Driveline},
		{"a small loss with it", plain, []*observation{moving("torque over air", -0.047, 0.04), moving("lambda", 0.02, 0.015)}, CylinderDown},
		{"knock of a hot charge", plain, []*observation{moving("charge heat", 10, 4), late}, ChargeHeat},
	} {
		for _, o := range c.obs {
			if o.hit.Size > -o.small/2 && o.hit.Size < o.small/2 {
				o.evidence = 0
			}
		}
		if got := first(t, c.j, c.obs...); got != c.want {
			t.Errorf("%s is called %s, want %s", c.name, got, c.want)
		}
	}
}

func TestBoostFarOutOfReachIsNoLeak(t *testing.T) {
	j := &judge{frame: &frame{sheet: &car.Sheet{Cylinders: 6}}}
	if got := first(t, j, moving("boost short of target", -150e3, 8e3), moving("back-pressure", 0.12, 0.04), moving("turbo speed", -0.2, 0.012)); got != Underboost {
		t.Errorf("a gate that stays open is called %s", got)
	}
}
