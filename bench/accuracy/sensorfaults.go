package main

import (
	"math"
	"strings"

	"traplight/internal/trace"
)

// sensorFaults are variants in which a sensor is mounted wrongly, fails or is slow.
// The truth stays; what a fault takes away may widen the results, not falsify them.
var sensorFaults = []Variant{
	{Name: "accelerometer-backward", What: "the accelerometer mounted the wrong way round", Ask: 1, Apply: func(v *variantLog) { v.accelerometer(-1, 0) }},
	{Name: "accelerometer-tilted", What: "the accelerometer's box tilted by 12 degrees", Ask: 2, Apply: func(v *variantLog) {
		v.accelerometer(math.Cos(12*math.Pi/180), 9.81*math.Sin(12*math.Pi/180))
	}},
	{Name: "accelerometer-dead", What: "the accelerometer reads one value throughout", Apply: func(v *variantLog) { v.accelerometer(0, 1) }},
	{Name: "wheel-stuck", What: "one undriven wheel holds its value from half the pass on", Ask: 2, Apply: func(v *variantLog) { v.wheel(stuck) }},
	{Name: "wheel-drops", What: "one undriven wheel reads zero now and then", Ask: 2, Apply: func(v *variantLog) { v.wheel(drops) }},
	{Name: "wheel-dead", What: "one undriven wheel reads zero throughout", Ask: 2, Apply: func(v *variantLog) { v.wheel(dead) }},
	{Name: "axles-swapped", What: "front and rear wheels connected the wrong way round", Apply: func(v *variantLog) { v.swapAxles() }},
	{Name: "satellite-zero", What: "the satellite speed falls to zero for a second in each pass", Ask: 2, Apply: func(v *variantLog) { v.satelliteZero() }},
	{Name: "throttle-stuck", What: "the throttle channel stays at its idle value", Apply: func(v *variantLog) { v.constant("throttle") }},
	{Name: "tenth-rate", What: "every tenth row", Apply: func(v *variantLog) { v.everyRow(10) }},
	{Name: "fifth-rate", What: "every fifth row", Apply: func(v *variantLog) { v.everyRow(5) }},
	{Name: "clock-jump", What: "the log's clock jumps forward by 3 s in each pass", Ask: 1, Apply: func(v *variantLog) { v.jump(3) }},
}

func init() { variants = append(variants, sensorFaults...) }

// accelerometer reads factor times the truth plus an offset in m/s².
func (v *variantLog) accelerometer(factor, offset float64) {
	for i := range v.Columns {
		if v.quantityOf(i) != "accel_long" {
			continue
		}
		if strings.HasPrefix(v.unitOf("accel_long"), "g") {
			offset /= 9.80665
		}
		for j := range v.Columns[i].Values {
			v.Columns[i].Values[j] = v.Columns[i].Values[j]*factor + offset*sign(v.Columns[i].Values[j])
		}
	}
}

// sign is 1, or NaN for a blank cell.
func sign(x float64) float64 {
	if math.IsNaN(x) {
		return x
	}
	return 1
}

type wheelFault int

const (
	stuck wheelFault = iota
	drops
	dead
)

func (v *variantLog) wheel(f wheelFault) {
	names := v.undriven()
	if len(names) == 0 {
		return
	}
	for i := range v.Columns {
		if v.quantityOf(i) != names[0] {
			continue
		}
		x := v.Columns[i].Values
		switch f {
		case dead:
			for j := range x {
				x[j] *= 0
			}
		case drops:
			for j := range x {
				if j/7%29 == 0 {
					x[j] *= 0
				}
			}
		case stuck:
			for _, p := range v.truth.Passes {
				m := p.Marks["eighth_mile"]
				if m == nil {
					continue
				}
				at := math.NaN()
				for j, run := range v.RowTime {
					if v.Clock.Log(run) >= m.At && v.Clock.Log(run) < m.At+60 && !math.IsNaN(x[j]) {
						if math.IsNaN(at) {
							at = x[j]
						}
						x[j] = at
					}
				}
			}
		}
	}
}

func (v *variantLog) swapAxles() {
	at := map[string]int{}
	for i := range v.Columns {
		at[v.quantityOf(i)] = i
	}
	for _, pair := range [][2]string{{"wheel_fl", "wheel_rl"}, {"wheel_fr", "wheel_rr"}} {
		a, ok1 := at[pair[0]]
		b, ok2 := at[pair[1]]
		if ok1 && ok2 {
			v.Columns[a].Values, v.Columns[b].Values = v.Columns[b].Values, v.Columns[a].Values
		}
	}
}

func (v *variantLog) satelliteZero() {
	v.inPass(1, func(row int) {
		for i := range v.Columns {
			if v.quantityOf(i) == "gps_speed" {
				v.Columns[i].Values[row] *= 0
			}
		}
	})
}

func (v *variantLog) constant(quantity string) {
	for i := range v.Columns {
		if v.quantityOf(i) == quantity {
			for j := range v.Columns[i].Values {
				v.Columns[i].Values[j] *= 0
			}
		}
	}
}

// everyRow keeps one row of n; blank cells are filled from the rows before, as a slower
// recorder that holds the last value does.
func (v *variantLog) everyRow(n int) {
	v.hold()
	keep := func(x []float64) []float64 {
		var out []float64
		for i := 0; i < len(x); i += n {
			out = append(out, x[i])
		}
		return out
	}
	v.RowTime = keep(v.RowTime)
	v.RowStep *= float64(n)
	for i := range v.Columns {
		c := &v.Columns[i]
		c.Values = keep(c.Values)
		if c.Text != nil {
			var t []string
			for j := 0; j < len(c.Text); j += n {
				t = append(t, c.Text[j])
			}
			c.Text = t
		}
	}
}

// jump lets the log's own clock leap ahead halfway through each pass.
func (v *variantLog) jump(by float64) {
	if len(v.Clock.Segments) == 0 {
		v.Clock.Segments = append(v.Clock.Segments, clockSegment(v.RowTime, 0))
	}
	for i := range v.truth.Passes {
		m := v.truth.Passes[i].Marks["eighth_mile"]
		if m == nil {
			continue
		}
		run := math.NaN()
		for _, r := range v.RowTime {
			if v.Clock.Log(r) >= m.At {
				run = r
				break
			}
		}
		if math.IsNaN(run) {
			continue
		}
		var out []trace.Segment
		last := 0.0
		for _, s := range v.Clock.Segments {
			if s.FromRun <= run {
				out = append(out, s)
				last = s.Offset
			}
		}
		out = append(out, trace.Segment{FromRun: run, Offset: last + by})
		for _, s := range v.Clock.Segments {
			if s.FromRun > run {
				s.Offset += by
				out = append(out, s)
			}
		}
		at := m.At
		v.Clock.Segments = out
		v.truth = v.truth.later(at, by)
	}
}
