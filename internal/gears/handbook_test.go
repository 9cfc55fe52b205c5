package gears

import (
	"math"
	"testing"
)

// TestHandbook: gears are told at the engine speeds that handbooks give, engine rpm = mph ×
// overall ratio × 336 / tyre diameter in inches (63 360 in a mile / 60 min / π, rounded;
// common in SAE texts and gear tables, from memory), and engine speed drops from gear to gear
// as the ratios do. The formula's own rounding is part of the check: 336 for 336.14.
func TestHandbook(t *testing.T) {
	const (
		tyre  = 26.0    // in
		mph   = 0.44704 // m/s, exact
		inch  = 0.0254  // m, exact
		rpm   = math.Pi / 30
		step  = 0.01 // s
		away  = 20   // samples from a shift
		axle  = 3.73
		upper = 7200.0 // rpm, shift
	)
	// four-speed and six-speed boxes with usual ratios, made for this test
	for _, box := range [][]float64{{2.48, 1.80, 1.32, 1.00}, {2.97, 2.07, 1.43, 1.00, 0.84, 0.57}} {
		p := &Problem{From: 0, Step: step, Spread: 0.012}
		for _, r := range box {
			p.Ratios = append(p.Ratios, r*axle)
		}
		var want []int
		speed, gear, open := 12.0, 0, 0
		for i := 0; i < 3000 && speed < 190; i++ {
			engine := speed * p.Ratios[gear] * 336 / tyre
			pull := 8.0
			if open > 0 {
				open--
				pull = -1
				engine *= p.Ratios[gear-1] / p.Ratios[gear] * (1 - 0.08*float64(20-open)/20) // falling, clutch out
				want = append(want, 0)
			} else {
				want = append(want, gear+1)
				if engine > upper && gear+1 < len(box) {
					gear++
					open = 20
				}
			}
			speed += pull * step / mph
			p.Engine = append(p.Engine, engine*rpm)
			p.Wheel = append(p.Wheel, speed*mph/(tyre*inch/2))
			p.Pull = append(p.Pull, pull)
		}
		spans, path := Find(p)
		for i, g := range want {
			settled := i > 10 && i+10 < len(want) && want[i-10] == g && want[i+10] == g
			if settled && g > 0 && path[i] != g {
				t.Fatalf("%v: gear %d at %.0f rpm, handbook %d", box, path[i], p.Engine[i]/rpm, g)
			}
		}
		if len(spans) != gear+1 {
			t.Errorf("%v: %d spans, want %d", box, len(spans), gear+1)
		}
		for k := range gear {
			if k+1 >= len(spans) {
				continue
			}
			a, b := spans[k], spans[k+1]
			got := p.Engine[b.First+away] / p.Wheel[b.First+away] / (p.Engine[a.Last-away] / p.Wheel[a.Last-away])
			if w := box[k+1] / box[k]; math.Abs(got/w-1) > 0.01 {
				t.Errorf("%v: drop %.4f about the shift from %d to %d, ratios %.4f", box, got, a.Gear, b.Gear, w)
			}
		}
	}
}
