package plan

import (
	"math"
	"testing"

	"traplight/internal/num/xrand"
)

// The step by slopes is as good as the best of all steps, tried one by one, and passes the hard
// limits with no more than the room given.
func TestPolishStep(t *testing.T) {
	r := xrand.Stream(1, "polish")
	for round := range 40 {
		x := settings{boost: []float64{100e3, 120e3}, shift: []float64{700}}
		l := &slopes{place: map[place]int{}, kinds: 2}
		for g := range 2 {
			l.turns = append(l.turns, turn{gear: g, unit: boostUnit, low: 90e3, high: 130e3, score: 0.01 + 0.03*r.Float64()})
		}
		l.turns = append(l.turns, turn{kind: shiftTurn, unit: turnStep, low: 690, high: 730, score: 0.02 * r.NormFloat64(), bend: -0.004})
		for range 4 {
			l.marks = append(l.marks, mark{kind: len(l.marks) % 2, z: 2.6 + r.Float64(), scale: 1})
			for j := range l.turns {
				l.turns[j].hard = append(l.turns[j].hard, -0.08*r.Float64())
			}
		}
		room := 0.002 + 0.01*r.Float64()
		kinds := make([]float64, 2)
		if l.hard([]float64{0, 0, 0}, kinds) > room {
			continue
		}
		y, _ := l.best(x, room, 1)
		d := []float64{(y.boost[0] - 100e3) / boostUnit, (y.boost[1] - 120e3) / boostUnit, (y.shift[0] - 700) / turnStep}
		if h := l.hard(d, kinds); h > room*1.0001 {
			t.Errorf("round %d: hard limits passed with %.4f, allowed %.4f", round, h, room)
		}
		best, try := math.Inf(-1), make([]float64, 3)
		for try[0] = l.turns[0].least; try[0] <= l.turns[0].most; try[0]++ {
			for try[1] = l.turns[1].least; try[1] <= l.turns[1].most; try[1]++ {
				for try[2] = l.turns[2].least; try[2] <= l.turns[2].most; try[2]++ {
					if g := l.gain(try); g > best && l.hard(try, kinds) <= room {
						best = g
					}
				}
			}
		}
		if got := l.gain(d); got < best-0.02*math.Abs(best)-0.01 {
			t.Errorf("round %d: %.4f m/s by the step %v, %.4f would do", round, got, d, best)
		}
	}
}

// A limit that no gear alone passes, but the pass does, where gears come equally near to it, counts
// where settings stand.
func TestSlopesStandOnThePass(t *testing.T) {
	const before = 0.05
	z := -math.Sqrt2 * math.Erfinv(2*0.054-1)
	v := &verdict{worst: []limitChance{{gear: 2, limit: turboSpeed, z: 1.7, before: before}, {gear: 3, limit: turboSpeed, z: 1.7, before: before}},
		kinds: []limitChance{{limit: turboSpeed, z: z, before: before, chance: 0.004 / (1 - before)}}}
	l := &slopes{place: map[place]int{}}
	l.stand(&search{}, v)
	if got := l.hard(nil, make([]float64, l.kinds)); math.Abs(got-0.004/(1-before)) > 1e-9 {
		t.Errorf("passed with %.5f", got)
	}
}

func BenchmarkPolishStep(b *testing.B) {
	r := xrand.Stream(2, "polish")
	x := settings{boost: make([]float64, 6), shift: make([]float64, 5)}
	l := &slopes{place: map[place]int{}, kinds: 5}
	for g := range 6 {
		x.boost[g] = 100e3
		l.turns = append(l.turns, turn{gear: g, unit: boostUnit, low: 60e3, high: 190e3, score: 0.01 + 0.03*r.Float64()})
	}
	for g := range 5 {
		x.shift[g] = 700
		l.turns = append(l.turns, turn{gear: g, kind: shiftTurn, unit: turnStep, low: 650, high: 730, score: 0.02 * r.NormFloat64(), bend: -0.004})
	}
	for range 30 {
		l.marks = append(l.marks, mark{kind: len(l.marks) % 5, z: 2.8 + 2*r.Float64(), scale: 1})
		for j := range l.turns {
			l.turns[j].hard = append(l.turns[j].hard, -0.08*r.Float64())
		}
	}
	for b.Loop() {
		l.best(x, 0.01, 1)
	}
}
