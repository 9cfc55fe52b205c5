package health

import (
	"fmt"
	"math"

	"traplight/internal/num/stats"
	"traplight/internal/quantity"
)

// On a straight the two wheels of an axle turn alike but for what their tyres differ in and
// how well the logger knows their circumference. On 378 healthy passes of invented cars they
// part by up to 0.7 %, in the open logs by up to 1.1 %; a tyre that lost two fifths of its
// pressure does so by 1.2 to 2.2 %, and one that is nearly flat by 3 to 4 %.
const (
	axleApart = 0.018 // 1, in the median of the upper gears, from which it is told
	axleGrave = 0.025 // 1, from which it is more than slight
	axleMost  = 0.07  // 1, beyond which it is no tyre: see parted
	axleFast  = 20.0  // m/s, from which it is looked at
	axleSlip  = 0.1   // 1, of the tyres: wheels that spin part in a differential
	axleRows  = 75    // cells, least
)

// unevenAxles are tyres that differ from their mates, for a first pass: on a car with a history
// its own passes tell what is usual.
func (j *judge) unevenAxles() []breach {
	if !j.alone {
		return nil
	}
	var out []breach
	for _, side := range [][2]quantity.Name{{quantity.WheelSpeedFL, quantity.WheelSpeedFR}, {quantity.WheelSpeedRL, quantity.WheelSpeedRR}} {
		l, r := j.set.First(side[0]), j.set.First(side[1])
		if l == nil || r == nil {
			continue
		}
		a, b := j.column(l), j.column(r)
		apart := apply(j.n, func(i int) float64 {
			if j.v[i] < axleFast || j.slip[i] > axleSlip || !(a[i] > axleFast/2) || !(b[i] > axleFast/2) || j.t[i] > j.end {
				return nan()
			}
			return math.Log(a[i] / b[i])
		})
		var upper []float64
		for i, x := range apart {
			if x == x && j.gear[i] >= 3 {
				upper = append(upper, x)
			}
		}
		if len(upper) < axleRows {
			continue
		}
		m := stats.Median(upper)
		if math.Abs(m) < axleApart || math.Abs(m) > axleMost {
			continue
		}
		small, mate := l, r
		if m < 0 {
			small, mate = r, l
		}
		from, ok := j.lasting(0.5, func(i int) bool { return apart[i]/m > 0.5 })
		if !ok {
			continue
		}
		sev := Subtle
		if math.Abs(m) > axleGrave {
			sev = Moderate
		}
		text := fmt.Sprintf("%s turns %.1f %% faster than %s in the upper gears: its tyre has lost pressure, or is another, or the logger's circumference for one of them is wrong", small.Name, 100*math.Abs(m), mate.Name)
		out = append(out, breach{Tyre, sev, from, names(small, mate), text, ofPractice, false, false})
	}
	return out
}
