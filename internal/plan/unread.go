package plan

import (
	"math"
	"slices"
	"strings"

	"traplight/internal/car"
	"traplight/internal/physics/fuel"
	"traplight/internal/sim"
)

// What is known of a stated limit that no channel shows. Common practice, no source, where
// not said otherwise.
const (
	unguardedReach = 1.08 // 1, of the highest absolute pressure run, where nothing else is known

	fillingSpread  = 0.08  // 1, of the engine's filling
	mixtureSpread  = 0.05  // 1, of lambda that no channel shows
	lambdaSpread   = 0.015 // 1, of lambda that one shows
	airSpread      = 0.03  // 1, of the charge's density
	injectorSpread = 0.03  // 1, of the injectors' flow
	meterSpread    = 0.025 // 1, of a flow meter: its own 1.5 %, its peak from pass to pass 2 %
	powerSpread    = 0.02  // 1, of the crank power that the motion shows

	sheetSpread = 0.12 // 1, of what the limits of one sheet have in common

	// A wheel of cast or milled aluminium is held to 480 to 560 m/s at its rim, whatever its size
	// (the open gasoline set of references/turbo.md: 451), so that a limit of rotor speed tells the rim's.
	rimLimit  = 510.0 // m/s
	rimSpread = 0.09  // 1
	// Of blade speed by head (work coefficient 14 %), and of the wheel's radius by flow (flow
	// coefficient 24 %, flow 8 %).
	bladeSpread  = 0.07
	radiusSpread = 0.126

	headPerSpeed = 0.50   // 1, isentropic work over blade speed squared at high flow: fullHead and flowShare of rotor; the open diesel set has 0.57 there
	flowPerSpeed = 0.19   // 1, flow over inlet density, blade speed and πR² at full load; the same set has 0.17
	pathLoss     = 1.07   // 1, compressor's pressure ratio over the manifold's: filter and cooler
	airGas       = 287.05 // J/(kg·K)
	airHeat      = 1005.0 // J/(kg·K)

	// The limits of a sheet belong together: at the highest boost that it allows the rotor
	// is near its speed limit, the turbine not far from its back pressure.
	sheetTurbo, sheetBack = 0.95, 0.85 // 1, of the limit
	backRise              = 0.35       // 1, power of absolute pressure with which the back-pressure ratio rises
)

// unread is a limit that no channel shows, worked out from the sheet and physics: the
// share of it, 1, that the passes run so far have reached, and the spread of its logarithm.
// That it was held there is taken for granted, since nothing says otherwise.
type unread struct {
	share, spread float64
	guess         bool // known by what is usual alone
}

// held is the margin as it was run, and its spread, 1, of a limit that is taken to have
// been held there.
type held struct{ value, blur float64 }

// margin is that of a gear whose figure is rise times the highest of the record; doubt is
// the share of the rise that may be wrong.
func (u *unread) margin(gear int, limit string, rise, doubt float64) margin {
	up := math.Log(rise)
	at := -math.Log(u.share)
	return margin{gear, limit, Hard, at - up, math.Hypot(u.spread, doubt*up), &held{at, u.spread}}
}

// workOut fills in the limits that no channel shows and that the sheet tells something of.
func (s *search) workOut() {
	s.unread = map[string]unread{}
	for _, name := range s.unguarded() {
		var u unread
		switch name {
		case injectors:
			u = s.unreadDuty(s.m.Sheet.Limits.MaxInjectorDuty)
		case turboSpeed:
			u = s.unreadTurbo()
		case backPressure:
			u = s.unreadBack()
		case exhaustTemp:
			limit := s.m.Sheet.Limits.MaxExhaustTemp
			if temp, sd, ok := s.unreadGasAt(slices.Max(s.ran.boost)); ok {
				u = unread{share: temp / limit, spread: sd / limit}
			}
		}
		if u.share > 0 {
			s.unread[name] = u
		}
	}
	s.supply()
}

// unguardedTop is the highest absolute pressure, Pa, to which stated limits of which
// nothing is known let any gear go; high is the highest run. Infinite where there are none.
func (s *search) unguardedTop(high float64) float64 {
	for _, name := range s.unguarded() {
		if _, ok := s.unread[name]; !ok {
			return unguardedReach * high
		}
	}
	return math.Inf(1)
}

