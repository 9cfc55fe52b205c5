package health

import (
	"fmt"
	"math"
	"slices"

	"traplight/internal/num/stats"
	"traplight/internal/quantity"
)

// breach is a limit passed: one of the sheet, or one that holds for any engine
// of this kind.
type breach struct {
	kind     Kind
	severity Severity
	from     float64 // s, run clock
	channels []string
	text     string
	score    float64
	byMotion bool // rests on the car's speed
	sheet    bool // the limit is the sheet's
}

// ofPractice is the score of a rule of common practice, which some cars break for good
// and are none the worse, natural logarithm of odds: see habits.
const ofPractice = 9.0

// first held time of a condition: true for at least held seconds in a row.
func (f *frame) lasting(held float64, on func(i int) bool) (from float64, ok bool) {
	n := 0
	for i := range f.t {
		if !on(i) {
			n = 0
			continue
		}
		n++
		if float64(n)*cell >= held {
			return f.t[i] - float64(n-1)*cell, true
		}
	}
	return 0, false
}

// went is how far a reading went, a quantile of it over the cells where a rule is broken: 0.9
// for what is too high, 0.1 for what is too low; unit of the reading.
func (f *frame) went(q float64, x func(i int) float64, on func(i int) bool) float64 {
	var v []float64
	for i := range f.t {
		if on(i) && !math.IsNaN(x(i)) {
			v = append(v, x(i))
		}
	}
	return stats.Quantile(v, q)
}

// of is a column as a function of the cell.
func of(x []float64) func(i int) float64 { return func(i int) float64 { return x[i] } }

// breaches applies the limits of the sheet and the rules that need no history.
// The rules' figures are common practice without a source, set where no healthy
// engine of this kind is run, so that they never need a second opinion.
func (j *judge) breaches() []breach {
	var out []breach
	add := func(kind Kind, sev Severity, held float64, q quantity.Name, on func(i int) bool, text string, args ...any) {
		if from, ok := j.lasting(held, on); ok {
			out = append(out, breach{kind, sev, from, names(j.set.First(q)), fmt.Sprintf(text, args...), most, q == quantity.EngineSpeed || q == quantity.GPSSpeed, true})
		}
	}
	w := j.opts.Units
	lim := j.sheet.Limits
	hot := func(i int) bool { return j.full[i] && j.since[i] > 0.7 && j.boost[i] > 50e3 }
	if lim.MaxBoost > 0 {
		add(Overboost, Moderate, 0.2, quantity.ManifoldPressure, func(i int) bool { return j.boost[i] > lim.MaxBoost }, "boost over the sheet's limit of %s", w.Pressure(lim.MaxBoost))
	}
	if d := j.first(quantity.InjectorDuty); d != nil && lim.MaxInjectorDuty > 0 {
		add(FuelSupply, Moderate, 0.2, quantity.InjectorDuty, func(i int) bool { return d[i] > lim.MaxInjectorDuty }, "injector duty over the sheet's limit of %s", w.Share(lim.MaxInjectorDuty))
	}
	if lim.MaxBackPressureRatio > 0 {
		for _, c := range j.lone(quantity.ExhaustPressure) {
			x := j.column(c)
			add(TurbineChoke, Moderate, 0.2, quantity.ExhaustPressure, func(i int) bool {
				return hot(i) && x[i]/(j.boost[i]+j.baro) > lim.MaxBackPressureRatio
			}, "turbine inlet over manifold pressure beyond the sheet's limit of %.2f", lim.MaxBackPressureRatio)
		}
	}
	if lim.MaxTurboSpeed > 0 {
		for _, c := range j.lone(quantity.TurboSpeed) {
			x := j.column(c)
			add(TurboOverspeed, Moderate, 0.1, quantity.TurboSpeed, func(i int) bool { return x[i] > lim.MaxTurboSpeed }, "turbo speed over the sheet's limit of %s", w.Rotation(lim.MaxTurboSpeed))
		}
	}
	for _, c := range j.lone(quantity.ExhaustTemperature) {
		x := j.column(c)
		if lim.MaxExhaustTemp > 0 {
			add(Overheat, Moderate, 0.3, quantity.ExhaustTemperature, func(i int) bool { return x[i] > lim.MaxExhaustTemp }, "%s over the sheet's limit of %s", c.Name, w.Temperature(lim.MaxExhaustTemp))
		}
	}
	if lim.TyreSpeed > 0 {
		add(Tyre, Moderate, 0.1, quantity.GPSSpeed, func(i int) bool { return j.v[i] > lim.TyreSpeed }, "speed over the tyres' limit of %s", w.Speed(lim.TyreSpeed))
	}
	if g := lim.GearboxTorque; len(g) > 0 {
		smoothCrank := smooth(j.surely(j.crank), 2)
		add(Driveline, Moderate, 0.2, quantity.EngineSpeed, func(i int) bool {
			k := j.gear[i]
			return j.full[i] && k >= 1 && k <= len(g) && g[k-1] > 0 && smoothCrank[i] > g[k-1]
		}, "torque at the gearbox over the sheet's limit")
	}
	if lim.MaxCrankPower > 0 {
		crank := j.surely(j.crank)
		add(Overboost, Moderate, 0.3, quantity.EngineSpeed, func(i int) bool {
			return j.full[i] && j.since[i] > 0.5 && crank[i]*j.speed[i] > lim.MaxCrankPower
		}, "crank power over the sheet's limit of %s", w.Power(lim.MaxCrankPower))
	}
	return append(out, j.anyEngine()...)
}

