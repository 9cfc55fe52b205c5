package reconstruct

import (
	"math"
	"testing"

	"traplight/internal/dictionary"
	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// TestStrays: a receiver that wanders off and comes back, across a change of gear too, loses that stretch where
// the wheels run on; where the wheels spin, or both bend, it loses nothing.
func TestStrays(t *testing.T) {
	bump := func(t, from, to float64) float64 { // 0 … 1 … 0, soft
		if t <= from || t >= to {
			return 0
		}
		return math.Pow(math.Sin(math.Pi*(t-from)/(to-from)), 2)
	}
	car := func(t float64) float64 { // m/s, with a change of gear at 8 s
		a := 6.5
		v := a*t - 0.19*t*t
		if t > 8 {
			v -= 0.7 * math.Min(t-8, 0.2)
		}
		return math.Max(0, v)
	}
	for _, c := range []struct {
		name     string
		receiver func(t float64) float64 // share by which it is off
		spin     func(t float64) float64 // share by which the wheels run ahead
		from, to float64                 // s, where readings are to go; none if equal
	}{
		{"right", func(float64) float64 { return 0 }, func(float64) float64 { return 0.03 }, 0, 0},
		{"low for a while", func(t float64) float64 { return -0.07 * bump(t, 9, 11.5) }, func(float64) float64 { return 0.03 }, 9.3, 11.2},
		{"high across a change of gear", func(t float64) float64 { return 0.07 * bump(t, 7, 9.5) }, func(float64) float64 { return 0.03 }, 7.3, 9.2},
		{"wheels spin for a while", func(float64) float64 { return 0 }, func(t float64) float64 { return 0.03 + 0.1*bump(t, 6, 8) }, 0, 0},
		{"wheels spin for long", func(float64) float64 { return 0 }, func(t float64) float64 { return 0.03 + 0.3*bump(t, 3, 9) }, 0, 0},
	} {
		var sat trace.Trace
		for x := 0.0; x < 16; x += 0.05 {
			noise := 0.05 * math.Sin(37*x)
			sat.T, sat.V = append(sat.T, x), append(sat.V, car(x-satLatency)*(1+c.receiver(x))+noise)
		}
		ch := &dictionary.Channel{Quantity: quantity.GPSSpeed, Trace: sat}
		left := withoutStrays(ch, func(x float64) float64 { return car(x) * (1 + c.spin(x)) * (1 + 0.002*math.Sin(53*x)) })
		gone := map[float64]bool{}
		for _, x := range sat.T {
			gone[x] = true
		}
		for _, x := range left.Trace.T {
			delete(gone, x)
		}
		for _, x := range sat.T {
			if inside := x > c.from && x < c.to; inside && !gone[x] {
				t.Errorf("%s: the reading at %.2f s stays", c.name, x)
			}
			if gone[x] && (c.from == c.to || x < c.from-0.5 || x > c.to+0.5) {
				t.Errorf("%s: the reading at %.2f s is gone", c.name, x)
			}
		}
	}
}

// TestWrongSides: of a lone leap the side goes that tyres, which slip as they pull, give the lie.
func TestWrongSides(t *testing.T) {
	car := func(t float64) float64 { return 7*t - 0.13*t*t } // pulls less and less
	pull := func(t float64) float64 { return 7 - 0.26*t }
	for _, c := range []struct {
		name     string
		from, to float64 // s, where the receiver is wrong
		by       float64 // 1
	}{
		{"low from early on", 1.2, 6, -0.06},
		{"high from early on", 1.2, 6, 0.06},
		{"low until the end", 15.5, 20, -0.06},
		{"high until the end", 15.5, 20, 0.06},
		{"right", 0, 0, 0},
	} {
		var sat trace.Trace
		for x := 0.0; x < 20; x += 0.05 {
			v := car(math.Max(0, x-satLatency))
			if x > c.from && x < c.to {
				v *= 1 + c.by
			}
			sat.T, sat.V = append(sat.T, x), append(sat.V, v+0.04*math.Sin(37*x))
		}
		left := withoutWrongSides(&dictionary.Channel{Quantity: quantity.GPSSpeed, Trace: sat}, func(x float64) float64 {
			return car(math.Max(0, x)) * (1 - 0.012 + 0.009*pull(x))
		})
		wrong, lost := 0, sat.Len()-left.Trace.Len()
		for _, x := range left.Trace.T {
			if x > c.from+0.6 && x < c.to { // below 10 m/s nothing is judged
				wrong++
			}
		}
		if wrong > 0 || lost > int((c.to-c.from)/0.05)+6 {
			t.Errorf("%s: %d wrong readings stay, %d are lost", c.name, wrong, lost)
		}
	}
}
