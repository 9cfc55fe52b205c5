package health

import (
	"math"
	"testing"

	"traplight/internal/car"
	"traplight/internal/num/changepoint"
)

// lacking is a watch of 60 rows, five gears of 12, whose departure from row 20 on is a
// function of the flow, 1.
func lacking(id string, way float64, gone func(flow float64) float64) *observation {
	r := &rowset{P: 1}
	for i := range 60 {
		flow := 0.90 + 0.25*float64(i%12)/11
		y := 0.0005 * math.Sin(float64(7*i))
		if i >= 20 {
			y += way * gone(flow)
		}
		r.T, r.X, r.Y = append(r.T, 5+0.25*float64(i)), append(r.X, 1), append(r.Y, y)
		r.Load, r.Loose = append(r.Load, flow), append(r.Loose, false)
	}
	o := &observation{look: &look{spec: spec{id: id, small: 0.01}, rows: r}, evidence: 10,
		model: &model{coef: []float64{0}, cov: []float64{1e-4}, noise: 0.002, corr: 0.2, rough: 1, excess: 1}}
	o.hit = changepoint.Hit{At: 20, Size: way * gone(1.02), SD: 0.002}
	o.start = r.T[20]
	return o
}

func TestHowADepartureGoesWithTheFlow(t *testing.T) {
	for _, c := range []struct {
		name      string
		gone      func(flow float64) float64
		low, high float64
	}{
		{"the same share of any flow", func(float64) float64 { return 0.05 }, -0.3, 0.3},
		// What a pump gives stays, and what is asked beyond it is lacking.
		{"a pump at its end", func(q float64) float64 { return max(0, 1-0.95/q) }, 4, 25},
		{"a restriction", func(q float64) float64 { return 0.05 * q * q }, 1.6, 2.4},
		// A hole passes what the pressure drives, whatever the engine takes.
		{"a hole", func(q float64) float64 { return 0.05 / q }, -1.4, -0.6},
	} {
		e, sd, ok := lacking("lambda", 1, c.gone).elasticity()
		if !ok || e < c.low || e > c.high || sd > 1 {
			t.Errorf("%s: %.2f ± %.2f (%v), want %.1f to %.1f", c.name, e, sd, ok, c.low, c.high)
		}
	}
}

func TestAPumpAtItsEndIsToldByTheMixtureAlone(t *testing.T) {
	for _, c := range []struct {
		gone func(flow float64) float64
		want Kind
	}{
		{func(float64) float64 { return 0.05 }, MixtureLean},
		{func(q float64) float64 { return max(0, 1-0.95/q) }, FuelSupply},
	} {
		j := &judge{frame: &frame{sheet: &car.Sheet{Cylinders: 6}}}
		got := attribute([]*observation{lacking("lambda", 1, c.gone)}, nil, j.amounts)
		if got[0].kind != c.want {
			t.Errorf("named %s (%.1f) before %s (%.1f), want %s", got[0].kind, got[0].score, got[1].kind, got[1].score, c.want)
		}
	}
}

// Six kelvin at 4 % of torque lost with the spark in its place is no cooler's doing;
// 25 K at as much is.
func TestHotterChargeAndWhoHeatedIt(t *testing.T) {
	for _, c := range []struct {
		heat, loss float64
		want       Kind
	}{{6, 0.042, BoostLeak}, {25, 0.042, ChargeHeat}, {6, 0.01, ChargeHeat}} {
		h := lacking("charge heat", 1, func(float64) float64 { return c.heat })
		h.hit.SD, h.small, h.model.noise = 0.5, 4, 0.3
		q := lacking("torque over air", -1, func(float64) float64 { return c.loss })
		if c.loss < 0.02 {
			q.evidence = 0
		}
		j := &judge{frame: &frame{sheet: &car.Sheet{Cylinders: 6}}}
		got := attribute([]*observation{h, q}, nil, j.amounts)
		if got[0].kind != c.want {
			t.Errorf("%.0f K, %.1f %%: %s (%.1f) before %s (%.1f), want %s", c.heat, 100*c.loss, got[0].kind, got[0].score, got[1].kind, got[1].score, c.want)
		}
		// With the turbo's speed in the log it would have told.
		quiet := lacking("turbo speed", 1, func(float64) float64 { return 0.001 })
		quiet.evidence = 0
		if got := attribute([]*observation{h, q, quiet}, nil, j.amounts); got[0].kind == BoostLeak {
			t.Errorf("%.0f K, %.1f %%: a leak though the turbo turns no faster", c.heat, 100*c.loss)
		}
	}
}

// Where torque tells nothing, the share of the compressor's heat does: a compressor that
// works harder warms the charge by a few per cent of it, a cooler that fails by many.
func TestTheShareOfTheHeatTellsWhoMadeIt(t *testing.T) {
	for _, c := range []struct {
		heat float64
		want Kind
	}{{4, BoostLeak}, {30, ChargeHeat}} {
		f := &frame{sheet: &car.Sheet{Cylinders: 6}, n: 50, baro: 101325, ambient: 293}
		for range f.n { // 150 kPa of boost: 124 K by the isentropic rise over 0.7
			f.boost, f.full = append(f.boost, 150e3), append(f.full, true)
		}
		if r := f.compressorHeat(); math.Abs(r-124) > 1 {
			t.Fatalf("%.0f K of compressor's heat", r)
		}
		h := lacking("charge heat", 1, func(float64) float64 { return c.heat })
		h.hit.SD, h.small, h.model.noise = 0.5, 4, 0.3
		j := &judge{frame: f}
		got := attribute([]*observation{h}, nil, j.amounts)
		if got[0].kind != c.want {
			t.Errorf("%.0f K: %s (%.1f) before %s (%.1f), want %s", c.heat, got[0].kind, got[0].score, got[1].kind, got[1].score, c.want)
		}
	}
}
