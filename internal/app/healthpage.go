package app

import (
	"fmt"
	"math"

	"traplight/internal/health"
	"traplight/internal/quantity"
	"traplight/internal/report"
)

// LeastOwn is how many clear passes a car needs before the shop's other cars no longer tell
// what is usual for it; LeastOther is how many another car needs to tell it.
const (
	LeastOwn   = 6
	LeastOther = 4
)

// HealthKept is what the page keeps of a health answer.
type HealthKept struct {
	Passes []*report.Health `json:"passes"` // of the log asked for, in order
	Trends []health.Trend   `json:"trends"`
}

// Kept leaves out what the page does not show.
func (a *HealthAnswer) Kept() *HealthKept {
	k := &HealthKept{Trends: a.Trends}
	for i := range a.Passes {
		k.Passes = append(k.Passes, healthOf(&a.Passes[i].Result))
	}
	return k
}

// Courses tells in sentences which relations drift or made a step, and how many hold their
// level; "" without any.
func (k *HealthKept) Courses(w quantity.World) (said []string, summary string) {
	passes := 0
	for _, t := range k.Trends {
		passes = max(passes, len(t.Passes))
	}
	said = coursesSaid(k.Trends, w)
	all := fmt.Sprintf("%s over %s", quantity.Count(len(k.Trends), "relation", "relations"), quantity.Count(passes, "clear pass", "clear passes"))
	switch {
	case passes == 0:
		return nil, ""
	case passes < health.LeastCourse:
		return nil, fmt.Sprintf("A drift or a step is looked for from %d clear passes on; there are %d.", health.LeastCourse, passes)
	case len(said) == 0:
		return nil, "No drift and no step in " + all + "."
	}
	return said, fmt.Sprintf("%d of %s do not hold their level.", len(said), all)
}

// CourseSaid puts one relation's course into a sentence.
func CourseSaid(t health.Trend, w quantity.World) string {
	if s := courseSaid(t, w); s != "" {
		return s
	}
	course := "steady"
	if len(t.Passes) < health.LeastCourse {
		course = "not judged yet"
	}
	return fmt.Sprintf("%s: %s over %s.", t.What, course, quantity.Count(len(t.Passes), "clear pass", "clear passes"))
}

// Departures are a relation's departures from its mean, pass by pass, with their standard
// deviations, in the unit of the reader.
func Departures(t health.Trend, w quantity.World) (off, sd []float64, unit string) {
	factor := 1.0
	switch unit = t.Unit; t.Unit {
	case "Pa":
		u := w.Unit(quantity.DimPressure)
		factor, unit = 1/u.Factor, u.Symbol
	case "K":
		u := w.Unit(quantity.DimTemperature)
		factor, unit = 1/u.Factor, u.Symbol
	case "log ratio":
		factor, unit = 100, "%"
	}
	for i := range t.Offset {
		off, sd = append(off, factor*t.Offset[i]), append(sd, math.Abs(factor*t.SD[i]))
	}
	return off, sd, unit
}
