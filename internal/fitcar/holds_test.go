package fitcar

import (
	"math"
	"testing"

	"traplight/internal/car"
)

// slid is a stretch of two gears in which the clutch slips after the shift, at 10 % in
// the new gear falling to nothing, and in which the shift's end was put a second late.
func slid() *Observation {
	sheet := &car.Sheet{Gears: []float64{2, 1.5}, FinalDrive: 4}
	o := &Observation{Step: gridStep, Sheet: sheet, Radius: 0.3, Shifts: []ShiftSeen{
		{From: 1, To: 2, Start: 2.5, End: 3.2, Speed: 800}}}
	usual := ShiftSeen{From: 2, To: 3, Start: 9, End: 9.1}
	for i := range 250 {
		t := float64(i) * gridStep
		wheel, gear, ratio := 80+8*t, 1, 8.0
		if t > 2 {
			gear, ratio = 2, 6.0
		}
		over := 0.0
		if t > 2 {
			over = 0.1 * max(0, 1-(t-2)/2.5)
		}
		if t > 2 && t < 2.5 {
			gear = 1 // as it was labelled
		}
		o.X, o.V, o.A = append(o.X, 20*t), append(o.V, wheel*0.3), append(o.A, 2.4)
		o.Wheel, o.Engine = append(o.Wheel, wheel), append(o.Engine, wheel*ratio*(1+over))
		o.Gear, o.Full = append(o.Gear, gear), append(o.Full, true)
	}
	o.Shifts = append(o.Shifts, usual)
	return o
}

func TestMendShifts(t *testing.T) {
	o := slid()
	o.mendShifts()
	if s := o.Shifts[0]; math.Abs(s.Start-2) > 0.05 || math.Abs(s.End-s.Start-0.1) > 1e-9 {
		t.Errorf("the shift is put at %.2f to %.2f s; it was at 2 s and takes 0.1 s", s.Start, s.End)
	}
	lost := slid()
	for i := lost.at(2.5); i < lost.at(3.2); i++ {
		lost.A[i] = -0.5 // a missed gear: the car does not pull
	}
	lost.mendShifts()
	if s := lost.Shifts[0]; s.Start != 2.5 || s.End != 3.2 {
		t.Errorf("a long shift without pull was moved to %.2f to %.2f s", s.Start, s.End)
	}
}

func TestSlips(t *testing.T) {
	o := slid()
	o.mendShifts()
	seen := o.slips([]float64{8, 6})
	if seen == nil {
		t.Fatal("a clutch slipping by up to 10 % is not seen")
	}
	o.Unseen = true
	if o.slips([]float64{8, 6}) != nil {
		t.Error("a clutch is seen to slip by wheels that no sensor shows")
	}
	o.Unseen = false
	for i, s := range seen {
		now := o.time(i)
		switch {
		case s && (now < 2.5 || now > 3.95):
			t.Errorf("slip seen at %.2f s", now)
		case !s && now > 2.6 && now < 3.8:
			t.Errorf("slip of %.1f %% not seen at %.2f s", 100*(o.Engine[i]/(o.Wheel[i]*6)-1), now)
		}
	}
	for i := range o.Engine { // a clutch that holds
		o.Engine[i] = o.Wheel[i] * []float64{0, 8, 6}[o.Gear[i]] * 1.01
	}
	if o.slips([]float64{8, 6}) != nil {
		t.Error("a clutch that holds is said to slip")
	}
}