// surely takes two standard deviations off a torque reckoned from motion.
func (f *frame) surely(torque []float64) []float64 {
	q := f.pass.Force
	if q == nil || len(q.HubSD) == 0 {
		return filled(f.n, nan())
	}
	sd, hub := f.onMotion(q.HubSD), f.onMotion(q.HubTorque)
	return apply(f.n, func(i int) float64 {
		if !(hub[i] > 0) {
			return nan()
		}
		return torque[i] * (1 - 2*sd[i]/hub[i])
	})
}

// leanOfTarget is how much leaner than the engine computer's own target no engine
// is left under boost, lambda.
const leanOfTarget = 0.06

// anyEngine holds the rules for any turbocharged engine at full load.
func (j *judge) anyEngine() []breach {
	var out []breach
	add := func(kind Kind, sev Severity, held float64, chs []string, on func(i int) bool, text string, args ...any) {
		if from, ok := j.lasting(held, on); ok {
			out = append(out, breach{kind, sev, from, chs, fmt.Sprintf(text, args...), most, false, false})
		}
	}
	w := j.opts.Units
	hot := func(i int) bool { return j.full[i] && j.since[i] > 0.9 && j.boost[i] > 50e3 }
	for _, c := range j.lone(quantity.Lambda) {
		x := j.column(c)
		on := func(i int) bool { return hot(i) && x[i] > 0.97 && x[i] < 1.45 }
		add(MixtureLean, Gross, 0.3, names(c), on, "%s leaner than %s under boost, up to %s", c.Name, w.Mixture(0.97), w.Mixture(j.went(0.9, of(x), on)))
	}
	if target := j.first(quantity.LambdaTarget); target != nil {
		for _, c := range j.lone(quantity.Lambda) {
			x := j.column(c)
			on := func(i int) bool { return hot(i) && x[i] > target[i]+leanOfTarget && x[i] < 1.45 }
			add(MixtureLean, Moderate, 0.5, names(c), on,
				"%s leaner than its target by more than %.2f lambda under boost, up to %s where %s is asked for", c.Name, leanOfTarget, w.Mixture(j.went(0.9, of(x), on)), w.Mixture(j.went(0.5, of(target), on)))
		}
	}
	if dp, follows := j.fuelOver(); dp != nil && follows {
		var rest []float64
		for i := range dp {
			if j.idle[i] && !math.IsNaN(dp[i]) {
				rest = append(rest, dp[i])
			}
		}
		base := j.sheet.FuelPressureBase
		if len(rest) > 25 {
			base = stats.Median(rest)
		}
		if base > 100e3 {
			on := func(i int) bool { return hot(i) && dp[i] < 0.75*base }
			add(FuelSupply, Gross, 0.3, names(j.set.First(quantity.FuelPressure)), on,
				"fuel pressure over manifold pressure below three quarters of its base of %s, down to %s", w.Pressure(base), w.Pressure(j.went(0.1, of(dp), on)))
		}
	}
	if c := j.set.First(quantity.OilPressure); c != nil {
		x := j.column(c)
		// Half of the ten pounds per thousand revolutions that the trade asks for.
		on := func(i int) bool {
			return j.speed[i] > 300 && j.t[i] > j.launch-3 && x[i] < 34.5e3*j.speed[i]/104.72
		}
		add(OilSupply, Gross, 0.3, names(c), on, "oil pressure under %s for each 1000 rpm, %s at %s", w.Pressure(34.5e3), w.Pressure(j.went(0.5, of(x), on)), w.Rotation(j.went(0.5, of(j.speed), on)))
	}
	if c := j.set.First(quantity.CoolantTemperature); c != nil {
		x := j.column(c)
		add(Overheat, Gross, 1, names(c), func(i int) bool { return x[i] > 391 && x[i] < 450 }, "coolant over %s", w.Temperature(391))
	}
	if c := j.set.First(quantity.CoolantPressure); c != nil {
		x := j.column(c)
		add(CoolantPressure, Gross, 0.5, names(c), func(i int) bool { return x[i] > 280e3 }, "coolant pressure over %s", w.Pressure(280e3))
	}
	if c := j.set.First(quantity.CrankcasePressure); c != nil {
		x := j.column(c)
		on := func(i int) bool { return j.t[i] > j.launch && x[i] > 25e3 && x[i] < 95e3 }
		add(CrankcasePressure, Gross, 0.3, names(c), on, "crankcase pressure over %s, up to %s", w.Pressure(25e3), w.Pressure(j.went(0.9, of(x), on)))
	}
	if c := j.set.First(quantity.BatteryVoltage); c != nil {
		x := j.column(c)
		if x != nil {
			on := func(i int) bool { return j.speed[i] > 200 && x[i] < 11.8 && x[i] > 3 }
			add(Electrical, Moderate, 0.5, names(c), on, "battery below 11.8 V with the engine running, down to %.1f V", j.went(0.1, of(x), on))
		}
	}
	out = append(out, j.common()...)
	out = append(out, j.neverReached()...)
	out = append(out, j.farShort()...)
	out = append(out, j.halfOpen()...)
	// An overshoot after a shift is over within a second.
	unheld, _, _ := j.unjudgedGears()
	over := func(i int) bool {
		return !slices.Contains(unheld, j.gear[i]) && j.full[i] && j.gear[i] >= 2 && j.since[i] > 1.2 && j.boost[i] > 1.15*j.target[i]+10e3
	}
	if from, ok := j.lasting(0.6, over); ok {
		text := fmt.Sprintf("boost stays more than a seventh over its target, %s where %s is asked for", w.Pressure(j.went(0.5, of(j.boost), over)), w.Pressure(j.went(0.5, of(j.target), over)))
		out = append(out, breach{Overboost, Moderate, from, names(j.set.First(quantity.ManifoldPressure)), text, ofPractice, false, false})
	}
	return out
}

