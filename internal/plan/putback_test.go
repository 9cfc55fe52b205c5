package plan

import (
	"encoding/json"
	"slices"
	"testing"

	"traplight/internal/car"
)

// A gear lowered for nothing is given back what it had; one that a limit holds stays lowered.
func TestPutBack(t *testing.T) {
	m := model(t)
	m.Sheet.Limits = car.Limits{}
	s, from, err := begin(m, next(t, m), Options{Draws: 12})
	if err != nil {
		t.Fatal(err)
	}
	s.learnSpin(t.Context())
	s.learnGrip(t.Context(), from)
	was := s.judge(t.Context(), from, confirmTimes*s.draws)
	last := len(from.boost) - 1
	lowered := from.clone()
	for g := range lowered.boost {
		lowered.boost[g] -= 20e3
	}
	v := s.judge(t.Context(), lowered, confirmTimes*s.draws)
	y, w := s.putBack(t.Context(), lowered.clone(), v, from, &was)
	if !slices.Equal(y.boost, from.boost) || w.score <= v.score {
		t.Errorf("%.0f kPa stay where %.0f were run and hold", y.boost[last]/1e3, from.boost[last]/1e3)
	}
	m.Sheet.Limits.MaxBoost = slices.Max(from.boost) - 2e3 // what was run is over it
	if v = s.judge(t.Context(), lowered, confirmTimes*s.draws); v.hard > hardChance {
		t.Fatalf("20 kPa less must hold: %.3f", v.hard)
	}
	if y, _ = s.putBack(t.Context(), lowered.clone(), v, from, &was); y.boost[last] != lowered.boost[last] {
		t.Errorf("put back to %.0f kPa over a limit of %.0f", y.boost[last]/1e3, m.Sheet.Limits.MaxBoost/1e3)
	}
}

// What every plan must keep, whatever the sheet limits: the hard limits as it states them, no
// slower by its own model than the settings run where these hold them, and the same bytes again.
func TestEveryPlan(t *testing.T) {
	for name, limit := range map[string]func(q *limitsOfTest){
		"power":   func(q *limitsOfTest) { q.power = 1.03 },
		"gearbox": func(q *limitsOfTest) { q.input = 1.04 },
		"all":     func(q *limitsOfTest) { *q = limitsOfTest{1.05, 1.05, 1.15} },
	} {
		t.Run(name, func(t *testing.T) {
			m := model(t)
			n := next(t, m)
			s, x, err := begin(m, n, Options{Draws: 12})
			if err != nil {
				t.Fatal(err)
			}
			run := s.judge(t.Context(), x, s.draws)
			q := limitsOfTest{}
			limit(&q)
			out := make([]drawn, s.draws)
			s.drawAll(t.Context(), x, out, 0)
			power, input, stop := 0.0, 0.0, 0.0
			for i := range out {
				for _, g := range out[i].gears {
					power, input = max(power, g.MaxPower), max(input, g.MaxInput)
				}
				stop = max(stop, s.stopping(run.trap, 1))
			}
			m.Sheet.Limits.MaxCrankPower = q.power * power
			if q.input > 0 {
				m.Sheet.Limits.GearboxTorque = []float64{q.input * input}
			}
			n.ShutDown = q.stop * stop
			opt := Options{Bold: true}
			p := make1(t, m, n, opt)
			hard := 0.0
			for _, l := range p.Limits {
				if l.Class == Hard && l.Limit != clutchBite {
					hard = max(hard, l.Chance)
				}
			}
			if p.Card && hard > hardChance {
				t.Errorf("a card with a hard limit passed in %.3f", hard)
			}
			if held := len(p.Already) == 0 && p.As != nil; held && p.Card && p.Forecast.Trap.Mean < p.As.Trap.Mean-0.03 {
				t.Errorf("%.2f m/s planned, %.2f as run", p.Forecast.Trap.Mean, p.As.Trap.Mean)
			}
			a, err := json.Marshal(p.Answer())
			if err != nil {
				t.Fatal(err)
			}
			b, err := json.Marshal(make1(t, m, n, opt).Answer())
			if err != nil {
				t.Fatal(err)
			}
			if !slices.Equal(a, b) {
				t.Error("the same input gives other bytes")
			}
		})
	}
}

// limitsOfTest are limits over what the settings run reach, 1; 0 none.
type limitsOfTest struct{ power, input, stop float64 }

// A limit outside what is usual allows no card until the owner has confirmed it.
func TestDoubtedLimit(t *testing.T) {
	m := model(t)
	m.Sheet.Limits.Unusual = []string{"max_boost_kpa = 9000"}
	if p := make1(t, m, next(t, m), Options{}); p.Card || p.NoCard != Doubted(m.Sheet) {
		t.Errorf("card %v: %q", p.Card, p.NoCard)
	}
	m.Sheet.Limits.Confirmed = true
	if p := make1(t, m, next(t, m), Options{}); !p.Card {
		t.Errorf("confirmed, and no card: %s", p.NoCard)
	}
}
