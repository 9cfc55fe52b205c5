package plan

import (
	"math"
	"slices"
	"testing"

	"traplight/internal/car"
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

// A part of the way between two settings holds a limit that the whole way does not; where it starts
// over the limit already, nothing is changed.
func TestToward(t *testing.T) {
	a := settings{boost: []float64{100e3, 150e3}, shift: []float64{700, 710}}
	b := settings{boost: []float64{120e3, 150e3}, rise: []float64{0, -20e3}, shift: []float64{700 + 10*turnStep, 710}}
	y := a.toward(b, 0.5)
	if y.boost[0] != 110e3 || y.boost[1] != 150e3 || y.rise[1] != -10e3 || math.Abs(y.shift[0]-700-5*turnStep) > 1e-9 || y.shift[1] != 710 {
		t.Errorf("half of the way: %+v", y)
	}
	if b.boost[0] != 120e3 || a.rise != nil {
		t.Error("the ends were changed")
	}
}

func TestBetween(t *testing.T) {
	s := searching(t)
	ctx := t.Context()
	low := s.ran.clone()
	high := low.clone()
	for g := range high.boost {
		high.boost[g] += 100e3
	}
	s.draws = 6
	s.m.Sheet.Limits = car.Limits{MaxBoost: slices.Max(low.boost) + 75e3}
	was := s.judge(ctx, low, confirmTimes*s.draws)
	over := s.judge(ctx, high, confirmTimes*s.draws)
	for _, v := range []*verdict{&was, &over} { // soft limits are not looked at
		for g := range v.gears {
			v.gears[g].pull, v.gears[g].spin = 1, 1
		}
	}
	if was.hard > hardChance || over.hard < hardChance {
		t.Fatalf("as run hard limits are passed with %.4f, the whole way with %.4f", was.hard, over.hard)
	}
	x, w := s.between(ctx, low, was, low, high, &was)
	if w.hard > hardChance || w.score <= was.score || slices.Equal(x.boost, low.boost) {
		t.Errorf("as run %.2f m/s; found %.2f m/s, hard %.4f, boost %.0f", was.trap, w.trap, w.hard, x.boost)
	}
	was.hard = 1
	if y, _ := s.between(ctx, low, was, low, high, &was); !slices.Equal(y.boost, low.boost) {
		t.Errorf("changed though it starts over the limits: %.0f", y.boost)
	}
}
