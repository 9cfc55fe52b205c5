package plan

import (
	"math"
	"testing"

	"traplight/internal/sim"
)

// searching is a search for an invented car whose sheet a test may change.
func searching(t *testing.T) *search {
	t.Helper()
	m := model(t)
	s, _, err := begin(m, next(t, m), Options{Bold: true})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// The flow at which injectors are given up is that of a hand calculation.
func TestDutyReach(t *testing.T) {
	s := searching(t)
	sheet := s.m.Sheet
	sheet.StoichAFR, sheet.FuelDensity, sheet.Displacement, sheet.RevLimit = 14.6, 740, 3e-3, 7000*math.Pi/30
	sheet.InjectorFlow, sheet.Limits.MaxInjectorDuty, sheet.Limits.MaxBoost = 6e-3/60, 0.9, 400e3
	p := s.dutyReach()
	// 3 l at 7000 rpm fill 0.175 m³/s; 6 l/min of fuel of 740 kg/m³ are 0.074 kg/s
	charge := s.m.Mean.Car.Engine.ChargeTemperature(s.base.Air.Temperature, sim.Head(s.base.Air.Pressure, p))
	duty := 0.175 * p / (airGas * charge) / (14.6 * 0.82) / 0.074
	if want := 0.9 / (1 + sureSpreads*dutySpread); math.Abs(duty-want) > 0.005 {
		t.Errorf("given up at a duty of %.3f, not %.3f", duty, want)
	}
	sheet.InjectorFlow *= 1.2
	if more := s.dutyReach(); more <= p {
		t.Errorf("larger injectors reach %.0f kPa, smaller ones %.0f", more/1e3, p/1e3)
	}
}

// Without a channel for a limit boost goes no further than it can be worked out, and never
// to the sheet's highest boost; with channels for all of them it is not held so.
func TestUnguardedTop(t *testing.T) {
	s := searching(t)
	l := &s.m.Sheet.Limits
	l.MaxInjectorDuty, l.MaxBackPressureRatio, l.MaxExhaustTemp = 0, 0, 0
	l.MaxBoost, l.MaxTurboSpeed = 300e3, 12000
	s.gauge.turbo = newMeter(len(s.ran.boost))
	most := s.base.Air.Pressure + l.MaxBoost
	top := s.unguardedTop(150e3)
	if top < 150e3 || top >= most {
		t.Errorf("%.0f kPa without a turbo speed, the sheet's most is %.0f", top/1e3, most/1e3)
	}
	if top := s.unguardedTop(0.95 * most); top != 0.95*most {
		t.Errorf("%.0f kPa although %.0f are near the end of what the rotor bears", top/1e3, 0.95*most/1e3)
	}
	s.gauge.turbo.see(1, 8000, 0.4)
	if top := s.unguardedTop(150e3); !math.IsInf(top, 1) {
		t.Errorf("%.0f kPa although all limits are read", top/1e3)
	}
}
