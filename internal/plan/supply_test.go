package plan

import (
	"math"
	"strings"
	"testing"

	"traplight/internal/quantity"
	"traplight/internal/sim"
)

// A pump that fed its injectors half open may feed somewhat more; of one whose injectors were nearly
// wide open nothing is promised. What was run, or less, is never in doubt.
func TestSupply(t *testing.T) {
	s := searching(t)
	high := 0.0
	for _, b := range s.ran.boost {
		high = max(high, b)
	}
	chance := func(duty, flow, boost float64) float64 {
		s.gauge.duty = newMeter(len(s.ran.boost))
		s.gauge.duty.see(1, duty, 1)
		s.unread = map[string]unread{}
		s.supply()
		u := s.unread[fuelSupply]
		if u.share != duty/pumpShare {
			t.Fatalf("share %g of duty %g", u.share, duty)
		}
		m := u.margin(1, fuelSupply, s.fed(&sim.Gear{Gear: 1, FlowBoost: high + boost}, flow), supplyDoubt)
		worst, _ := s.chances([]drawn{{trap: 80, gears: []sim.Gear{{}}, margins: []margin{m}}}, 1)
		return worst[0].told
	}
	for _, c := range []struct {
		duty, flow, boost float64 // 1, 1 of what was run, Pa more
		low, high         float64 // of the chance
	}{
		{0.70, 1, 0, 0, 1e-6},
		{0.95, 0.9, -20e3, 0, 1e-6},
		{0.45, 1.10, 20e3, 0, 0.003},
		{0.45, 1.35, 60e3, 0.02, 0.2},
		{0.70, 1.12, 43e3, 0.2, 0.7},
		{0.88, 1.05, 10e3, 0.2, 0.7},
	} {
		if p := chance(c.duty, c.flow, c.boost); p < c.low || p > c.high {
			t.Errorf("duty %g, %g of the flow, %+.0f kPa: chance %.4f, want %g to %g", c.duty, c.flow, c.boost/1e3, p, c.low, c.high)
		}
	}
	// Without a channel the sheet's injectors tell.
	s.gauge.duty = newMeter(len(s.ran.boost))
	s.unread = map[string]unread{}
	if s.supply(); s.m.Sheet.InjectorFlow > 0 && !(s.unread[fuelSupply].spread > pumpSpread) {
		t.Errorf("%+v", s.unread)
	}
}

// A pump of the sheet is held against what the injectors took and the rail's pressure: one with
// half as much again in hand carries a fifth more fuel, one that the car has used to nine
// tenths does not; and less is promised against more pressure.
func TestStatedPump(t *testing.T) {
	s := searching(t)
	high := 0.0
	for _, b := range s.ran.boost {
		high = max(high, b)
	}
	sheet := *s.m.Sheet
	s.m.Sheet = &sheet
	sheet.InjectorFlow, sheet.InjectorFlowPress, sheet.FuelPressureBase = 10e-3/60, 3e5, 4e5
	sheet.StoichAFR = 0 // the fuel burnt is not worked out
	s.gauge.duty = newMeter(len(s.ran.boost))
	s.gauge.duty.see(1, 0.6, 1)
	need := (1 - opening) * 0.6 * 10e-3 / 60 * math.Sqrt(4.0/3)
	chance := func(reserve, flow, boost float64) float64 {
		rail := 4e5 + high + feedLoss
		sheet.FuelPumpFlow, sheet.FuelPumpPress = []float64{need * reserve, need * reserve * 0.8}, []float64{rail, rail + 2e5}
		sheet.FuelPumpVolts = pumpVolts.Value
		s.unread = map[string]unread{}
		s.supply()
		u := s.unread[fuelSupply]
		usual := s.injectorsFull() * pumpShare
		if lo, hi := min(1/reserve, need/usual), max(1/reserve, need/usual); u.share < lo || u.share > hi || math.Abs(math.Log(u.share*reserve)) > math.Abs(math.Log(u.share*usual/need)) {
			t.Fatalf("share %g, want it between %g of the maker's and %g of the usual pump, nearer the former", u.share, 1/reserve, need/usual)
		}
		if u.spread < 0.05 || u.spread > 0.11 {
			t.Fatalf("spread %g", u.spread)
		}
		m := u.margin(1, fuelSupply, s.fed(&sim.Gear{Gear: 1, FlowBoost: high + boost}, flow), supplyDoubt)
		worst, _ := s.chances([]drawn{{trap: 80, gears: []sim.Gear{{}}, margins: []margin{m}}}, 1)
		return worst[0].chance
	}
	if p := chance(1.5, 1.18, 40e3); p > 0.01 {
		t.Errorf("half as much in hand: %.4f", p)
	}
	if p := chance(1.1, 1.18, 40e3); p < 0.5 {
		t.Errorf("a tenth in hand: %.4f", p)
	}
	if a, b := chance(1.25, 1.1, 0), chance(1.25, 1.1, 60e3); a >= b {
		t.Errorf("against more pressure %.4f, else %.4f", b, a)
	}
	if p := chance(1.1, 1, 0); p > 1e-6 {
		t.Errorf("as run: %.4f", p)
	}
	// a figure that the passes belie: it brought at least what they took
	if p := chance(0.8, 1.05, 10e3); p < 0.2 {
		t.Errorf("a pump that should have been short: %.4f", p)
	}
}

