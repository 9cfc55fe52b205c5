package main

import (
	"hash/fnv"
	"math"
	"math/rand/v2"
	"slices"
	"strings"

	"traplight/internal/logfile"
	"traplight/internal/trace"
)

// Variant changes a log as another recorder, another shop or bad luck would, so
// that nothing hangs on one file. Truth moves along where the clock does.
type Variant struct {
	Name, What string
	Apply      func(v *variantLog)
	// Ask scales the bounds: 1 the same as for the log as it is, 2 twice as
	// wide, 0 none (the figures are for information).
	Ask       float64
	MayLack   []string // beginnings of figures that may be absent, as the variant takes their readings
	Satellite bool     // the bounds for a log with neither wheels nor accelerometer
}

// variantLog is a log under change with what the truth says of its columns.
type variantLog struct {
	*logfile.Log
	truth   *Truth
	rng     *rand.Rand
	renamed map[string]string // new name → the truth's quantity
	said    []string          // what was done, for -v
}

var variants = []Variant{
	{Name: "plain", What: "as it is", Ask: 1, Apply: func(*variantLog) {}},
	{Name: "no-accelerometer", What: "without accelerometers", Apply: func(v *variantLog) { v.drop("accel_") }},
	{Name: "satellite-only", What: "without wheels and accelerometers", Ask: 1, Satellite: true,
		Apply: func(v *variantLog) { v.drop("accel_", "wheel_") }},
	{Name: "no-satellite", What: "without the satellite receiver", Apply: func(v *variantLog) { v.drop("gps_") }},
	{Name: "no-undriven", What: "without the undriven wheels", Apply: func(v *variantLog) { v.drop(v.undriven()...) }},
	{Name: "driven-only", What: "only the driven wheels and the engine", Apply: func(v *variantLog) {
		v.drop("accel_", "gps_")
		v.drop(v.undriven()...)
	}},
	{Name: "engine-only", What: "only the engine's channels", Apply: func(v *variantLog) { v.drop("accel_", "gps_", "wheel_") }},
	{Name: "accelerometer-only", What: "no speed at all but the accelerometer and the engine", Apply: func(v *variantLog) { v.drop("gps_", "wheel_") }},
	{Name: "no-throttle", What: "without a throttle channel", Apply: func(v *variantLog) { v.drop("throttle") }},
	{Name: "no-gear", What: "without a gear channel", Ask: 1, Apply: func(v *variantLog) { v.drop("gear") }},
	{Name: "no-boost", What: "without manifold pressure", Apply: func(v *variantLog) { v.drop("map") }},
	{Name: "half-rate", What: "every second row", Apply: func(v *variantLog) { v.everySecondRow() }},
	{Name: "renamed", What: "other names for the channels", Ask: 1, Apply: func(v *variantLog) { v.rename("english") }},
	{Name: "german", What: "German names", Ask: 1, Apply: func(v *variantLog) { v.rename("german") }},
	{Name: "french", What: "French names", Ask: 1, Apply: func(v *variantLog) { v.rename("french") }},
	{Name: "spanish", What: "Spanish names", Ask: 1, Apply: func(v *variantLog) { v.rename("spanish") }},
	{Name: "italian", What: "Italian names", Ask: 1, Apply: func(v *variantLog) { v.rename("italian") }},
	{Name: "units", What: "other units", Ask: 1, Apply: func(v *variantLog) { v.otherUnits() }},
	{Name: "clock", What: "the log's clock shifted by an hour and a bit", Ask: 1, Apply: func(v *variantLog) { v.shiftClock(3661.25) }},
	{Name: "held", What: "the last value held where the cell was blank", Ask: 1, Apply: func(v *variantLog) { v.hold() }},
	{Name: "reversed", What: "the columns in the opposite order", Ask: 1, Apply: func(v *variantLog) { slices.Reverse(v.Columns) }},
	{Name: "noise", What: "more noise on every moving channel", Apply: func(v *variantLog) { v.noise() }},
	{Name: "scaled", What: "wheels off by 2 %, accelerometer by 3 % and 0.03 g", Apply: func(v *variantLog) { v.scales() }},
	{Name: "dropouts", What: "the satellite receiver out for three seconds in each pass", Ask: 2, Apply: func(v *variantLog) { v.dropouts() }},
	{Name: "reflections", What: "the satellite speed wrong by 2 % for 1.5 s in each pass", Ask: 2, Apply: func(v *variantLog) { v.reflections() }},
}