// mixture is the lambda, 1, that a fuel of a stoichiometric ratio, 1, is run at with
// boost, and the filling, 1, of which evaporation makes more: alcohol takes up several
// times gasoline's heat.
func mixture(afr float64) (lambda, filling float64) {
	alcohol := alcoholShare(afr)
	return 0.82 - 0.07*alcohol, 1 + 0.14*alcohol
}

// alcoholShare is how near a fuel of a stoichiometric ratio, 1, is to pure methanol, 0–1.
func alcoholShare(afr float64) float64 { return max(0, min(1, (14.6-afr)/8.1)) }

// filled is the air flow, kg/s, of a sheet's engine for a flow of the model, 1; 0 unknown.
func filled(sheet *car.Sheet, flow float64) float64 {
	_, filling := mixture(sheet.StoichAFR)
	return sim.ReferenceFlow(filling, sheet.Displacement) * flow
}

// unreadDuty is the injectors' duty over the limit, 1, by the fuel burnt.
func (s *search) unreadDuty(limit float64) (u unread) {
	sheet := s.m.Sheet
	burnt, spread := s.burnt()
	full := s.injectorsFull() * sheet.FuelDensity
	if full <= 0 || burnt == 0 {
		return u
	}
	return unread{share: burnt / ((1 - opening) * full * limit), spread: math.Sqrt(spread*spread + injectorSpread*injectorSpread + openingSpread*openingSpread)}
}

// burnt is the highest fuel flow of the passes run so far, kg/s, and the spread of its logarithm: by a
// flow meter, where the logs have one; by air over the mixture's ratio; and by crank power and the
// published need of fuel of rich, boosted engines. 0 where neither logs nor sheet tell it.
func (s *search) burnt() (flow, spread float64) {
	sheet := s.m.Sheet
	sum, weight := 0.0, 0.0
	see := func(flow, spread float64) {
		if flow > 0 {
			w := 1 / (spread * spread)
			sum, weight = sum+w*math.Log(flow), weight+w
		}
	}
	see(s.metered())
	if sheet.StoichAFR > 0 {
		most := &s.gauge.most
		lambda, _ := mixture(sheet.StoichAFR)
		spread = mixtureSpread
		if l := s.richest(); l > 0 {
			lambda, spread = l, lambdaSpread
		}
		see(filled(sheet, most.flow)/(sheet.StoichAFR*lambda), math.Sqrt(fillingSpread*fillingSpread+spread*spread+airSpread*airSpread))
		known := fuel.Resolve(fuel.Known{Name: sheet.Fuel, Stoich: sheet.StoichAFR, Density: sheet.FuelDensity})
		if b := known.BSFC; b.Value > 0 {
			see(most.power*b.Value, math.Hypot(b.SD/b.Value, powerSpread))
		}
	}
	if weight == 0 {
		return 0, 0
	}
	return math.Exp(sum / weight), math.Sqrt(1 / weight)
}

// metered is the highest fuel flow that a meter showed in the clear passes, kg/s, and the spread of its
// logarithm; 0 where none did.
func (s *search) metered() (flow, spread float64) {
	return s.gauge.flow.most(), meterSpread
}

// richest is the least of the passes' mean lambda at full throttle, 1; 0 where none shows it.
func (s *search) richest() float64 {
	least := 0.0
	for k := range s.m.Passes {
		o := s.m.Passes[k].Obs
		sum, n := 0.0, 0.0
		for i, l := range o.Lambda {
			if i >= o.Lock && o.Full[i] && l > 0.5 && l < 1.3 {
				sum, n = sum+l, n+1
			}
		}
		if n > 50 && s.m.Passes[k].Weight >= 0.5 && (least == 0 || sum/n < least) {
			least = sum / n
		}
	}
	return least
}

