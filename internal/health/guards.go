package health

import (
	"fmt"
	"math"

	"traplight/internal/quantity"
)

// guard is a reading that can be protected.
type guard struct {
	id, what, when string
	q              quantity.Name
	below          bool
	delay          float64 // s
	floor          float64 // smallest spread believed, SI unit
	share          float64 // least spread as a share of the value, 1: strips differ in height, days in air
	boost          float64 // Pa gauge over which it is armed; 0 at any
	cells          func(f *frame) (y []float64, on func(i int) bool)
}

// armedBoost is the boost, Pa gauge, over which the limits of boosted running are armed.
const armedBoost = 50e3

// rpmBand names the bands of engine speed for oil pressure, rad/s.
var rpmBands = []float64{2000 * math.Pi / 30, 3500 * math.Pi / 30, 5000 * math.Pi / 30, 6500 * math.Pi / 30, 12000 * math.Pi / 30}

func guards() []guard {
	boosted := func(f *frame) func(i int) bool {
		return func(i int) bool { return f.full[i] && f.since[i] > 0.6 && f.boost[i] > armedBoost }
	}
	from := func(q quantity.Name) func(f *frame) ([]float64, func(i int) bool) {
		return func(f *frame) ([]float64, func(i int) bool) { return f.first(q), boosted(f) }
	}
	running := func(q quantity.Name) func(f *frame) ([]float64, func(i int) bool) {
		return func(f *frame) ([]float64, func(i int) bool) {
			return f.first(q), func(i int) bool { return f.t[i] > f.launch && f.t[i] < f.end }
		}
	}
	gs := []guard{
		{"fuel over manifold", "fuel pressure over manifold pressure", "0.6 s after a shift", quantity.FuelPressure, true, 0.15, 4e3, 0, armedBoost,
			func(f *frame) ([]float64, func(i int) bool) {
				dp, follows := f.fuelOver()
				if !follows {
					return nil, nil
				}
				return dp, boosted(f)
			}},
		{"lambda", "mixture under boost, lean side", "0.6 s after a shift", quantity.Lambda, false, 0.25, 0.008, 0, armedBoost,
			func(f *frame) ([]float64, func(i int) bool) { return f.highest(quantity.Lambda), boosted(f) }},
		{"coolant pressure", "coolant pressure, gauge", "from the launch", quantity.CoolantPressure, false, 0.5, 6e3, 0, 0, running(quantity.CoolantPressure)},
		{"crankcase pressure", "crankcase pressure, gauge", "from the launch", quantity.CrankcasePressure, false, 0.3, 0.8e3, 0, 0, running(quantity.CrankcasePressure)},
		{"exhaust temperature", "exhaust temperature, hottest", "from the launch", quantity.ExhaustTemperature, false, 0.5, 15, 0, 0,
			func(f *frame) ([]float64, func(i int) bool) {
				return f.highest(quantity.ExhaustTemperature), func(i int) bool { return f.t[i] > f.launch && f.t[i] < f.end }
			}},
		{"coolant temperature", "coolant temperature", "from the launch", quantity.CoolantTemperature, false, 1, 3, 0, 0, running(quantity.CoolantTemperature)},
		{"turbo speed", "turbo speed", "0.6 s after a shift", quantity.TurboSpeed, false, 0.05, 100, 0.03, armedBoost, from(quantity.TurboSpeed)},
	}
	for k := 0; k+1 < len(rpmBands); k++ {
		lo, hi := rpmBands[k], rpmBands[k+1]
		top := fmt.Sprintf(" to %.0f", hi*30/math.Pi)
		if k+2 == len(rpmBands) {
			top = " rpm up"
		} else {
			top += " rpm"
		}
		gs = append(gs, guard{fmt.Sprintf("oil pressure %d", k), "oil pressure, gauge", fmt.Sprintf("engine speed %.0f%s", lo*30/math.Pi, top), quantity.OilPressure, true, 0.2, 10e3, 0, 0,
			func(f *frame) ([]float64, func(i int) bool) {
				return f.first(quantity.OilPressure), func(i int) bool {
					return f.speed[i] >= lo && f.speed[i] < hi && f.t[i] > f.launch-3 && f.t[i] < f.end+3
				}
			}})
	}
	return gs
}

// highest is, cell by cell, the highest reading of all channels of a quantity: the
// leanest bank, the hottest pipe; nil without one.
func (f *frame) highest(q quantity.Name) []float64 {
	var cols [][]float64
	for _, c := range f.lone(q) {
		cols = append(cols, f.column(c))
	}
	if len(cols) == 0 {
		return nil
	}
	return apply(f.n, func(i int) float64 {
		top := nan()
		for _, c := range cols {
			if !(c[i] <= top) {
				top = c[i]
			}
		}
		return top
	})
}
