package plan

import (
	"math"
	"math/rand/v2"
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
	sheet.InjectorFlowPress, sheet.FuelPressureBase = 3e5, 3e5
	full := 0.074 * (1 - opening) // what opening takes of the duty brings no fuel
	for k := range s.m.Passes {
		s.m.Passes[k].Obs.Lambda = nil
	}
	// 3 l at 7000 rpm fill 0.175 m³/s, with 200 kPa and 310 K 0.3933 kg/s of air; 6 l/min of fuel of 740 kg/m³ are 0.074 kg/s
	air := 0.175 * 200e3 / (airGas * 310)
	s.gauge.most.flow, s.gauge.most.power = 1, 0
	u := s.unreadDuty(s.m.Sheet.Limits.MaxInjectorDuty)
	if want := air / (14.6 * 0.82) / full / 0.9; math.Abs(u.share-want) > 1e-3 {
		t.Errorf("by air %.4f of the limit, want %.4f", u.share, want)
	}
	both := u
	s.gauge.most.flow, s.gauge.most.power = 0, 300e3
	u = s.unreadDuty(s.m.Sheet.Limits.MaxInjectorDuty)
	known := fuel.Resolve(fuel.Known{Name: "gasoline", Stoich: 14.6, Density: 740})
	if want := 300e3 * known.BSFC.Value / full / 0.9; math.Abs(u.share-want) > 1e-3 {
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
	// a flow meter of 0.05 kg/s says it far better than either, and at another rail pressure the injectors pass more
	s.gauge.flow.see(3, 0.05, 1)
	got, want := s.unreadDuty(0.9), 0.05/full/0.9
	if math.Abs(math.Log(got.share/want)) > 0.3*math.Abs(math.Log(both.share/want)) || got.spread > 0.055 {
		t.Errorf("with a meter %.4f ± %.3f, want near %.4f", got.share, got.spread, want)
	}
	sheet.FuelPressureBase = 12e5
	if more := s.unreadDuty(0.9); math.Abs(more.share-got.share/2) > 1e-9 {
		t.Errorf("at four times the rail pressure %.4f, before %.4f", more.share, got.share)
	}
	// by gear the meter tells the need, not the model: 0.04 of 0.05 where the model had as much as in the gear of 0.05
	s.gauge.flow.see(2, 0.04, 1)
	if a, b := s.gauge.fuel(2, 1.1), s.gauge.fuel(3, 1.1); math.Abs(a-0.88) > 1e-9 || math.Abs(b-1.1) > 1e-9 {
		t.Errorf("a tenth more: %.3f and %.3f of the most, want 0.88 and 1.1", a, b)
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

// Rotor speed by three ways is that of drawn wheels: where work coefficient, rim, wheel and
// sheet err by their spreads, the weighed reading errs by what it says, and by no more than
// the best of them.
func TestWeigh(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	const n = 20000
	sum, said := 0.0, 0.0
	for range n {
		blade := bladeSpread * rng.NormFloat64()
		rim := math.Exp(blade + rimSpread*rng.NormFloat64())
		wheel := math.Exp(1.5*blade + radiusSpread*rng.NormFloat64())
		share, spread := weigh(0.9*rim, 0.9*wheel, 0.9*math.Exp(sheetSpread*rng.NormFloat64()))
		d := math.Log(share / 0.9)
		sum, said = sum+d*d, spread
	}
	if got := math.Sqrt(sum / n); math.Abs(got/said-1) > 0.03 || said >= math.Hypot(bladeSpread, rimSpread) {
		t.Errorf("spread %.4f, %.4f stated", got, said)
	}
}

// Gas that no channel shows is told by fuel and sheet, each surest at its own boost: alcohol
// is cooler, and more boost hotter by practice's rise. What was run holds the limit for
// certain, a little more nearly so, far more does not.
func TestUnreadHeat(t *testing.T) {
	s := searching(t)
	sheet := s.m.Sheet
	sheet.StoichAFR, sheet.Limits.MaxExhaustTemp, sheet.Limits.MaxBoost = 14.6, 1300, 0
	for g := range s.ran.boost {
		s.ran.boost[g] = 100e3
	}
	if temp, sd, ok := s.unreadGasAt(100e3); !ok || math.Abs(temp-(1223-70)) > 0.1 || math.Abs(sd-math.Hypot(60, 35)) > 0.1 {
		t.Errorf("gasoline alone: %.1f ± %.1f K", temp, sd)
	}
	sheet.StoichAFR = 6.5
	if temp, _, _ := s.unreadGasAt(200e3); math.Abs(temp-1043) > 0.1 {
		t.Errorf("methanol: %.1f K", temp)
	}
	sheet.StoichAFR, sheet.Limits.MaxBoost = 14.6, 200e3
	if temp, sd, _ := s.unreadGasAt(200e3); math.Abs(temp-(1223.0+1250)/2) > 0.1 || math.Abs(sd-60/math.Sqrt2) > 0.1 {
		t.Errorf("both: %.1f ± %.1f K", temp, sd)
	}
	peak := 0.0
	chance := func(boost float64, fed bool) float64 {
		m, ok := s.unreadHeat(&sim.Gear{Gear: 1, MaxBoost: boost}, peak, fed)
		if !ok {
			t.Fatal("not told")
		}
		worst, _ := s.chances([]drawn{{trap: 80, gears: []sim.Gear{{}}, margins: []margin{m}}}, 1)
		return worst[0].chance
	}
	if p := chance(100e3, false); p > 1e-9 {
		t.Errorf("as run: chance %g", p)
	}
	if p := chance(60e3, false); p > 1e-9 {
		t.Errorf("with less boost: chance %g", p)
	}
	low, high, fed := chance(110e3, false), chance(250e3, false), chance(110e3, true)
	if !(low > 0 && low < 0.01 && high > 0.05 && fed > 0.03) {
		t.Errorf("chances %.4f with 10 kPa more, %.4f with 150, %.4f with nitrous", low, high, fed)
	}
	peak = 110e3 // the passes run overshot by as much
	if p := chance(110e3, false); p > 1e-9 {
		t.Errorf("as run, with its overshoot: chance %g", p)
	}
	sheet.StoichAFR, sheet.Limits.MaxBoost = 0, 0
	if _, _, ok := s.unreadGasAt(100e3); ok {
		t.Error("told without fuel and highest boost")
	}
}
