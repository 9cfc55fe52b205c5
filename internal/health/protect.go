package health

import (
	"fmt"
	"math"
	"slices"

	"traplight/internal/num/stats"
	"traplight/internal/quantity"
)

// Threshold is a limit that the owner may enter in the engine computer, which
// alone is there in time: taken from the car's own clear passes. A trip means
// cutting power or boost at once (common practice).
type Threshold struct {
	What    string            `json:"what"`                 // "fuel pressure over manifold pressure"
	Measure quantity.Name     `json:"measure"`              // whose unit Value has
	Below   bool              `json:"below"`                // trips below Value, else above
	Value   float64           `json:"value"`                // SI unit of Measure
	Delay   float64           `json:"delay_s"`              // s for which it must last
	Boost   float64           `json:"over_boost_pa"`        // Pa gauge over which it is armed; 0 at any
	When    string            `json:"when"`                 // further condition: "0.6 s after a shift"
	Chance  float64           `json:"chance_of_false_trip"` // 1, in a pass like the clear ones
	Passes  int               `json:"passes"`               // clear passes it rests on
	Extreme quantity.Estimate `json:"-"`                    // the clear passes' most extreme held value: mean and spread, SI unit of Measure
}

// Condition says when the limit is armed, in a world's units.
func (t Threshold) Condition(w quantity.World) string {
	if t.Boost > 0 {
		return "boost over " + w.Pressure(t.Boost) + ", " + t.When
	}
	return t.When
}

// guard is a reading that can be protected.
type guard struct {
	id, what, when string
	q              quantity.Name
	below          bool
	delay          float64 // s
	floor          float64 // smallest spread believed, SI unit
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
		{"fuel over manifold", "fuel pressure over manifold pressure", "0.6 s after a shift", quantity.FuelPressure, true, 0.15, 4e3, armedBoost,
			func(f *frame) ([]float64, func(i int) bool) {
				dp, follows := f.fuelOver()
				if !follows {
					return nil, nil
				}
				return dp, boosted(f)
			}},
		{"lambda", "mixture under boost, lean side", "0.6 s after a shift", quantity.Lambda, false, 0.25, 0.008, armedBoost,
			func(f *frame) ([]float64, func(i int) bool) {
				var cols [][]float64
				for _, c := range f.lone(quantity.Lambda) {
					cols = append(cols, f.column(c))
				}
				if len(cols) == 0 {
					return nil, nil
				}
				// The leanest bank counts.
				return apply(f.n, func(i int) float64 {
					top := nan()
					for _, c := range cols {
						if !(c[i] <= top) {
							top = c[i]
						}
					}
					return top
				}), boosted(f)
			}},
		{"coolant pressure", "coolant pressure, gauge", "from the launch", quantity.CoolantPressure, false, 0.5, 6e3, 0, running(quantity.CoolantPressure)},
		{"crankcase pressure", "crankcase pressure, gauge", "from the launch", quantity.CrankcasePressure, false, 0.3, 0.8e3, 0, running(quantity.CrankcasePressure)},
		{"exhaust temperature", "exhaust temperature, hottest", "from the launch", quantity.ExhaustTemperature, false, 0.5, 15, 0,
			func(f *frame) ([]float64, func(i int) bool) {
				var cols [][]float64
				for _, c := range f.lone(quantity.ExhaustTemperature) {
					cols = append(cols, f.column(c))
				}
				if len(cols) == 0 {
					return nil, nil
				}
				return apply(f.n, func(i int) float64 {
					top := nan()
					for _, c := range cols {
						if !(c[i] <= top) {
							top = c[i]
						}
					}
					return top
				}), func(i int) bool { return f.t[i] > f.launch && f.t[i] < f.end }
			}},
		{"coolant temperature", "coolant temperature", "from the launch", quantity.CoolantTemperature, false, 1, 3, 0, running(quantity.CoolantTemperature)},
		{"turbo speed", "turbo speed", "0.6 s after a shift", quantity.TurboSpeed, false, 0.05, 100, armedBoost, from(quantity.TurboSpeed)},
	}
	for k := 0; k+1 < len(rpmBands); k++ {
		lo, hi := rpmBands[k], rpmBands[k+1]
		top := fmt.Sprintf(" to %.0f", hi*30/math.Pi)
		if k+2 == len(rpmBands) {
			top = " rpm up"
		} else {
			top += " rpm"
		}
		gs = append(gs, guard{fmt.Sprintf("oil pressure %d", k), "oil pressure, gauge", fmt.Sprintf("engine speed %.0f%s", lo*30/math.Pi, top), quantity.OilPressure, true, 0.2, 10e3, 0,
			func(f *frame) ([]float64, func(i int) bool) {
				return f.first(quantity.OilPressure), func(i int) bool {
					return f.speed[i] >= lo && f.speed[i] < hi && f.t[i] > f.launch-3 && f.t[i] < f.end+3
				}
			}})
	}
	return gs
}

// extremes gives, by guard, the most extreme value that a pass held for the
// guard's delay.
func (f *frame) extremes() map[string]float64 {
	out := map[string]float64{}
	if f.n == 0 {
		return out
	}
	for _, g := range guards() {
		y, on := g.cells(f)
		if y == nil {
			continue
		}
		k := max(1, int(math.Round(g.delay/cell)))
		best, seen := math.Inf(1), false
		s := 1.0
		if !g.below {
			s = -1
		}
		// Held: the mildest value of k cells in a row.
		run := make([]float64, 0, k)
		for i := range f.t {
			if !on(i) || math.IsNaN(y[i]) {
				run = run[:0]
				continue
			}
			if len(run) == k {
				copy(run, run[1:])
				run = run[:k-1]
			}
			run = append(run, s*y[i])
			if len(run) == k {
				best, seen = min(best, slices.Max(run)), true
			}
		}
		if seen {
			out[g.id] = s * best
		}
	}
	return out
}

// falseTrip is the chance, by pass, of a false trip for which thresholds are set.
const falseTrip = 1e-3

// Protection proposes thresholds from the clear passes in past; it needs three
// passes for a guard. The held extremes of the passes are taken as a normal
// sample with the guard's least spread added, and the threshold is set where the
// next pass would reach it with chance 1e-3 (prediction with Student's t, df n−1).
func Protection(past []Summary) []Threshold {
	var out []Threshold
	for _, g := range guards() {
		var x []float64
		for _, s := range past {
			if v, ok := s.Extremes[g.id]; ok {
				x = append(x, v)
			}
		}
		n := float64(len(x))
		if len(x) < 3 {
			continue
		}
		m, sd := stats.MeanSD(x)
		sd = math.Hypot(sd, g.floor)
		k := tQuantile(falseTrip, n-1+priorPasses) * math.Sqrt(1+1/n)
		v := m + k*sd
		if g.below {
			v = m - k*sd
		}
		if g.below && v <= 0 {
			continue
		}
		out = append(out, Threshold{What: g.what, Measure: g.q, Below: g.below, Value: v, Delay: g.delay, Boost: g.boost, When: g.when, Chance: falseTrip, Passes: len(x),
			Extreme: quantity.Estimate{Value: m, SD: sd}})
	}
	return out
}

// tQuantile is the value that a Student-t variable of df degrees of freedom
// passes with chance p (one-sided), by bisection.
func tQuantile(p, df float64) float64 {
	lo, hi := 0.0, 1e3
	for range 80 {
		m := (lo + hi) / 2
		if stats.TwoSided(m, df)/2 > p {
			lo = m
		} else {
			hi = m
		}
	}
	return (lo + hi) / 2
}
