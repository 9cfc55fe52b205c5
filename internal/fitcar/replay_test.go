package fitcar

import (
	"math"
	"testing"

	"traplight/internal/car"
	"traplight/internal/pass"
)

// A shift whose edges the log shows well takes as long as it shows; one that it shows badly
// about as long as usual.
func TestShiftDuration(t *testing.T) {
	for _, c := range []struct{ seen, sd, from, to float64 }{
		{0.16, 0.006, 0.155, 0.16}, {0.004, 0.038, 0.06, 0.12}, {0.3, 0, 0.3, 0.3},
	} {
		s := ShiftSeen{Start: 1, End: 1 + c.seen, SD: c.sd}
		if got := s.duration(0.12); got < c.from-1e-9 || got > c.to+1e-9 {
			t.Errorf("%.3f ± %.3f s seen: %.3f s taken, want %.3f to %.3f", c.seen, c.sd, got, c.from, c.to)
		}
	}
	if s := (ShiftSeen{Start: 1, End: 1.9, SD: 0.3, Missed: true}); math.Abs(s.duration(0.12)-0.9) > 1e-9 {
		t.Error("a missed shift is not the usual one")
	}
}

// Tyres that spin through all of the first gear, seen by the engine alone: the clutch has closed
// where it begins to tell the wheels' speed, and not in a later gear.
func TestLockInWheelspin(t *testing.T) {
	o := &Observation{Step: gridStep, Radius: 0.32, Sheet: &car.Sheet{Gears: []float64{3, 2}, FinalDrive: 4}}
	for i := range 100 {
		g, v := 1, 2+0.14*float64(i)
		spun := 60.0 + 0.3*float64(i) // rad/s of the wheels
		engine := spun * 12
		if i >= 50 {
			g, engine = 2, spun*8
		}
		wheel := spun
		if i < 10 {
			wheel, engine = math.NaN(), 500
		}
		o.X, o.V, o.Full = append(o.X, float64(i)), append(o.V, v), append(o.Full, i >= 10)
		o.Engine, o.Wheel, o.Gear = append(o.Engine, engine), append(o.Wheel, wheel), append(o.Gear, g)
	}
	p := &pass.Pass{Gears: []pass.GearSpan{{Gear: 1}, {Gear: 2}}}
	if !o.lock(p) || o.Lock != 10 {
		t.Errorf("the clutch has closed at sample %d, it did at 10", o.Lock)
	}
}

// Spinning tyres take hold as the clutch closes, and the wheels fall away from the engine once
// more: the launch goes on until both meet for good, and that is no clutch that slips in gear.
func TestLockBrokenLoose(t *testing.T) {
	o := &Observation{Step: gridStep, Radius: 0.32, Sheet: &car.Sheet{Gears: []float64{3, 2}, FinalDrive: 4}}
	for i := range 200 {
		v := 4 + 0.1*float64(i)
		wheel := v / o.Radius * 1.05
		over := 1 + 0.002*float64(i%3) // two sensors
		switch {
		case i < 10:
			over = 2
		case i >= 24 && i < 50:
			over = 1.3
		}
		o.X, o.V, o.Full = append(o.X, float64(i)), append(o.V, v), append(o.Full, true)
		o.Engine, o.Wheel, o.Gear = append(o.Engine, over*wheel*12), append(o.Wheel, wheel), append(o.Gear, 1)
	}
	p := &pass.Pass{Gears: []pass.GearSpan{{Gear: 1}}}
	if !o.lock(p) || o.Lock != 50 {
		t.Errorf("the clutch has closed at sample %d, it did at 50", o.Lock)
	}
	if o.slips([]float64{12, 8}) != nil {
		t.Error("a clutch that slips in gear was seen")
	}
}
