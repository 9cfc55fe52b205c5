package main

import (
	"math"
	"strings"
)

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
