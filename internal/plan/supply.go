package plan

import (
	"math"
	"slices"

	"traplight/internal/physics/fuel"
	"traplight/internal/quantity"
	"traplight/internal/sim"
)

// What is taken of a fuel pump, of which a log shows no more than that it kept up: the rail
// stays where it belongs until the pump is short, and only then falls, the duty rises and the
// mixture goes lean. Common practice, no source.
const (
	// A pump that the sheet does not state: it was bought for the need of the same build as the
	// injectors, it with 15 ± 10 % in hand, they to be open 85 % of the time and, by the steps in
	// which they come, 12 ± 10 % larger; and filter, wiring, age and a figure for less pressure
	// take 7 ± 6 % from what its box says. So it feeds so much of the injectors fully open, at the
	// rail's pressure with the highest boost run.
	pumpShare  = 0.82 // 1
	pumpSpread = 0.15 // 1, of that
	// Pumps bring less against more pressure, and the rail rises with boost.
	pumpFall = 0.10 / 100e3 // 1/Pa
	// Of a change of the pump's share, how much may be wrong: the need by air flow as for the
	// injectors, and how much less the pump brings against more pressure (8 ± 3 % a bar).
	supplyDoubt = 0.15 // 1

	// Of the duty that the computer logs, what opening takes and brings no fuel: some 0.9 ms of the
	// 16 ms that a cycle lasts at 7500 rpm, where it counts it in, and about half of them do.
	opening, openingSpread = 0.03, 0.03 // 1

	feedLoss    = 20e3  // Pa, filter and feed line; as package sizing takes it
	usualRail   = 300e3 // Pa over the manifold, where the sheet states none
	supplyHolds = 0.001 // 0–1, chance in a gear from which on fuel supply is told to hold a plan
	leastVolts  = 9.0   // V, under which a reading is none of a running engine's battery
)

// What wiring loses from battery to pump, and the volts at a pump's terminals where no log shows
// the battery's: an alternator's 13.6 V less that.
var (
	wiring    = quantity.Estimate{Value: 0.3, SD: 0.2}  // V
	pumpVolts = quantity.Estimate{Value: 13.3, SD: 0.4} // V
)

// guessRisk is how often, 0–1, a limit that is no more than a guess may be passed, if --risk
// does not ask for less.
const guessRisk = 0.1

// guessed tells whether a limit is known by what is usual alone: a pump that the sheet does not
// state. It is no limit of the sheet, and one in a hundred could not be promised of it for any
// step; so it counts as soft limits do, and is told.
func (s *search) guessed(limit string) bool {
	return s.unread[limit].guess
}

// supply fills in what share of the pump's fuel the passes run so far took. That it sufficed
// there is taken for granted.
func (s *search) supply() {
	u := unread{spread: pumpSpread, guess: true}
	if stated := s.statedPump(slices.Max(s.ran.boost)); stated.Value > 0 {
		if need, spread := s.fuelTaken(); need > 0 {
			brings := likelyPump(stated, pumpShare*s.injectorsFull(), pumpSpread)
			u = unread{share: need / brings.Value, spread: math.Hypot(spread, brings.SD/brings.Value)}
		}
	} else if u.share = s.gauge.duty.most() / pumpShare; u.share == 0 {
		d := s.unreadDuty(1)
		u.share, u.spread = d.share/pumpShare, math.Hypot(u.spread, d.spread)
	}
	if u.share > 0 {
		s.unread[fuelSupply] = u
	}
}

// likelyPump is what pumps bring, m³/s: what their maker says, weighed with what such injectors
// are usually given, m³/s, which shops keep to within spread, 1 (0 unknown): a reading and what is
// known before it, of normal logarithms.
func likelyPump(stated quantity.Estimate, usual, spread float64) quantity.Estimate {
	if usual <= 0 {
		return stated
	}
	own := stated.SD / stated.Value
	spread = math.Hypot(spread, injectorSpread)
	a, b, part := 1/(own*own), 1/(spread*spread), math.Log(usual/stated.Value)
	v := stated.Value * math.Exp(part*b/(a+b))
	return quantity.Estimate{Value: v, SD: v / math.Sqrt(a+b)}
}

// injectorsFull is what the sheet's injectors pass fully open at the rail's pressure, m³/s; 0
// unknown.
func (s *search) injectorsFull() float64 {
	sheet := s.m.Sheet
	flow := sheet.InjectorFlow
	if sheet.FuelPressureBase > 0 && sheet.InjectorFlowPress > 0 {
		flow *= math.Sqrt(sheet.FuelPressureBase / sheet.InjectorFlowPress)
	}
	return max(0, flow)
}

// statedPump is what the pumps of the sheet bring, m³/s, with boost, Pa gauge; none where
// it states no pump.
func (s *search) statedPump(boost float64) quantity.Estimate {
	sheet := s.m.Sheet
	p := fuel.Pump{Flow: sheet.FuelPumpFlow, Press: sheet.FuelPumpPress, Volts: sheet.FuelPumpVolts, Measured: sheet.FuelPumpMeasured}
	base := sheet.FuelPressureBase
	if base <= 0 {
		base = usualRail
	}
	return p.At(base+max(0, boost)+feedLoss, s.pumpVolts())
}

// pumpVolts are those at the pump's terminals, V: by the battery's of the passes where a log
// shows them.
func (s *search) pumpVolts() quantity.Estimate {
	sum, n := 0.0, 0.0
	for k := range s.m.Passes {
		if v := s.m.Passes[k].Obs.Volts; v > leastVolts {
			sum, n = sum+v, n+1
		}
	}
	if n == 0 {
		return pumpVolts
	}
	return quantity.Estimate{Value: sum/n - wiring.Value, SD: wiring.SD}
}

// fuelTaken is the highest fuel flow of the passes run so far, m³/s, and the spread of its
// logarithm: by the injectors' duty as read and by the fuel burnt, weighed by their spreads,
// and less sure where the two part by more (Birge 1932, from memory).
func (s *search) fuelTaken() (flow, spread float64) {
	sheet := s.m.Sheet
	burnt, doubt := s.burnt()
	if sheet.FuelDensity <= 0 {
		burnt = 0
	} else {
		burnt /= sheet.FuelDensity
	}
	duty := s.gauge.duty.most()
	if duty <= 0 || sheet.InjectorFlow <= 0 {
		return burnt, doubt
	}
	flow, spread = (1-opening)*duty*s.injectorsFull(), math.Hypot(injectorSpread, openingSpread)
	if burnt <= 0 {
		return flow, spread
	}
	a, b, part := 1/(spread*spread), 1/(doubt*doubt), math.Log(burnt/flow)
	apart := part * part / (spread*spread + doubt*doubt)
	return flow * math.Exp(part*b/(a+b)), math.Sqrt(max(1, apart) / (a + b))
}

// fed is a gear's need of fuel over the most of the record, rise, 1, put up by what the pump brings
// less against the rail's pressure there.
func (s *search) fed(g *sim.Gear, rise float64) float64 {
	high := slices.Max(s.ran.boost)
	more := max(high, g.FlowBoost)
	if was := s.statedPump(high); was.Value > 0 {
		return rise * was.Value / s.statedPump(more).Value
	}
	return rise * math.Exp(pumpFall*(more-high))
}