// unreadTurbo is the rotor's speed by the compressor's map or wheel, where they are known, else by three ways: the compressor's blade speed for the head
// of the highest boost that the sheet allows, held against what rims are held to; the same
// over the radius of a wheel that suits the flow there, which is what it was bought for; and
// the sheet's limits belong together.
func (s *search) unreadTurbo() (u unread) {
	sheet, air := s.m.Sheet, &s.base.Air
	l := &sheet.Limits
	if s.rotor.spread > 0 {
		return s.knownTurbo(air.Pressure)
	}
	if l.MaxBoost <= 0 || sheet.Displacement <= 0 || sheet.RevLimit <= 0 {
		return u
	}
	most := air.Pressure + l.MaxBoost
	full := sim.Head(air.Pressure, most)
	charge := s.m.Mean.Car.Engine.LateCharge(air.Temperature, full)
	flow := filled(sheet, sim.Flow(sheet.RevLimit, most, charge))
	blade := math.Sqrt(airHeat * s.rotor.temperature * sim.Head(air.Pressure, pathLoss*most) / headPerSpeed)
	density := air.Pressure / (airGas * s.rotor.temperature)
	radius := math.Sqrt(flow / chargers(sheet) / (flowPerSpeed * density * blade * math.Pi))
	share, spread := weigh(blade/rimLimit, blade/radius/l.MaxTurboSpeed, sheetTurbo)
	return unread{share: share * s.gauge.most.speed, spread: spread}
}

// knownTurbo is the rotor's speed by its map, or by its wheel weighed with what the sheet's limits
// say together; barometer in Pa.
func (s *search) knownTurbo(barometer float64) unread {
	l, r := &s.m.Sheet.Limits, &s.rotor
	own := s.gauge.most.speed / l.MaxTurboSpeed
	full := r.speed(sim.Head(barometer, barometer+l.MaxBoost), r.flow)
	if l.MaxBoost <= 0 || full <= 0 || r.chart != nil {
		return unread{share: own, spread: r.spread}
	}
	apart := math.Log(sheetTurbo * l.MaxTurboSpeed / full)
	wo, ws := 1/(r.spread*r.spread), 1/(sheetSpread*sheetSpread)
	part := apart * apart / (1/wo + 1/ws) // as in weigh
	return unread{share: own * math.Exp(apart*ws/(wo+ws)), spread: math.Sqrt(max(1, part) / (wo + ws))}
}

// weigh is the best of three readings of rotor speed over its limit, 1, by rim, by wheel and
// by sheet, and the spread of its logarithm: by least squares with what the first two have
// in common. A blade that must go faster sits on a smaller wheel: its error counts one and
// a half times in the wheel's speed.
func weigh(rim, wheel, sheet float64) (share, spread float64) {
	a := bladeSpread*bladeSpread + rimSpread*rimSpread
	b := 2.25*bladeSpread*bladeSpread + radiusSpread*radiusSpread
	c := 1.5 * bladeSpread * bladeSpread
	det := a*b - c*c
	wa, wb, ws := (b-c)/det, (a-c)/det, 1/(sheetSpread*sheetSpread)
	sum := wa + wb + ws
	lr, lw, ls := math.Log(rim), math.Log(wheel), math.Log(sheet)
	mean := (wa*lr + wb*lw + ws*ls) / sum
	// where the ways part by more than their spreads, none of them is as sure as it says: the
	// spread grows by the root of the reduced sum of squares (Birge 1932, from memory)
	dr, dw, ds := lr-mean, lw-mean, ls-mean
	part := (b*dr*dr+a*dw*dw-2*c*dr*dw)/det + ds*ds/(sheetSpread*sheetSpread)
	return math.Exp(mean), math.Sqrt(max(1, part/2) / sum)
}

// unreadBack is the back-pressure ratio by the sheet alone.
func (s *search) unreadBack() (u unread) {
	l := &s.m.Sheet.Limits
	if l.MaxBoost <= 0 {
		return u
	}
	baro := s.base.Air.Pressure
	run := sim.Pressure(baro, s.gauge.most.head)
	return unread{share: sheetBack * math.Pow(run/(baro+l.MaxBoost), backRise), spread: sheetSpread}
}

// chargers is how many turbos breathe side by side, by the sheet's count or what it calls them.
func chargers(sheet *car.Sheet) float64 {
	if sheet.TurboCount > 0 {
		return float64(sheet.TurboCount)
	}
	t := strings.ToLower(sheet.Turbo)
	for _, w := range []string{"two", "twin", "double", "2 "} {
		if strings.Contains(t, w) && !strings.Contains(t, "scroll") && !strings.Contains(t, "entry") {
			return 2
		}
	}
	return 1
}
