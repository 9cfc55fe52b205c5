package plan

import (
	"math"

	"traplight/internal/fitcar"
)

// table writes settings as they are entered: boost to the tenth of a kPa, so that what a
// hand set in another unit stays as it was set; shifts and launch to 10 rpm.
func (s *search) table(x settings) Settings {
	const rpm = math.Pi / 30
	tenth := func(kpa float64) float64 { return math.Round(10*kpa) / 10 }
	baro := s.base.Air.Pressure / 1e3
	t := Settings{Barometer: tenth(baro), Nitrous: x.nitrous}
	for _, b := range x.boost {
		b /= 1e3
		t.Boost = append(t.Boost, tenth(b))
		if b == math.Round(b) {
			t.Absolute = append(t.Absolute, math.Round(b+baro))
		} else {
			t.Absolute = append(t.Absolute, tenth(b+baro))
		}
	}
	for _, w := range x.shift {
		t.Shift = append(t.Shift, math.Round(w/rpm/10)*10)
	}
	if x.nitrous {
		t.Below = math.Round(s.m.Mean.Car.Nitrous.Below / 1e3)
		if x.window.below > 0 {
			t.Below = math.Round(x.window.below / 1e3)
		}
		t.NitrousGears = x.window.gears
	}
	l, _, _ := s.m.LaunchRun()
	if x.launch > 0 {
		l = x.launch
	}
	if l > 0 {
		k := roundRPM(l)
		t.LaunchRPM = &k
	}
	return t
}

// decelFrom says where the deceleration after the line comes from.
func decelFrom(m *fitcar.Model) string {
	if m.BrakeShown() {
		return "as this car has shown"
	}
	return "usual; no log shows this car braking"
}
