package plan

import (
	"math"
	"slices"
	"testing"
)

// What is confirmed is held against the settings that the search began with: a climb that
// changed them would hold its own findings against themselves.
func TestClimbLeavesWhatItBeganWith(t *testing.T) {
	m := model(t)
	s, x, err := begin(m, next(t, m), Options{Bold: true, Draws: 12})
	if err != nil {
		t.Fatal(err)
	}
	was := s.judge(t.Context(), x, s.draws)
	from := x.clone()
	y, _ := s.climb(t.Context(), x, was, was)
	if !slices.Equal(x.boost, from.boost) || !slices.Equal(x.shift, from.shift) {
		t.Errorf("began with %.0f and %.0f, now %.0f and %.0f", from.boost, from.shift, x.boost, x.shift)
	}
	if slices.Equal(y.boost, from.boost) {
		t.Error("nothing was climbed: the test shows nothing")
	}
}

// A trial that is given up early is one that the whole number of passes refuses too, and its
// gain is told under the luck of the passes that it was given.
func TestGlance(t *testing.T) {
	m := model(t)
	s, x, err := begin(m, next(t, m), Options{Bold: true})
	if err != nil {
		t.Fatal(err)
	}
	was := s.judge(t.Context(), x, s.draws)
	gave := 0
	for _, step := range []float64{-30e3, -5e3, 5e3, 60e3} {
		y := x.clone()
		for g := range y.boost {
			y.boost[g] = max(0, y.boost[g]+step)
		}
		before := s.count
		w, ok := s.glance(t.Context(), y, &was)
		used := s.count - before
		all := s.judge(t.Context(), y, s.draws)
		if ok {
			if w.score != all.score || w.hard != all.hard || used != s.draws {
				t.Errorf("%+.0f Pa: %.3f and %.4f by %d passes, %.3f and %.4f by all", step, w.score, w.hard, used, all.score, all.hard)
			}
			continue
		}
		gave++
		if used != glanceDraws || all.hard <= hardChance && all.score > was.score {
			t.Errorf("%+.0f Pa: given up after %d passes, though it holds with %.4f and gains %.3f", step, used, all.hard, all.score-was.score)
		}
		if math.Abs(w.score-all.score) > 0.15 {
			t.Errorf("%+.0f Pa: score %.3f by few passes, %.3f by all", step, w.score, all.score)
		}
	}
	if gave == 0 || gave == 4 {
		t.Errorf("%d of 4 given up: the test shows too little", gave)
	}
}
