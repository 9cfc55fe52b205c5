package main

import (
	"math"
	"strings"
)

// wornSensors are further faults of sensors, in the pass or throughout. What a fault
// takes away may widen the results, not falsify them.
var wornSensors = []Variant{
	{Name: "accelerometer-yawed", What: "the accelerometer turned by 30 degrees about the vertical", Ask: 2, Apply: func(v *variantLog) { v.turnAccelerometer(30) }},
	{Name: "accelerometer-crossed", What: "the accelerometer's axes exchanged", Ask: 2, Apply: func(v *variantLog) { v.turnAccelerometer(90) }},
	{Name: "accelerometer-spikes", What: "a lone reading of 5 g in the accelerometer every 0.7 s", Ask: 2, Apply: func(v *variantLog) {
		v.spikes("accel_long", 71, func(x float64) float64 { return 49 })
	}},
	{Name: "accelerometer-drops", What: "the accelerometer out for a second in each pass", Ask: 2, Apply: func(v *variantLog) { v.blank("accel_long", 0.3, 1) }},
	{Name: "wheel-teeth", What: "one undriven wheel counted with two teeth of 48 too many", Ask: 2, Apply: func(v *variantLog) { v.scaleWheels(1, 50.0/48) }},
	{Name: "wheels-tenth", What: "both undriven wheels read a tenth too much", Ask: 2, Apply: func(v *variantLog) { v.scaleWheels(2, 1.1) }},
	{Name: "driven-tenth", What: "the driven wheels read a tenth too much", Ask: 2, Apply: func(v *variantLog) { v.scaleDriven(1.1) }},
	{Name: "wheel-spikes", What: "lone readings of twice the speed in one undriven wheel", Ask: 2, Apply: func(v *variantLog) {
		if u := v.undriven(); len(u) > 0 {
			v.spikes(u[0], 53, func(x float64) float64 { return 2 * x })
		}
	}},
	{Name: "wheel-blank", What: "both undriven wheels blank for a second in each pass", Ask: 2, Apply: func(v *variantLog) {
		for _, u := range v.undriven() {
			v.blank(u, 0.4, 1)
		}
	}},
	{Name: "satellite-late", What: "the satellite speed 0.3 s later still", Ask: 2, Apply: func(v *variantLog) { v.late("gps_speed", 0.3) }},
	{Name: "satellite-offset", What: "the satellite speed 3 m/s high for two seconds in each pass", Ask: 2, Apply: func(v *variantLog) { v.offset("gps_speed", 0.5, 2, 3) }},
	{Name: "engine-spikes", What: "lone readings of half and twice the engine speed", Ask: 2, Apply: func(v *variantLog) {
		v.spikes("rpm", 37, func(x float64) float64 { return 2 * x })
		v.spikes("rpm", 59, func(x float64) float64 { return x / 2 })
	}},
	{Name: "engine-double", What: "the engine speed counted twice over", Apply: func(v *variantLog) { v.times("rpm", 2) }},
	{Name: "engine-drops", What: "engine speed blank for half a second in each pass", Ask: 2, Apply: func(v *variantLog) { v.blank("rpm", 0.5, 0.5) }},
	{Name: "boost-drops", What: "manifold pressure blank for a second in each pass", Ask: 2, MayLack: []string{"boost recovery", "recovery to target"}, Apply: func(v *variantLog) { v.blank("map", 0.5, 1) }},
	{Name: "one-hertz", What: "one row a second", Apply: func(v *variantLog) { v.everyRow(max(1, int(math.Round(1/v.RowStep)))) }},
	{Name: "positions-only", What: "of all that tells speed only latitude and longitude", Apply: func(v *variantLog) { v.drop("accel_", "wheel_", "gps_speed") }},
}

func init() { variants = append(variants, wornSensors...) }

// columnOf is the column of one of the truth's quantities, nil for none.
func (v *variantLog) columnOf(quantity string) []float64 {
	for i := range v.Columns {
		if v.quantityOf(i) == quantity {
			return v.Columns[i].Values
		}
	}
	return nil
}

// turnAccelerometer turns both axes by an angle in degrees.
func (v *variantLog) turnAccelerometer(degrees float64) {
	s, c := math.Sincos(degrees * math.Pi / 180)
	x, y := v.columnOf("accel_long"), v.columnOf("accel_lat")
	for i := range x {
		if y == nil {
			x[i] *= c
			continue
		}
		x[i], y[i] = c*x[i]-s*y[i], s*x[i]+c*y[i]
	}
}

// spikes replaces every n-th reading.
func (v *variantLog) spikes(quantity string, n int, by func(x float64) float64) {
	x := v.columnOf(quantity)
	k := 0
	for i := range x {
		if math.IsNaN(x[i]) {
			continue
		}
		if k++; k%n == 0 {
			x[i] = by(x[i])
		}
	}
}

func (v *variantLog) times(quantity string, factor float64) {
	for i, x := range v.columnOf(quantity) {
		v.columnOf(quantity)[i] = x * factor
	}
}

// within calls f with the rows of each pass from a share of its duration on, for so many
// seconds.
func (v *variantLog) within(share, seconds float64, f func(row int)) {
	for _, p := range v.truth.Passes {
		from := p.Launch + share*(p.lineAt()-p.Launch)
		for i, run := range v.RowTime {
			if t := v.Clock.Log(run); t >= from && t < from+seconds {
				f(i)
			}
		}
	}
}

func (v *variantLog) blank(quantity string, share, seconds float64) {
	if x := v.columnOf(quantity); x != nil {
		v.within(share, seconds, func(i int) { x[i] = math.NaN() })
	}
}

// offset adds so many m/s in the column's unit.
func (v *variantLog) offset(quantity string, share, seconds, by float64) {
	x := v.columnOf(quantity)
	if x == nil {
		return
	}
	switch u := v.unitOf(quantity); {
	case strings.HasPrefix(u, "km"), strings.HasPrefix(u, "kp"):
		by *= 3.6
	case strings.HasPrefix(u, "mph"):
		by /= 0.44704
	}
	v.within(share, seconds, func(i int) { x[i] += by })
}

func (v *variantLog) late(quantity string, seconds float64) {
	x := v.columnOf(quantity)
	n := int(math.Round(seconds / v.RowStep))
	for i := len(x) - 1; i >= 0; i-- {
		if i >= n {
			x[i] = x[i-n]
		} else {
			x[i] = math.NaN()
		}
	}
}

// scaleWheels scales the first n undriven wheels.
func (v *variantLog) scaleWheels(n int, factor float64) {
	for i, u := range v.undriven() {
		if i < n {
			v.times(u, factor)
		}
	}
}

func (v *variantLog) scaleDriven(factor float64) {
	undriven := strings.Join(v.undriven(), " ")
	for _, w := range []string{"wheel_fl", "wheel_fr", "wheel_rl", "wheel_rr"} {
		if !strings.Contains(undriven, w) {
			v.times(w, factor)
		}
	}
}
