package sizing

import (
	"math"

	"traplight/internal/car"
	"traplight/internal/physics/tyre"
	"traplight/internal/quantity"
)

// tyres holds the target against what the driven tyres may do.
func (st *study) tyres() {
	s := st.q.Sheet
	out := &Tyres{Limit: s.Limits.TyreSpeed, Basis: Basis{
		Method: "highest speed with the slip of the driven tyres against their limit, by the upper bound; static load of a driven tyre against its load index at that speed",
		Source: "ISO 4000-1, ECE R30 annex 4 (speed symbols and load indices); beyond Y only the maker's written statement",
	}}
	st.r.Tyres = out
	speed, load, spin, wheel := nans(st.n), nans(st.n), nans(st.n), nans(st.n)
	for i := range st.n {
		c := &st.fleet.cars[i]
		v := st.target
		if st.runs[i].line > v {
			v = st.runs[i].line
		}
		// the driven tread turns faster than the road goes by
		speed[i] = v * (1 + usualSlip)
		n := 2.0
		if s.Driven == car.AllDriven {
			n = 4
		}
		load[i] = c.mass * c.driven / n
		r := c.radius * (1 + c.growth*v*v)
		spin[i] = speed[i] * speed[i] / r / gravity
		wheel[i] = speed[i] / r
	}
	out.Speed, out.Load = figureOf(quantity.DimSpeed, speed), figureOf(quantity.DimMass, load)
	out.Spin, out.Wheel = figureOf(quantity.DimNumber, spin), figureOf(quantity.DimRotation, wheel)
	size, ok := tyre.ParseSize(s.TyreSize)
	if ok {
		out.Symbol = size.SpeedSymbol
		if l, known := tyre.IndexLoad(size.LoadIndex); known {
			out.LoadLimit = l
			if size.SpeedSymbol != "" {
				// Beyond the symbol's speed the share is 0: nothing is allowed by the marking.
				out.LoadLimit = l * tyre.SpeedLoadShare(size.SpeedSymbol, st.target*(1+usualSlip))
			}
		}
	}
	if out.Limit > 0 {
		within := out.Speed.High <= out.Limit
		out.Within = &within
	} else {
		st.missing("No word on the tyres' speed: the car sheet states neither speed_symbol nor speed_limit_kmh. Plain Y ends at 300 km/h, 186 mph.")
	}
}

// StoppingEnergy is the energy, J, that brakes must take of a car of that mass, kg, which
// stops from v, m/s, at a constant deceleration, m/s², against drag k, N/(m/s)², and rolling
// force, N: the kinetic energy less what both do over the way, k·v⁴/(4a) and force·v²/(2a).
// It is 0 where drag and rolling alone would do more. Source: the integral of ½ρ·CdA·v² over
// the way x = (v0² − v²)/2a.
func StoppingEnergy(mass, v, deceleration, k, rolling float64) float64 {
	e := 0.5*mass*v*v - k*math.Pow(v, 4)/(4*deceleration) - rolling*v*v/(2*deceleration)
	return math.Max(0, e)
}

const (
	ironMass = 40.0  // kg, of discs that all braking is imagined to go into
	ironHeat = 500.0 // J/(kg·K), cast iron (handbooks 460–540, from memory)
)

// stop says how far the car runs on, and what the brakes take.
func (st *study) stop() {
	brake, from := own(st.measured().Braking, braking, practice+"; the driver begins with care and the road may be damp")
	out := &Stop{ShutDown: st.q.Strip.ShutDown, Steps: []StopAt{}, Braking: Assumption{"mean deceleration while braking", brake.Value, brake.SD, "g", from}, Basis: Basis{
		Method: "reaction time at trap speed, then constant deceleration of brakes and drag together; brakes take the kinetic energy less the work of drag and rolling",
		Source: "v²/2a; closed forms checked in this project",
	}}
	st.r.Stop = out
	st.assume("mean deceleration while braking", brake, "g", from)
	st.assume("time from the line to the brakes", reaction, "s", practice)
	react, decel := st.draw("reaction", reaction, true), st.draw("braking", brake, true)
	distance, kinetic, brakes, rise := nans(st.n), nans(st.n), nans(st.n), nans(st.n)
	at := func(g float64) *Figure {
		d := nans(st.n)
		for i := range d {
			d[i] = st.fastest(i)*react[i] + stoppingDistance(st.fastest(i), g*gravity)
		}
		return figureOf(quantity.DimLength, d)
	}
	for _, g := range []float64{0.4, 0.5, 0.6} {
		out.Steps = append(out.Steps, StopAt{g, at(g)})
	}
	for i := range st.n {
		c := &st.fleet.cars[i]
		v, a := st.fastest(i), decel[i]*gravity
		distance[i] = v*react[i] + stoppingDistance(v, a)
		kinetic[i] = 0.5 * c.mass * v * v
		brakes[i] = StoppingEnergy(c.mass, v, a, c.drag, c.roll*c.mass*gravity)
		rise[i] = brakes[i] / (ironMass * ironHeat)
	}
	out.Distance, out.Kinetic = figureOf(quantity.DimLength, distance), figureOf(quantity.DimEnergy, kinetic)
	out.Brakes, out.DiscRise = figureOf(quantity.DimEnergy, brakes), figureOf(quantity.DimNumber, rise)
	if out.ShutDown > 0 {
		x := share(distance, func(d float64) bool { return d > out.ShutDown })
		out.TooShort = &x
	} else {
		st.missing("Whether the runway stops the car is not known: no [[strip]] of the notes states shut_down_m (--notes, --strip).")
	}
}

// fastest is the highest speed of draw i, m/s.
func (st *study) fastest(i int) float64 { return math.Max(st.target, st.runs[i].line) }

// cautions are what must be minded where one acts on the figures.
func (st *study) cautions() {
	add := func(s string) { st.r.Cautions = append(st.r.Cautions, s) }
	if t := st.r.Tyres; t.Within == nil || !*t.Within {
		add("Beyond the speed of its symbol a tyre counts only by its maker's written statement for that tyre, load, pressure and duration; plain Y ends at 300 km/h (186 mph).")
	}
	if s := st.r.Stop; s.TooShort == nil || *s.TooShort > 0.01 {
		add("Do not run a car at a speed from which the shut-down length does not stop it with room to spare; brakes fade, surfaces are damp, parachutes fail.")
	}
	add("Raise power and speed in steps and look at every pass; a car that runs straight at one speed need not at the next.")
	add("On a rolling road the car is strapped down and nobody stands in line with its wheels or behind it; tyres, shafts and straps fail there too.")
	if st.q.Sheet.Nitrous.Flow > 0 {
		add("Prove the fuel flow for nitrous before it is armed; the bottle is under pressure: never heat it with a flame or overfill it.")
	}
	add("Fuel lines and pumps: alcohols attack some seals and metals, and their flames are invisible in daylight; keep an extinguisher that suits them at hand.")
	add("The figures come from stated and assumed values and can be wrong. The makers' limits of engine, turbo, gearbox, clutch and tyres, the event's technical inspection and rules, local codes and licensed practice come first; the driver may refuse any pass.")
}

// stoppingDistance is the distance, m, in which constant deceleration, m/s², stops a car from
// speed v, m/s, without a reaction time.
func stoppingDistance(v, deceleration float64) float64 { return v * v / (2 * deceleration) }
