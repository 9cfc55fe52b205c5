package plan

import (
	"math"
	"strings"

	"traplight/internal/sim"
)

// How far boost goes where a stated limit has no channel. Common practice, no source, where
// not said otherwise.
const (
	unguardedReach = 1.08 // 1, of the highest absolute pressure run, where nothing else is known
	// sureSpreads is by how many spreads what was worked out stays below the limit: it is passed
	// with a chance of 0.003.
	sureSpreads = 2.75

	dutySpread  = 0.11 // 1: filling 8 %, mixture 5 %, injectors 3 %, air 3 %
	wheelSpread = 0.15 // 1, of rotor speed by the wheel's size: flow coefficient 24 %, so radius 12 %; work coefficient 10 %; flow 8 %
	sheetSpread = 0.12 // 1, of what the limits of one sheet have in common

	headPerSpeed = 0.57   // 1, isentropic work over blade speed squared at high flow; the open diesel set of references/turbo.md has 0.5 to 0.7
	flowPerSpeed = 0.19   // 1, flow over inlet density, blade speed and πR² at full load; the same set has 0.17
	pathLoss     = 1.07   // 1, compressor's pressure ratio over the manifold's: filter and cooler
	airGas       = 287.05 // J/(kg·K)
	airHeat      = 1005.0 // J/(kg·K)

	// The limits of a sheet belong together: at the highest boost that it allows the rotor
	// is near its speed limit, the turbine not far from its back pressure.
	sheetTurbo, sheetBack = 0.95, 0.85 // 1, of the limit
	backRise              = 0.35       // 1, power of absolute pressure with which the back-pressure ratio rises
)

// unguardedTop is the highest absolute pressure, Pa, to which the stated limits that no
// channel shows let any gear go: those that can be worked out from the sheet and from
// physics are passed there with a small chance, or boost stays at the highest pressure run,
// high, Pa absolute; the others keep it near that. Infinite where every stated limit is read.
func (s *search) unguardedTop(high float64) float64 {
	top := math.Inf(1)
	for _, name := range s.unguarded() {
		reach := 0.0 // not worked out
		switch name {
		case "injector duty":
			reach = s.dutyReach()
		case "turbo speed":
			reach = s.turboReach()
		case "back pressure":
			reach = s.backReach()
		}
		if reach == 0 {
			reach = unguardedReach * high
		}
		top = min(top, max(reach, high))
	}
	return top
}

// airAt is the engine's air flow at a pressure, Pa absolute, and its highest speed, kg/s,
// and the compressor's head there, 1; ok is false where the sheet does not tell.
func (s *search) airAt(pressure float64) (flow, head float64, ok bool) {
	sheet, air := s.m.Sheet, &s.base.Air
	if sheet.Displacement <= 0 || sheet.RevLimit <= 0 {
		return 0, 0, false
	}
	head = sim.Head(air.Pressure, pressure)
	charge := s.m.Mean.Car.Engine.ChargeTemperature(air.Temperature, head)
	_, filling := mixture(sheet.StoichAFR)
	return sim.Parts{Volumetric: filling, Displacement: sheet.Displacement}.ReferenceFlow() * sim.Flow(sheet.RevLimit, pressure, charge), head, true
}

// mixture is the lambda, 1, that a fuel of a stoichiometric ratio, 1, is run at with
// boost, and the filling, 1, of which evaporation makes more: alcohol takes up several
// times gasoline's heat.
func mixture(afr float64) (lambda, filling float64) {
	alcohol := max(0, min(1, (14.6-afr)/8.1))
	return 0.82 - 0.07*alcohol, 1 + 0.14*alcohol
}

// dutyReach is the pressure, Pa absolute, at which injectors of the sheet's size surely
// still suffice; 0 where it does not tell.
func (s *search) dutyReach() float64 {
	sheet := s.m.Sheet
	if sheet.StoichAFR <= 0 || sheet.InjectorFlow <= 0 || sheet.FuelDensity <= 0 {
		return 0
	}
	lambda, _ := mixture(sheet.StoichAFR)
	return s.surely(dutySpread, func(pressure float64) float64 {
		flow, _, ok := s.airAt(pressure)
		if !ok {
			return math.Inf(1)
		}
		return flow / (sheet.StoichAFR * lambda) / (sheet.InjectorFlow * sheet.FuelDensity) / sheet.Limits.MaxInjectorDuty
	})
}

// turboReach is the pressure, Pa absolute, at which the rotor surely is not too fast; 0
// where the sheet does not tell. The compressor's wheel is sized by flow and head of the
// highest boost that the sheet allows: that is what it was bought for.
func (s *search) turboReach() float64 {
	l, air := &s.m.Sheet.Limits, &s.base.Air
	most := air.Pressure + l.MaxBoost
	flow, full, ok := s.airAt(most)
	if !ok || l.MaxBoost <= 0 {
		return 0
	}
	blade := math.Sqrt(airHeat * air.Temperature * sim.Head(air.Pressure, pathLoss*most) / headPerSpeed)
	density := air.Pressure / (airGas * air.Temperature)
	radius := math.Sqrt(flow / chargers(s.m.Sheet.Turbo) / (flowPerSpeed * density * blade * math.Pi))
	// wheel and sheet both say what the rotor turns there; each counts by its spread
	a, b := 1/(wheelSpread*wheelSpread), 1/(sheetSpread*sheetSpread)
	speed := math.Exp((a*math.Log(blade/radius) + b*math.Log(sheetTurbo*l.MaxTurboSpeed)) / (a + b))
	return s.surely(1/math.Sqrt(a+b), func(pressure float64) float64 {
		return speed * math.Sqrt(max(0, sim.Head(air.Pressure, pressure))/full) / l.MaxTurboSpeed
	})
}

// backReach is the pressure, Pa absolute, at which the turbine surely does not choke the
// engine beyond the limit; 0 where the sheet does not tell.
func (s *search) backReach() float64 {
	l := &s.m.Sheet.Limits
	if l.MaxBoost <= 0 {
		return 0
	}
	return s.surely(sheetSpread, func(pressure float64) float64 {
		return sheetBack * math.Pow(pressure/(s.base.Air.Pressure+l.MaxBoost), backRise)
	})
}

// surely is the highest pressure, Pa absolute, at which a share of a limit, 1, that rises
// with pressure stays below it by sureSpreads of its spread, 1; 0 where none does.
func (s *search) surely(spread float64, share func(pressure float64) float64) float64 {
	lo, hi := s.base.Air.Pressure, s.base.Air.Pressure+max(s.m.Sheet.Limits.MaxBoost, 400e3)
	under := func(p float64) bool { return share(p)*(1+sureSpreads*spread) < 1 }
	if !under(lo) {
		return 0
	}
	if under(hi) {
		return hi
	}
	for hi-lo > 500 {
		if mid := (lo + hi) / 2; under(mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

// chargers is how many turbos breathe side by side, by what the sheet calls them.
func chargers(turbo string) float64 {
	t := strings.ToLower(turbo)
	for _, w := range []string{"two", "twin", "double", "2 "} {
		if strings.Contains(t, w) && !strings.Contains(t, "scroll") && !strings.Contains(t, "entry") {
			return 2
		}
	}
	return 1
}
