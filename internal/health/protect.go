package health

import (
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

	id string // of its guard
}

// Condition says when the limit is armed, in a world's units.
func (t Threshold) Condition(w quantity.World) string {
	if t.Boost > 0 {
		return "boost over " + w.Pressure(t.Boost) + ", " + t.When
	}
	return t.When
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

// Protection proposes thresholds from the clear passes in past, each with a chance
// of a false trip of 1e-3 by pass; it needs three passes for a guard.
func Protection(past []Summary) []Threshold { return ProtectionAt(past, falseTrip) }

// ProtectionAt is Protection for another chance, 1, of a false trip by pass. The
// held extremes of the passes are taken as a normal sample with the guard's least
// spread added, and the threshold is set where the next pass would reach it with
// that chance (prediction with Student's t).
func ProtectionAt(past []Summary, chance float64) []Threshold {
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
		sd = math.Hypot(sd, max(g.floor, g.share*math.Abs(m)))
		k := tQuantile(chance, n-1+priorPasses) * math.Sqrt(1+1/n)
		v := m + k*sd
		if g.below {
			v = m - k*sd
		}
		if g.below && v <= 0 {
			continue
		}
		out = append(out, Threshold{What: g.what, Measure: g.q, Below: g.below, Value: v, Delay: g.delay, Boost: g.boost, When: g.when, Chance: chance, Passes: len(x),
			Extreme: quantity.Estimate{Value: m, SD: sd}, id: g.id})
	}
	return out
}

// Trips says whether a pass would have tripped the threshold; seen is false where
// its log could not tell.
func (t Threshold) Trips(s Summary) (trips, seen bool) {
	v, seen := s.Extremes[t.id]
	return seen && (t.Below && v < t.Value || !t.Below && v > t.Value), seen
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
