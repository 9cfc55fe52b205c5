package health

import (
	"math"

	"traplight/internal/dictionary"
	"traplight/internal/num/stats"
	"traplight/internal/quantity"
)

// The wheels of one axle that part by more than any tyre or corner makes them: one of the
// two readings is wrong, or a driven wheel turns by itself. A differential tells which:
// the mean of its wheels goes with the engine, whatever each does. Natural logarithms of
// speed ratios; common practice, no source.
const (
	partedFrom  = 0.03 // from where it is said to have begun
	partedLeast = 0.08 // that must last
	partedMost  = 0.12 // that must be reached
	partedGood  = 0.035
	partedLasts = 20 // cells
)

// parted finds wheel sensors given the lie by the other wheel of the axle together with
// the engine, or with the car's speed for wheels that nothing drives.
func (f *frame) parted() []broken {
	wheel := func(q quantity.Name) *dictionary.Channel { return f.set.First(q) }
	driven, _ := f.wheels()
	var out []broken
	for _, axle := range [][2]*dictionary.Channel{
		{wheel(quantity.WheelSpeedFL), wheel(quantity.WheelSpeedFR)}, {wheel(quantity.WheelSpeedRL), wheel(quantity.WheelSpeedRR)},
	} {
		if axle[0] == nil || axle[1] == nil {
			continue
		}
		drives := false
		for _, c := range driven {
			drives = drives || c == axle[0]
		}
		if b, ok := f.partedAxle(axle, drives); ok {
			out = append(out, b)
		}
	}
	return out
}

func (f *frame) partedAxle(axle [2]*dictionary.Channel, drives bool) (b broken, ok bool) {
	x := [2][]float64{f.column(axle[0]), f.column(axle[1])}
	brake := f.first(quantity.Brake)
	apart := apply(f.n, func(i int) float64 {
		if f.t[i] < f.launch+2 || f.t[i] > f.end || !(f.v[i] > 15) || brake != nil && brake[i] > 0.05 {
			return nan()
		}
		return math.Log(max(x[0][i], 0.5) / max(x[1][i], 0.5)) // NaN where either has no reading
	})
	from, ok := f.lasting(partedLasts*cell, func(i int) bool { return math.Abs(apart[i]) > partedLeast })
	if !ok {
		return b, false
	}
	reached := 0.0
	for _, d := range smooth(apart, partedLasts/2) {
		if math.Abs(d) > reached {
			reached = math.Abs(d)
		}
	}
	if reached < partedMost {
		return b, false
	}
	ref := f.v
	if drives {
		ref = f.engineRoad()
		// The tyres' true radius, from where the wheels still agree.
		var bias []float64
		for i, d := range apart {
			if e := math.Log(ref[i] / ((x[0][i] + x[1][i]) / 2)); math.Abs(d) < partedFrom && math.Abs(e) < 0.1 {
				bias = append(bias, e)
			}
		}
		if len(bias) > 2*partedLasts {
			k := math.Exp(-stats.Median(bias))
			ref = apply(f.n, func(i int) float64 { return ref[i] * k })
		}
	}
	off := func(y func(i int) float64) float64 {
		var e []float64
		for i, d := range apart {
			if !(math.Abs(d) > partedLeast) || !(ref[i] > 0) {
				continue
			}
			e = append(e, math.Abs(math.Log(max(y(i), 0.5)/ref[i])))
		}
		if len(e) < partedLasts {
			return nan()
		}
		return stats.Median(e)
	}
	mean := off(func(i int) float64 { return (x[0][i] + x[1][i]) / 2 })
	for k := range axle {
		good := off(func(i int) float64 { return x[1-k][i] })
		bad := off(func(i int) float64 { return x[k][i] })
		if good < partedGood && bad > 2*partedGood && (!drives || mean > 1.3*good && mean > partedGood/1.5) {
			for i := f.n - 1; i > 0; i-- {
				if f.t[i] < from && !(math.Abs(apart[i]) > partedFrom) {
					from = f.t[i] + cell
					break
				}
			}
			text := "it leaves the axle's other wheel, which goes with the engine"
			if !drives {
				text = "it leaves the axle's other wheel, which goes with the car"
			}
			return broken{axle[k], "parted", from, text, most}, true
		}
	}
	return b, false
}

// engineRoad is the speed, m/s, of driven wheels that the engine turns through a closed
// clutch, by the sheet's ratios and nominal radius; NaN elsewhere.
func (f *frame) engineRoad() []float64 {
	r := f.sheet.TyreRadius.Value
	return apply(f.n, func(i int) float64 {
		g := f.gear[i]
		if !f.full[i] || g < 1 || g > len(f.sheet.Gears) || f.since[i] < 0.35 {
			return nan()
		}
		return f.speed[i] * r / (f.sheet.Gears[g-1] * f.sheet.FinalDrive)
	})
}

// misgeared is how far engine and driven wheels may be from the gear's ratio, natural
// logarithm, once a wheel by which the gears were told is known to read wrong.
const misgeared = 0.1

// doubtGears takes the gear from cells in which the wheels that are left give it the lie.
func (f *frame) doubtGears() {
	f.doubted = true
	driven, _ := f.wheels()
	var cols [][]float64
	for _, c := range driven {
		cols = append(cols, f.column(c))
	}
	if len(cols) == 0 {
		return
	}
	wheel, road := meanOf(cols), f.engineRoad()
	for i := range f.gear {
		if math.Abs(math.Log(road[i]/wheel[i])) > misgeared {
			f.gear[i], f.full[i], f.since[i], f.target[i], f.crank[i] = 0, false, nan(), nan(), nan()
		}
	}
}
