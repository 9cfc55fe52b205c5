package main

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// holes are variants in which the only channel that tells the car's speed fails for 0.5 to 5 s
// in each pass, anywhere between launch and line; the engine's channels go on.
var holes = []Variant{
	{Name: "undriven-only", What: "of all that tells speed only the undriven wheels", Apply: func(v *variantLog) { v.undrivenAlone() }},
	{Name: "hole-frozen", What: "a receiver alone, which stands still for a while", Apply: func(v *variantLog) { v.satelliteHole(frozen) }},
	{Name: "hole-blank", What: "a receiver alone, blank for a while", Apply: func(v *variantLog) { v.satelliteHole(blanks) }},
	{Name: "hole-zero", What: "a receiver alone, at zero for a while", Apply: func(v *variantLog) { v.satelliteHole(zeros) }},
	{Name: "hole-drift", What: "a receiver alone, which drifts off by 4 % and comes back at once", Apply: func(v *variantLog) { v.satelliteHole(drifts) }},
	{Name: "hole-burst", What: "a receiver alone, which scatters about a tenth less for a while", Apply: func(v *variantLog) { v.satelliteHole(bursts) }},
	{Name: "hole-level", What: "a receiver alone, 6 % high or low for a while", Apply: func(v *variantLog) { v.satelliteHole(levels) }},
	{Name: "hole-fade", What: "a receiver alone, which leaps off by 8 % and fades back", Apply: func(v *variantLog) { v.satelliteHole(fades) }},
	{Name: "hole-rows", What: "a receiver alone, rows missing for a while", Apply: func(v *variantLog) { v.satelliteHole(rowsGone) }},
	{Name: "satellite-1hz", What: "a receiver alone, one reading a second", Apply: func(v *variantLog) { v.satelliteEvery(1) }},
	{Name: "satellite-5hz", What: "a receiver alone, five readings a second", Apply: func(v *variantLog) { v.satelliteEvery(0.2) }},
	{Name: "hole-wheel-frozen", What: "undriven wheels alone, which hold their value for a while", Apply: func(v *variantLog) { v.wheelHole(frozen) }},
	{Name: "hole-wheel-blank", What: "undriven wheels alone, blank for a while", Apply: func(v *variantLog) { v.wheelHole(blanks) }},
	{Name: "hole-wheel-zero", What: "undriven wheels alone, at zero for a while", Apply: func(v *variantLog) { v.wheelHole(zeros) }},
}

func init() { variants = append(variants, holes...) }

type hole int

const (
	frozen hole = iota
	blanks
	zeros
	drifts
	bursts
	levels
	fades
	rowsGone
)

func (v *variantLog) satelliteHole(h hole) {
	v.drop("accel_", "wheel_")
	v.hole(h, "gps_")
}

// satelliteEvery leaves of all that tells speed a receiver with a reading every so many seconds, the
// cells between them blank.
func (v *variantLog) satelliteEvery(step float64) {
	v.drop("accel_", "wheel_")
	for i := range v.Columns {
		if !strings.HasPrefix(v.quantityOf(i), "gps_") {
			continue
		}
		next := math.Inf(-1)
		x := v.Columns[i].Values
		for row, t := range v.RowTime {
			switch {
			case math.IsNaN(x[row]):
			case t < next:
				x[row] = math.NaN()
			default:
				next = t + step - v.RowStep/2
			}
		}
	}
}

func (v *variantLog) wheelHole(h hole) {
	v.undrivenAlone()
	v.hole(h, v.undriven()...)
}

// undrivenAlone leaves of what tells speed the wheels that only roll; an all-wheel drive keeps
// all of its wheels.
func (v *variantLog) undrivenAlone() {
	u := v.undriven()
	v.drop("accel_", "gps_")
	if len(u) == 0 {
		return
	}
	var driven []string
	for _, w := range []string{"wheel_fl", "wheel_fr", "wheel_rl", "wheel_rr"} {
		if !slices.Contains(u, w) {
			driven = append(driven, w)
		}
	}
	v.drop(driven...)
}

// hole spoils the channels whose quantity begins so.
func (v *variantLog) hole(h hole, prefixes ...string) {
	var channels [][]float64
	for i := range v.Columns {
		if q := v.quantityOf(i); q != "" && hasAnyPrefix(q, prefixes) {
			if h == frozen || !strings.HasPrefix(q, "gps_l") || h == blanks {
				channels = append(channels, v.Columns[i].Values)
			}
		}
	}
	for _, p := range v.truth.Passes {
		lasts := 0.5 + 4.5*v.rng.Float64()
		from := p.Launch + v.rng.Float64()*(p.lineAt()-p.Launch-lasts)
		v.said = append(v.said, fmt.Sprintf("hole from %.2f to %.2f s, launch at %.2f s", from, from+lasts, p.Launch))
		var rows []int
		for i, run := range v.RowTime {
			if t := v.Clock.Log(run); t >= from && t < from+lasts {
				rows = append(rows, i)
			}
		}
		if len(rows) == 0 {
			continue
		}
		if h == rowsGone {
			v.cutRows(rows[0], rows[len(rows)-1]+1)
			return // of a second pass the rows' places have moved
		}
		side := 1 - 2*float64(v.rng.IntN(2))
		for _, x := range channels {
			was := lastKnown(x, rows[0])
			read, factor := math.NaN(), 1.0
			for k, i := range rows {
				switch {
				case math.IsNaN(x[i]):
				case h == frozen:
					x[i] = was
				case h == blanks:
					x[i] = math.NaN()
				case h == zeros:
					x[i] = 0
				case h == drifts:
					x[i] *= 1 + 0.04*float64(k)/float64(len(rows))
				case h == bursts:
					// what a recorder holds stays held: the scatter comes with a fresh reading
					if x[i] != read {
						read, factor = x[i], 0.87+0.05*v.rng.NormFloat64()
					}
					x[i] *= factor
				case h == levels:
					x[i] *= 1 + 0.06*side
				case h == fades:
					x[i] *= 1 + 0.08*side*(1-float64(k)/float64(len(rows)))
				}
			}
		}
	}
}

// lastKnown is the last number before row i, NaN for none.
func lastKnown(x []float64, i int) float64 {
	for i--; i >= 0; i-- {
		if !math.IsNaN(x[i]) {
			return x[i]
		}
	}
	return math.NaN()
}

// cutRows takes rows from a to before b out of the file.
func (v *variantLog) cutRows(a, b int) {
	v.RowTime = slices.Delete(slices.Clone(v.RowTime), a, b)
	for i := range v.Columns {
		c := &v.Columns[i]
		c.Values = slices.Delete(c.Values, a, b)
		if c.Text != nil {
			c.Text = slices.Delete(slices.Clone(c.Text), a, b)
		}
	}
}
