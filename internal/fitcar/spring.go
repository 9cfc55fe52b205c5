package fitcar

import (
	"math"
	"slices"
)

// What is known of a wastegate's spring and of how a boost control settles before a log
// is seen; common practice, no source.
const (
	SpringMean = 50e3 // Pa gauge that a spring holds
	SpringSD   = 20e3 // Pa
	settleSD   = 5e3  // Pa, how far a control settles from its target, alike in every gear
	settleAbs  = 2e3  // Pa, and by gear
	settleRel  = 0.02 // 1

	springBelow = 2.0 // 1, of those spreads: where a gear stands so far under a boost, no spring holds that
)

// settles is the spread, Pa, of a settled boost, Pa gauge, about what holds it, by gear.
func settles(boost float64) float64 { return settleAbs + settleRel*boost }

// denied tells that some gear stood clearly under a boost, Pa gauge, where its control had it: no
// spring holds that, it was what a launch or a shift had left over, or a control that did not come
// back to its target. A gear that stands over its own target is held by the spring as well: with
// less gas the valve needs less lift, and so less boost.
func denied(all []steady, floor float64) bool {
	return slices.ContainsFunc(all, func(s steady) bool {
		return s.boost < floor-springBelow*settles(floor) && s.boost < s.target+math.Hypot(springBelow*settles(s.target), settleSD)
	})
}

// steady is boost that stood in a gear, Pa gauge, under a target, in so many passes.
type steady struct {
	gear          int
	target, boost float64
	passes        float64
}

// alike is how near two targets are, Pa, under which a gear shows the same again.
const alike = 1e3

// stood adds a gear's steady boost in one more pass. How a control settles in a gear it does again:
// passes under one target tell no more of it than one, but for their mean.
func stood(all []steady, gear int, target, boost float64) []steady {
	for i := range all {
		if s := &all[i]; s.gear == gear && math.Abs(s.target-target) <= alike {
			s.passes++
			s.boost += (boost - s.boost) / s.passes
			return all
		}
	}
	return append(all, steady{gear, target, boost, 1})
}

// steadyBoost lists the gears of all passes whose later half shows one boost: after boost has
// come, whether from below or above.
func steadyBoost(ws []*work, gears int) (all []steady, over []float64) {
	for _, w := range ws {
		if w.Boost == nil || w.Target == nil {
			continue
		}
		ph := w.phases()
		for g := 1; g <= gears; g++ {
			t := w.Target[min(g, len(w.Target))-1]
			var b []float64
			for i := w.Lock; i < len(w.X); i++ {
				if w.Gear[i] == g && ph[i] == inGear && !math.IsNaN(w.Boost[i]) {
					b = append(b, w.Boost[i]-w.air.Pressure)
				}
			}
			if len(b) < 40 {
				continue
			}
			late := slices.Clone(b[len(b)/2:])
			slices.Sort(late)
			n := len(late)
			if late[n/10] > 1.15*t+6e3 {
				over = append(over, median(late))
			}
			if mid := median(late); late[n-1-n/10]-late[n/10] < 4e3+0.06*mid && mid > 0.85*t-4e3 {
				all = stood(all, g, t, mid)
			}
		}
	}
	return all, over
}

// springFloor is the boost, Pa gauge, at which the wastegate's spring settles: what the car
// holds, steadily and in whole gears, over low targets. Clearly over them it is taken as it
// stands; else it must explain the gears better than a control that settles beside its target
// alike in all of them, and a member takes it by its chance. 0 when no gear shows it.
func springFloor(ws []*work, gears int, d *draws) float64 {
	all, over := steadyBoost(ws, gears)
	over = slices.DeleteFunc(over, func(b float64) bool { return denied(all, b) })
	if len(over) > 0 {
		return median(over)
	}
	if len(all) == 0 {
		return 0
	}
	floor, gain := bestFloor(all)
	if floor <= 0 {
		return 0
	}
	if x := (floor - SpringMean) / (1.5 * SpringSD); x > 0 {
		gain -= x * x // few springs are that strong
	}
	chance := 1 / (1 + math.Exp(-gain/2))
	switch {
	case chance < 0.1:
		return 0
	case chance > 0.9:
		return floor
	}
	// an undisturbed member takes the likelier
	if 0.5*math.Erfc(-d.normal(0, 1)/math.Sqrt2) <= chance {
		return floor
	}
	return 0
}

// bestFloor is the floor, Pa gauge, that explains steady boosts best beside an offset from
// the target, and by how much the sum of squares falls with it, 1.
func bestFloor(all []steady) (floor, gain float64) {
	cost := func(offset, floor float64) float64 {
		c := offset * offset / (settleSD * settleSD)
		for _, s := range all {
			x := (s.boost - max(s.target+offset, floor)) / settles(s.boost)
			c += x * x
		}
		return c
	}
	least := func(floor float64) float64 {
		c := math.Inf(1)
		for o := -15e3; o <= 15e3; o += 1e3 {
			c = min(c, cost(o, floor))
		}
		return c
	}
	none := least(0)
	best := none
	for _, s := range all { // a floor is where some gear stood, or the mean of those near it
		var sum, n float64
		for _, q := range all {
			if math.Abs(q.boost-s.boost) < 3e3 && q.target < q.boost {
				sum, n = sum+q.boost, n+1
			}
		}
		if n == 0 || denied(all, sum/n) {
			continue
		}
		if c := least(sum / n); c < best {
			best, floor = c, sum/n
		}
	}
	return floor, none - best
}
