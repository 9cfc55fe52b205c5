package plan

import (
	"math"
	"slices"
	"strings"
	"testing"

	"traplight/internal/quantity"
)

// Where crank power holds a plan, boost that falls towards the end of a gear brings more speed under
// the same limit, and never falls faster than a steady power asks for: torque goes nearly with
// absolute pressure, so that the pressures' ratio is no more than that of the engine speeds (power
// is torque times angular velocity).
func TestRampsFallUnderALimitOfPower(t *testing.T) {
	m := model(t)
	// a rotor light enough for boost to follow its target
	m.Members = slices.Clone(m.Members)
	for i := range m.Members {
		own := *m.Members[i].Car
		own.Boost.Rate *= 3
		m.Members[i].Car = &own
	}
	n := next(t, m)
	s, x, err := begin(m, n, Options{Bold: true, Draws: 24, Risk: 0.1})
	if err != nil {
		t.Fatal(err)
	}
	m.Sheet.Limits.MaxCrankPower = 1.06 * s.gauge.most.power
	s.learnSpin(t.Context())
	s.learnGrip(t.Context(), x)
	v := s.judge(t.Context(), x, s.draws)
	y, w := s.climb(t.Context(), x, v, v)
	y, _, _ = s.polish(t.Context(), y, w, v)
	r := s.within(t.Context(), y, x)
	if r == nil {
		t.Fatal("no boost by engine speed")
	}
	if r.Gain < rampGain || r.Hard > hardChance {
		t.Errorf("gain %.2f m/s with a chance of %.4f", r.Gain, r.Hard)
	}
	falls := 0
	baro := s.base.Air.Pressure / 1e3
	for _, q := range r.Gears {
		if q.KPa[0] <= q.KPa[1] {
			continue
		}
		falls++
		if p, e := (q.KPa[0]+baro)/(q.KPa[1]+baro), q.RPM[1]/q.RPM[0]; p > 1.05*e {
			t.Errorf("gear %d: pressure falls by %.3f where the engine's speed rises by %.3f", q.Gear, p, e)
		}
		if top := s.upper[q.Gear-1] / 1e3; q.KPa[0] > top+0.5 {
			t.Errorf("gear %d begins with %.0f kPa, at most %.0f", q.Gear, q.KPa[0], top)
		}
	}
	if falls == 0 {
		t.Errorf("no gear's boost falls: %+v", r.Gears)
	}
	text := RampText(r.Gears, r.Gain, quantity.Metric)
	for _, want := range []string{"together or none", "rpm falling to", "knock"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in %q", want, text)
		}
	}
	if RampText(nil, 0, quantity.Metric) != "" {
		t.Error("something is said of nothing")
	}
}

// A gear's lower end is what boost must come to, its higher end what the limits see.
func TestSettingsWithin(t *testing.T) {
	s := searching(t)
	x := settings{boost: []float64{100e3, 120e3, 140e3}, rise: []float64{0, -20e3, 10e3}}
	if l := x.lows(); l.boost[0] != 100e3 || l.boost[1] != 100e3 || l.boost[2] != 140e3 {
		t.Errorf("lower ends %v", l.boost)
	}
	s.upper = []float64{90e3, 110e3, 145e3}
	s.under(&x)
	if x.boost[1] != 110e3 || math.Abs(x.boost[2]-135e3) > 1 {
		t.Errorf("under what may be set: %v", x.boost)
	}
	turned := turn{gear: 1, kind: innerTurn, unit: boostUnit}
	end := x.boost[1] + x.rise[1]
	turned.turn(&x, 3)
	if x.boost[1] != 113e3 || x.boost[1]+x.rise[1] != end || turned.at(x) != 23e3 {
		t.Errorf("turned: boost %v, rise %v", x.boost, x.rise)
	}
}
