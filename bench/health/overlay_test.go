package main

import (
	"math"
	"testing"

	"traplight/internal/car"
	"traplight/internal/demo"
	"traplight/internal/dictionary"
	"traplight/internal/health"
	"traplight/internal/pass"
	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// straight is a pass of one gear with 5 m/s² from 2 s to 8 s, its accelerometer and wheels.
func straight() openPass {
	p := &pass.Pass{Gears: []pass.GearSpan{{Gear: 1, Start: 2, End: 8}}}
	p.Motion = pass.Motion{Step: 0.01}
	var a, v trace.Trace
	for i := range 1201 {
		t := float64(i) * 0.01
		s := 5 * min(max(t-2, 0), 6)
		p.Motion.V = append(p.Motion.V, s)
		x := 0.0
		if t >= 2 && t <= 8 {
			x = 5
		}
		a.T, a.V = append(a.T, t), append(a.V, x)
		v.T, v.V = append(v.T, t), append(v.V, s)
	}
	set := &dictionary.Set{Channels: []dictionary.Channel{{Quantity: quantity.AccelerationLong, Trace: a}, {Quantity: quantity.WheelSpeedRL, Trace: v}}}
	return openPass{openLog: &openLog{sheet: &car.Sheet{Driven: car.FrontDriven}}, rec: health.Record{Pass: p, Set: set}}
}

// slower is a fault of one gear that does nothing but slow the car by a share from its middle on.
func slower(pace float64) demo.Displaced {
	d := demo.Displaced{FromBin: demo.Bins / 2, Pace: [][]float64{make([]float64, demo.Bins)}}
	for k := range d.Pace[0] {
		d.Pace[0][k] = 1
		if k >= demo.Bins/2 {
			d.Pace[0][k] = pace
		}
	}
	return d
}

// TestOverlay: a fault that changes nothing leaves every reading and its time; one that slows
// the car leaves the laws of motion: the accelerometer's integral is the wheels' speed.
func TestOverlay(t *testing.T) {
	o := straight()
	same := laying(slower(1), 101325, car.FrontDriven, o).set()
	for i, c := range same.Channels {
		for k := range c.Trace.T {
			if was := o.rec.Set.Channels[i].Trace; math.Abs(c.Trace.T[k]-was.T[k]) > 1e-9 || c.Trace.V[k] != was.V[k] {
				t.Fatalf("channel %d reading %d: %v at %v, was %v at %v", i, k, c.Trace.V[k], c.Trace.T[k], was.V[k], was.T[k])
			}
		}
	}
	x := laying(slower(1.25), 101325, car.FrontDriven, o)
	if on := x.onset(); math.Abs(on-5) > 0.02 {
		t.Errorf("onset %.3f s, not 5", on)
	}
	set := x.set()
	a, v := set.First(quantity.AccelerationLong).Trace, set.First(quantity.WheelSpeedRL).Trace
	if late := v.T[800] - 8; math.Abs(late-0.75) > 0.02 { // a quarter more over half of 6 s
		t.Errorf("30 m/s come %.3f s late, not 0.75", late)
	}
	sum := 0.0
	for i := 1; i < a.Len(); i++ {
		sum += (a.V[i] + a.V[i-1]) / 2 * (a.T[i] - a.T[i-1])
	}
	if math.Abs(sum-30) > 0.1 {
		t.Errorf("the accelerometer's integral is %.2f m/s, the wheels say 30", sum)
	}
}
