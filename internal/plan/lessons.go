package plan

import (
	"context"
	"math"
	"slices"
	"strings"

	"traplight/internal/forecast"
	"traplight/internal/quantity"
	"traplight/internal/sim"
)

// lessonBoost is the step of boost whose lesson is weighed, Pa: large against what a wastegate
// holds, small enough to be run next. lessonSaid is how a Change names it.
const (
	lessonBoost = 10e3
	lessonSaid  = "10 kPa"
)

// Text is the change in the units of w.
func (l Lesson) Text(w quantity.World) string {
	return strings.Replace(l.Change, lessonSaid, w.Text(quantity.DimPressure, lessonBoost), 1)
}

// lessons weighs small changes by what a pass with them would teach: half the
// logarithm of one plus the variance of the effect over the ensemble by the variance of
// a pass (Lindley 1956, information of an experiment, for a normal model; from memory).
func (s *search) lessons(ctx context.Context, x settings) []Lesson {
	if ctx.Err() != nil {
		return nil
	}
	half := len(x.boost) / 2
	changes := []struct {
		text string
		do   func(y *settings)
	}{
		{"upper gears up " + lessonSaid, func(y *settings) {
			for g := half; g < len(y.boost); g++ {
				y.boost[g] += lessonBoost
			}
		}},
		{"lower gears down " + lessonSaid, func(y *settings) {
			for g := range half {
				y.boost[g] = max(0, y.boost[g]-lessonBoost)
			}
		}},
		{"shift points down 200 rpm", func(y *settings) {
			for g := range y.shift {
				y.shift[g] -= 200 * math.Pi / 30
			}
		}},
	}
	if s.m.Sheet.Nitrous.Flow > 0 {
		changes = append(changes, struct {
			text string
			do   func(y *settings)
		}{"nitrous the other way", func(y *settings) { y.nitrous = !y.nitrous }})
	}
	trap := func(x settings, k int) float64 {
		car, p := forecast.Usual(s.m, s.next(x), &s.m.Members[k])
		r := sim.Runner{Car: car, Rel: sim.Rough}
		res, err := r.Run(p)
		if err != nil || !res.Complete {
			return math.NaN()
		}
		s.count++
		return res.Trap
	}
	var out []Lesson
	noise := 0.003 * 80.0
	for _, c := range changes {
		y := x.clone()
		c.do(&y)
		var sum, ss, n float64
		for k := range s.m.Members {
			if d := trap(y, k) - trap(x, k); !math.IsNaN(d) {
				sum, ss, n = sum+d, ss+d*d, n+1
			}
		}
		if n < 2 {
			continue
		}
		mean := sum / n
		v := max(0, ss/n-mean*mean)
		out = append(out, Lesson{c.text, round3(mean), round3(math.Sqrt(v)), round3(0.5 * math.Log2(1+v/(noise*noise)))})
	}
	slices.SortFunc(out, func(a, b Lesson) int {
		if a.Bits > b.Bits {
			return -1
		}
		return 1
	})
	return out
}
