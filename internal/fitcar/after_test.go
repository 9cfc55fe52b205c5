package fitcar

import (
	"math"
	"testing"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/pass"
	"traplight/internal/quantity"
	"traplight/internal/sim"
	"traplight/internal/trace"
)

func afterSheet() *car.Sheet {
	e := func(v float64) quantity.Estimate { return quantity.Estimate{Value: v} }
	return &car.Sheet{Mass: e(1350), DragArea: e(0.68), RollingResist: e(0.013), Gears: []float64{3, 2}, FinalDrive: 3.5, LossShare: e(0.05)}
}

// afterLine is a car after the line, t = 0: throttle shut, speed from v0 by brakes of a
// constant deceleration from a second on, with drag and rolling resistance, and a sensor of
// a lag, s, in exhaust gas that has cooled to 500 K.
func afterLine(o *Observation, v0, brakes, lag float64) *dictionary.Set {
	var speed, gas, throttle trace.Trace
	const dt = 0.01
	v := v0
	for i := range 1800 {
		t := float64(i) * dt
		speed.T, speed.V = append(speed.T, t), append(speed.V, v)
		gas.T, gas.V = append(gas.T, t), append(gas.V, 500+550*math.Exp(-t/lag))
		throttle.T, throttle.V = append(throttle.T, t), append(throttle.V, 0)
		a := o.resistance(v)
		if t > 1 {
			a += brakes
		}
		v = max(0, v-dt*a)
	}
	channel := func(q quantity.Name, x trace.Trace) dictionary.Channel {
		return dictionary.Channel{Name: string(q), Quantity: q, Confidence: 1, Trace: x}
	}
	return &dictionary.Set{Channels: []dictionary.Channel{channel(quantity.GPSSpeed, speed),
		channel(quantity.ExhaustTemperature, gas), channel(quantity.Throttle, throttle)}}
}

// What slows the car without its brakes is not theirs, and a sensor's lag is told by how it
// falls once the throttle has shut.
func TestAfterLine(t *testing.T) {
	for _, c := range []struct{ v0, brakes, lag float64 }{{85, 5.5, 0.75}, {60, 4, 0.3}, {85, 7, 1.4}} {
		o := &Observation{Sheet: afterSheet(), Air: sim.Air{Density: 1.2}}
		set := afterLine(o, c.v0, c.brakes, c.lag)
		p := &pass.Pass{Finish: &quantity.Estimate{}}
		if got := o.braking(p, set); math.Abs(got/c.brakes-1) > 0.01 {
			t.Errorf("brakes of %.1f m/s² were read as %.2f", c.brakes, got)
		}
		if got := exhaustLag(p, set); math.Abs(got/c.lag-1) > 0.05 {
			t.Errorf("a lag of %.2f s was read as %.2f", c.lag, got)
		}
	}
	// a car that rolls out without brakes shows none
	o := &Observation{Sheet: afterSheet(), Air: sim.Air{Density: 1.2}}
	set := afterLine(o, 85, 0, 0.7)
	if got := o.braking(&pass.Pass{Finish: &quantity.Estimate{}}, set); got != 0 {
		t.Errorf("rolling out was read as braking with %.1f m/s²", got)
	}
}

// The clutch's bite after a shift is no part of the pull, however high.
func TestPullTorque(t *testing.T) {
	s := afterSheet()
	o := &Observation{Sheet: s, Shifts: []ShiftSeen{{From: 1, To: 2, Start: 0.9, End: 1}}}
	f := &pass.Force{}
	ratio := s.Gears[1] * s.FinalDrive * (1 - s.LossShare.Value)
	for i := range 300 {
		t, torque := float64(i)*0.01, 500.0
		if t < 1.2 {
			torque = 900
		}
		if t > 2 && t < 2.2 {
			torque = 550
		}
		f.HubTorque = append(f.HubTorque, torque*ratio)
		f.Gear, f.FullThrottle = append(f.Gear, 2), append(f.FullThrottle, true)
	}
	p := &pass.Pass{Motion: pass.Motion{Step: 0.01}, Force: f}
	if got := o.pullTorque(p, 2); math.Abs(got-550) > 1 {
		t.Errorf("a pull of 550 N·m was read as %.0f", got)
	}
	if got := o.pullTorque(p, 1); !math.IsNaN(got) {
		t.Errorf("a gear that was not used reads %.0f N·m", got)
	}
}

// The spread of the braking to come is learnt from the passes' own, about what is known before.
func TestBrakeSD(t *testing.T) {
	model := func(decels ...float64) *Model {
		m := &Model{}
		for _, d := range decels {
			m.Passes = append(m.Passes, PassFit{Obs: &Observation{CoastDecel: d}})
		}
		return m
	}
	// Four passes' worth of 10 % and nothing else: √(4·0.01/4·2).
	if got := model(5).BrakeSD(); math.Abs(got-0.1*math.Sqrt2) > 1e-9 {
		t.Errorf("one pass: %.4f", got)
	}
	alike, unlike, many := model(5, 5.1).BrakeSD(), model(4.5, 6).BrakeSD(), model(5, 5.1, 4.9, 5.05, 5, 4.95, 5.1, 5).BrakeSD()
	if !(many < alike && alike < unlike) || alike < 0.08 || many < 0.05 {
		t.Errorf("alike %.3f, unlike %.3f, many alike %.3f", alike, unlike, many)
	}
	if got := model(0).BrakeSD(); got != brakeGuess {
		t.Errorf("no braking shown: %.3f", got)
	}
}