// halfOpen is a throttle that falls back in mid-pass and stays part open: a driver
// who lifts lifts all the way.
func (j *judge) halfOpen() []breach {
	c := j.set.First(quantity.Throttle)
	if c == nil || j.pass.Complete {
		return nil
	}
	x := j.column(c)
	brake := j.first(quantity.Brake)
	pedal := j.first(quantity.Pedal)
	level := nan()
	from, ok := j.lasting(1.2, func(i int) bool {
		if j.t[i] < j.end+0.3 || !(x[i] > 0.08) || x[i] > 0.9 || j.v[i] < 15 || brake != nil && brake[i] > 0.05 || pedal != nil && pedal[i] < 0.5 {
			level = nan()
			return false
		}
		if math.IsNaN(level) {
			level = x[i]
		}
		return math.Abs(x[i]-level) < 0.03
	})
	if !ok || from > j.end+1.5 {
		return nil
	}
	return []breach{{Throttle, Gross, j.end, names(c), "the throttle fell back in full course and stayed part open, where a driver who lifts closes it", 10, false, false}}
}

// Boost that is farShare short of its target after farAfter in a gear at full throttle, at
// engine speeds that feed the turbine, and rises so slowly that farMore would not bring it
// there, has not far to come: it does not come. No pass of 460 healthy ones of invented cars,
// 60 of them drawn at random, has it for a single second.
const (
	farShare = 0.3 // 1
	farLeast = 15e3
	farAfter = 2.0 // s
	farMore  = 4.0 // s
	farSpeed = 0.6 // 1, of the engine's highest speed
)

// farShort is such boost, in whichever gear it first is so.
func (j *judge) farShort() []breach {
	short := func(i int) bool {
		lack := j.target[i] - j.boost[i]
		return j.gear[i] >= 2 && j.full[i] && j.since[i] > farAfter && j.speed[i] > farSpeed*j.nref &&
			lack > max(farShare*j.target[i], farLeast) && farMore*max(0, j.boostRate[i]) < lack
	}
	from, ok := j.lasting(1, short)
	if !ok {
		return nil
	}
	w := j.opts.Units
	text := fmt.Sprintf("boost does not come: %s where %s is asked for, and hardly rising",
		w.Pressure(j.went(0.5, of(j.boost), short)), w.Pressure(j.went(0.5, of(j.target), short)))
	return []breach{{Underboost, Moderate, from, names(j.set.First(quantity.ManifoldPressure)), text, ofPractice, false, false}}
}

// neverReached is boost that stays far short of its target in the upper gears
// although it has had time and, in a lower gear of this very pass, came up to
// target: the pass's own first half as the baseline.
func (j *judge) neverReached() []breach {
	reached := map[int]bool{}
	for i := range j.t {
		if j.full[i] && j.boost[i] > 0.95*j.target[i] {
			reached[j.gear[i]] = true
		}
	}
	short := func(i int) bool {
		g := j.gear[i]
		if g < 2 || !reached[g-1] && !reached[g-2] || reached[g] || !j.full[i] || j.since[i] < 1.5 {
			return false
		}
		return j.boost[i] < 0.86*j.target[i]
	}
	from, ok := j.lasting(0.5, short)
	if !ok {
		return nil
	}
	w := j.opts.Units
	text := fmt.Sprintf("boost stays more than a seventh short of its target in a gear in which it has had time to come, %s where %s is asked for",
		w.Pressure(j.went(0.5, of(j.boost), short)), w.Pressure(j.went(0.5, of(j.target), short)))
	return []breach{{Underboost, Moderate, from, names(j.set.First(quantity.ManifoldPressure)),
		text, ofPractice, false, false}}
}
