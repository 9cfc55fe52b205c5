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
	Satellite bool // the bounds for a log with neither wheels nor accelerometer
}

// variantLog is a log under change with what the truth says of its columns.
type variantLog struct {
	*logfile.Log
	truth   *Truth
	rng     *rand.Rand
	renamed map[string]string // new name → the truth's quantity
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

func unitEnding(s string) bool {
	return slices.Contains([]string{"rpm", "pct", "kpa", "c", "kgh", "deg", "v", "kmh", "ms2", "1", "lambda"}, s)
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

// truthUnitText writes a unit of the truth as a recorder would.
func truthUnitText(u string) string {
	switch u {
	case "deg_pos":
		return "deg"
	case "0/1":
		return ""
	}
	return strings.NewReplacer(" abs", "(a)", " gauge", "(g)").Replace(u)
}

func (v *variantLog) unitOf(quantity string) string { return v.truth.unitOf(quantity) }

func (t *Truth) unitOf(quantity string) string {
	for _, ch := range t.Channels {
		if ch.Quantity == quantity {
			return ch.Unit
		}
	}
	return ""
}

// conversions turn a unit into another: y = x·factor + offset.
var conversions = map[string]struct {
	to             string
	factor, offset float64
}{
	"kPa": {"psi", 1 / 6.894757293168361, 0}, "kPa abs": {"psi(a)", 1 / 6.894757293168361, 0},
	"bar": {"kPa", 100, 0}, "bar abs": {"kPa(a)", 100, 0}, "bar gauge": {"kPa(g)", 100, 0},
	"psi": {"bar", 0.06894757293168361, 0}, "psi gauge": {"bar(g)", 0.06894757293168361, 0},
	"inHg": {"hPa", 33.86388640341, 0},
	"km/h": {"mph", 1 / 1.609344, 0}, "mph": {"km/h", 1.609344, 0},
	"g": {"m/s2", 9.80665, 0}, "m/s2": {"g", 1 / 9.80665, 0},
	"C": {"F", 1.8, 32}, "F": {"C", 1 / 1.8, -32 / 1.8},
}

func (v *variantLog) otherUnits() {
	before := v.truth
	changed := *v.truth
	changed.Channels = slices.Clone(changed.Channels)
	v.truth = &changed
	for i := range v.Columns {
		q := v.quantityOf(i)
		c, ok := conversions[before.unitOf(q)]
		if q == "" || !ok {
			continue
		}
		col := &v.Columns[i]
		for k := range changed.Channels {
			if ch := &changed.Channels[k]; ch.Quantity == q {
				col.Name = ch.Column // without a unit as ending
				ch.Unit = c.to
			}
		}
		col.Unit = c.to
		for j, x := range col.Values {
			// As printed: a recorder has some digits, not all of them.
			col.Values[j] = math.Round((x*c.factor+c.offset)*1000) / 1000
		}
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

// extraNoise is the standard deviation added, as a share of the column's range.
var extraNoise = map[string]float64{
	"rpm": 0.002, "map": 0.004, "wheel_fl": 0.001, "wheel_fr": 0.001, "wheel_rl": 0.001, "wheel_rr": 0.001,
	"accel_long": 0.03, "gps_speed": 0.002, "exhaust_manifold_pressure": 0.006, "lambda_1": 0.01, "lambda_2": 0.01, "fuel_flow": 0.01,
}

func (v *variantLog) noise() {
	for i := range v.Columns {
		share, ok := extraNoise[v.quantityOf(i)]
		if !ok {
			continue
		}
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, x := range v.Columns[i].Values {
			if !math.IsNaN(x) {
				lo, hi = min(lo, x), max(hi, x)
			}
		}
		sd, last, lastOut := share*(hi-lo), math.NaN(), math.NaN()
		for j, x := range v.Columns[i].Values {
			// A held value stays held: noise comes with a fresh reading. A
			// standing wheel stays at zero.
			if x != last {
				last, lastOut = x, x
				if x != 0 {
					lastOut += sd * v.rng.NormFloat64()
				}
			}
			v.Columns[i].Values[j] = lastOut
		}
	}
}

func (v *variantLog) scales() {
	for i := range v.Columns {
		q := v.quantityOf(i)
		factor, offset := 1.0, 0.0
		switch {
		case strings.HasPrefix(q, "wheel_"):
			factor = 1.02
		case q == "accel_long":
			factor, offset = 1.03, 0.03
			if v.unitOf(q) == "m/s2" {
				offset = 0.3
			}
		}
		for j := range v.Columns[i].Values {
			v.Columns[i].Values[j] = v.Columns[i].Values[j]*factor + offset
		}
	}
}

// inPass calls f for each row of a stretch of each pass: it begins at a random
// share of the way to the finish and lasts for the given time, s.
func (v *variantLog) inPass(lasts float64, f func(row int)) {
	for _, p := range v.truth.Passes {
		end := p.FinalLift
		if m := p.Marks["half_mile"]; m != nil {
			end = m.At
		}
		from := p.Launch + (0.3+0.55*v.rng.Float64())*(end-p.Launch)
		for row, run := range v.RowTime {
			if at := v.Clock.Log(run); at >= from && at < from+lasts {
				f(row)
			}
		}
	}
}

func (v *variantLog) dropouts() {
	v.inPass(3, func(row int) {
		for i := range v.Columns {
			if strings.HasPrefix(v.quantityOf(i), "gps_") {
				v.Columns[i].Values[row] = math.NaN()
			}
		}
	})
}

func (v *variantLog) reflections() {
	v.inPass(1.5, func(row int) {
		for i := range v.Columns {
			if v.quantityOf(i) == "gps_speed" {
				v.Columns[i].Values[row] *= 1.02
			}
		}
	})
}

func clockSegment(rowTime []float64, offset float64) trace.Segment {
	s := trace.Segment{Offset: offset}
	if len(rowTime) > 0 {
		s.FromRun = rowTime[0]
	}
	return s
}
