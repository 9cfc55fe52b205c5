package plan

import (
	"math"
	"testing"

	"traplight/internal/physics/fuel"
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

// The injectors' duty is that of a hand calculation by air and by power.
func TestUnreadDuty(t *testing.T) {
	s := searching(t)
	sheet := s.m.Sheet
	sheet.Fuel, sheet.StoichAFR, sheet.FuelDensity, sheet.Displacement = "gasoline", 14.6, 740, 3e-3
	sheet.InjectorFlow, sheet.Limits.MaxInjectorDuty = 6e-3/60, 0.9
	for k := range s.m.Passes {
		s.m.Passes[k].Obs.Lambda = nil
	}
	// 3 l at 7000 rpm fill 0.175 m³/s, with 200 kPa and 310 K 0.3933 kg/s of air; 6 l/min of fuel of 740 kg/m³ are 0.074 kg/s
	air := 0.175 * 200e3 / (airGas * 310)
	s.gauge.most.flow, s.gauge.most.power = 1, 0
	u := s.unreadDuty(s.m.Sheet.Limits.MaxInjectorDuty)
	if want := air / (14.6 * 0.82) / 0.074 / 0.9; math.Abs(u.share-want) > 1e-3 {
		t.Errorf("by air %.4f of the limit, want %.4f", u.share, want)
	}
	both := u
	s.gauge.most.flow, s.gauge.most.power = 0, 300e3
	u = s.unreadDuty(s.m.Sheet.Limits.MaxInjectorDuty)
	known := fuel.Resolve(fuel.Known{Name: "gasoline", Stoich: 14.6, Density: 740})
	if want := 300e3 * known.BSFC.Value / 0.074 / 0.9; math.Abs(u.share-want) > 1e-3 {
		t.Errorf("by power %.4f of the limit, want %.4f", u.share, want)
	}
	s.gauge.most.flow = 1
	two := s.unreadDuty(s.m.Sheet.Limits.MaxInjectorDuty)
	if lo, hi := min(u.share, both.share), max(u.share, both.share); two.share < lo || two.share > hi || two.spread >= min(u.spread, both.spread) {
		t.Errorf("both ways together %.4f ± %.3f, each alone %.4f ± %.3f and %.4f ± %.3f", two.share, two.spread, u.share, u.spread, both.share, both.spread)
	}
	for k := range s.m.Passes {
		o := s.m.Passes[k].Obs
		o.Lambda = make([]float64, len(o.X))
		for i := range o.Lambda {
			o.Lambda[i] = 0.75
		}
	}
	s.gauge.most.power = 0
	if got := s.unreadDuty(s.m.Sheet.Limits.MaxInjectorDuty); math.Abs(got.share/both.share-0.82/0.75) > 1e-9 || got.spread >= both.spread {
		t.Errorf("with a lambda of 0.75 read %.4f ± %.3f, before %.4f ± %.3f", got.share, got.spread, both.share, both.spread)
	}
}

// A limit that no channel shows is passed with the chance of the part of its prior that
// what was run leaves: drawn, those that held it as run and do not with more.
func TestUnreadMargin(t *testing.T) {
	u := unread{share: 0.85, spread: 0.1}
	s := &search{m: searching(t).m, base: searching(t).base}
	for _, rise := range []float64{0.9, 1, 1.03, 1.1} {
		m := u.margin(1, turboSpeed, rise, 0)
		worst, _ := s.chances([]drawn{{trap: 80, gears: []sim.Gear{{}}, margins: []margin{m}}}, 1)
		held, passed := 0.0, 0.0
		for i := range 200000 {
			z := math.Sqrt2 * math.Erfinv(2*(float64(i)+0.5)/200000-1)
			if x := u.share * math.Exp(u.spread*z); x < 1 {
				held++
				if x*rise >= 1 {
					passed++
				}
			}
		}
		if got, want := worst[0].chance, passed/held; math.Abs(got-want) > 1e-4 {
			t.Errorf("%.2f times what was run: %.5f, drawn %.5f", rise, got, want)
		}
	}
}

// Where the sheet tells nothing of a limit that no channel shows, boost stays near what
// was run; with channels for all of them it is not held so.
func TestUnguardedTop(t *testing.T) {
	s := searching(t)
	l := &s.m.Sheet.Limits
	l.MaxInjectorDuty, l.MaxBackPressureRatio, l.MaxExhaustTemp = 0, 0, 0
	l.MaxBoost, l.MaxTurboSpeed = 0, 12000
	s.gauge.turbo = newMeter(len(s.ran.boost))
	s.workOut()
	if top := s.unguardedTop(150e3); math.Abs(top-1.08*150e3) > 1 {
		t.Errorf("%.0f kPa without turbo speed and highest boost", top/1e3)
	}
	l.MaxBoost = 300e3
	if s.workOut(); !math.IsInf(s.unguardedTop(150e3), 1) || !(s.unread[turboSpeed].share > 0) {
		t.Errorf("%+v: not worked out", s.unread)
	}
	s.gauge.turbo.see(1, 8000, 0.4)
	s.workOut()
	delete(s.unread, fuelSupply) // no channel reads the pump
	if len(s.unread) > 0 {
		t.Errorf("%+v although all limits are read", s.unread)
	}
}