// What holds a plan is told with what would tell more; a pump that was measured needs no more.
func TestPumpNote(t *testing.T) {
	s := searching(t)
	sheet := *s.m.Sheet
	s.m.Sheet = &sheet
	s.unread = map[string]unread{fuelSupply: {share: 0.83, spread: 0.12}}
	sheet.FuelPumpFlow = nil
	held := []Limit{{Gear: 3, Limit: fuelSupply, Class: Hard, Chance: 0.006}}
	if text := s.pumpNote(held); !strings.Contains(text, "states no pump") || !strings.Contains(text, "83 %") || !strings.Contains(text, "± 12 %") || !strings.Contains(text, "fuel_pumps_measured") {
		t.Error(text)
	}
	sheet.FuelPumpFlow = []float64{1e-4}
	if text := s.pumpNote(nil); !strings.Contains(text, "sheet's pump 83 %") || strings.Contains(text, "measured") {
		t.Error(text)
	}
	sheet.FuelPumpMeasured = true
	if text := s.pumpNote(held); text != "" {
		t.Error(text)
	}
}

// A pump that the sheet does not state is a guess: it is listed as soft, and a chance as large
// as that of a soft limit uses all of what is accepted for hard ones. Stated, it counts in full.
func TestGuessedPump(t *testing.T) {
	s := searching(t)
	sheet := *s.m.Sheet
	s.m.Sheet = &sheet
	s.opt.Risk = 0.1
	s.gauge.duty = newMeter(len(s.ran.boost))
	s.gauge.duty.see(1, 0.7, 1)
	m := margin{1, fuelSupply, Hard, 0.128, 0.1, nil} // 1.28 standard deviations: one in ten
	see := func() limitChance {
		s.unread = map[string]unread{}
		s.supply()
		_, kinds := s.chances([]drawn{{trap: 80, gears: []sim.Gear{{}}, margins: []margin{m}}}, 1)
		return kinds[0]
	}
	sheet.FuelPumpFlow = nil
	if c := see(); c.class != Soft || math.Abs(c.told-0.1) > 0.001 || math.Abs(s.sum([]limitChance{c})-hardChance) > 1e-4 {
		t.Errorf("not stated: %+v", c)
	}
	// beside a hard limit that uses what is accepted, it takes nothing of that
	rotor := limitChance{limit: turboSpeed, chance: hardChance}
	if got := s.sum([]limitChance{see(), rotor}); math.Abs(got-hardChance) > 1e-4 {
		t.Errorf("guess and rotor: %.4f", got)
	}
	l := &slopes{place: map[place]int{}}
	l.stand(s, &verdict{kinds: []limitChance{{limit: turboSpeed}, {limit: fuelSupply}, {limit: shutDown}}})
	if got := l.total([]float64{0.004, 0.009, 0.003}); math.Abs(got-0.009) > 1e-9 {
		t.Errorf("the guess is likelier than the hard limits together: %.4f", got)
	}
	if got := l.total([]float64{0.004, 0.005, 0.003}); math.Abs(got-0.007) > 1e-9 {
		t.Errorf("the hard limits together are likelier than the guess: %.4f", got)
	}
	s.opt.Risk = 0.5 // whoever takes more of other soft limits takes no more of this
	if c := see(); math.Abs(s.sum([]limitChance{c})-hardChance) > 1e-4 {
		t.Errorf("with more risk: %+v", c)
	}
	sheet.FuelPumpFlow, sheet.FuelPumpPress, sheet.InjectorFlow = []float64{1e-3}, []float64{3e5}, 1e-3
	if c := see(); c.class != Hard || math.Abs(s.sum([]limitChance{c})-0.1) > 0.001 {
		t.Errorf("stated: %+v", c)
	}
	// how far the injectors may be used says nothing of the pump
	sheet.FuelPumpFlow, sheet.Limits.MaxInjectorDuty = nil, 0.9
	s.unread = map[string]unread{}
	if s.supply(); math.Abs(s.unread[fuelSupply].share-0.7/pumpShare) > 1e-9 {
		t.Errorf("with the duty's limit: %+v", s.unread[fuelSupply])
	}
}

// A reading and what is known before it, equally sure, meet half way in the logarithm and are surer
// by the root of two (Bayes, normal on normal; Gelman et al., Bayesian Data Analysis, section 2.5, from memory).
func TestLikelyPump(t *testing.T) {
	stated := quantity.Estimate{Value: 1, SD: 0.1}
	spread := math.Sqrt(0.1*0.1 - injectorSpread*injectorSpread) // as sure as the maker's
	if e := likelyPump(stated, 1, spread); math.Abs(e.Value-1) > 1e-9 || math.Abs(e.SD-0.1/math.Sqrt2) > 1e-9 {
		t.Errorf("agreeing: %+v", e)
	}
	if e := likelyPump(stated, 2, spread); math.Abs(e.Value-math.Sqrt2) > 1e-9 || math.Abs(e.SD/e.Value-0.1/math.Sqrt2) > 1e-9 {
		t.Errorf("apart: %+v", e)
	}
	if e := likelyPump(stated, 0, spread); e != stated {
		t.Errorf("no injectors: %+v", e)
	}
}