func variantByName(name string) *Variant {
	for i := range variants {
		if variants[i].Name == name {
			return &variants[i]
		}
	}
	return nil
}

// newVariantLog copies the log's columns, so that a log can be varied again.
func newVariantLog(l *logfile.Log, t *Truth, name string) *variantLog {
	c := *l
	c.Columns = slices.Clone(l.Columns)
	for i := range c.Columns {
		c.Columns[i].Values = slices.Clone(l.Columns[i].Values)
	}
	c.Clock.Segments = slices.Clone(l.Clock.Segments)
	h := fnv.New64a()
	h.Write([]byte(t.ID + "/" + name))
	return &variantLog{Log: &c, truth: t, rng: rand.New(rand.NewPCG(h.Sum64(), 2)), renamed: map[string]string{}}
}

// quantityOf says what the truth calls the i-th column, "" when it does not
// know it.
func (v *variantLog) quantityOf(i int) string {
	name := v.Columns[i].Name
	if q := v.renamed[name]; q != "" {
		return q
	}
	for _, ch := range v.truth.Channels {
		if name == ch.Column || strings.HasPrefix(name, ch.Column+"_") && unitEnding(strings.TrimPrefix(name, ch.Column+"_")) {
			return ch.Quantity
		}
	}
	return ""
}

func (v *variantLog) undriven() []string {
	switch v.truth.Layout() {
	case "front":
		return []string{"wheel_rl", "wheel_rr"}
	case "rear":
		return []string{"wheel_fl", "wheel_fr"}
	}
	return nil
}

func hasAnyPrefix(s string, prefixes []string) bool {
	return slices.ContainsFunc(prefixes, func(p string) bool { return strings.HasPrefix(s, p) })
}

func (v *variantLog) drop(prefixes ...string) {
	var keep []logfile.Column
	for i := range v.Columns {
		if q := v.quantityOf(i); q == "" || !hasAnyPrefix(q, prefixes) {
			keep = append(keep, v.Columns[i])
		}
	}
	v.Columns = keep
}

func (v *variantLog) everySecondRow() {
	v.RowTime = everySecond(v.RowTime)
	v.RowStep *= 2
	for i := range v.Columns {
		c := &v.Columns[i]
		c.Values = everySecond(c.Values)
		if c.Text != nil {
			c.Text = everySecond(c.Text)
		}
	}
}

func everySecond[T any](s []T) []T {
	var out []T
	for i := 0; i < len(s); i += 2 {
		out = append(out, s[i])
	}
	return out
}

// rename writes other names over the columns; a unit that was the name's ending
// moves to the unit's place.
func (v *variantLog) rename(language string) {
	quantities := make([]string, len(v.Columns))
	for i := range v.Columns {
		quantities[i] = v.quantityOf(i)
	}
	for i, q := range quantities {
		n, ok := otherNames[language][q]
		if !ok {
			continue
		}
		if v.Columns[i].Unit == "" {
			v.Columns[i].Unit = truthUnitText(v.unitOf(q))
		}
		v.Columns[i].Name = n
		v.renamed[n] = q
	}
}

func (v *variantLog) shiftClock(by float64) {
	if len(v.Clock.Segments) == 0 {
		v.Clock.Segments = append(v.Clock.Segments, clockSegment(v.RowTime, 0))
	}
	for i := range v.Clock.Segments {
		v.Clock.Segments[i].Offset += by
	}
	v.truth = v.truth.shifted(by)
}

func (v *variantLog) hold() {
	for i := range v.Columns {
		last := math.NaN()
		for j, x := range v.Columns[i].Values {
			if math.IsNaN(x) {
				v.Columns[i].Values[j] = last
			} else {
				last = x
			}
		}
	}
}

func clockSegment(rowTime []float64, offset float64) trace.Segment {
	s := trace.Segment{Offset: offset}
	if len(rowTime) > 0 {
		s.FromRun = rowTime[0]
	}
	return s
}
