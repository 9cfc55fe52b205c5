package dictionary

import (
	"fmt"
	"math"
	"slices"

	"traplight/internal/logfile"
	"traplight/internal/quantity"
)

// Options settle what a log cannot tell. The zero value is usable.
type Options struct {
	// Corrections maps a channel's name in the log to what the user says it is:
	// a quantity, with an index in brackets and a unit behind it if need be:
	// "exhaust_pressure[2] psi gauge". "none" takes a channel out.
	Corrections map[string]string
	// MixtureScale is the air-fuel ratio, kg/kg, that the gauge prints for
	// lambda 1; zero means 14.7, the gasoline scale.
	MixtureScale float64
	// Stoich is the fuel's air-fuel ratio, kg/kg, at lambda 1; zero unknown. A gauge on the
	// gasoline scale that reads richer than an engine burns is taken to print this one.
	Stoich float64
	// Circumference is what a wheel rolls in a turn, m, for wheel speeds in turns; zero unknown.
	Circumference float64
	// FinalDrive is how often the shaft behind the gearbox turns in a turn of the wheels, 1, for
	// speeds read there; zero unknown.
	FinalDrive float64
	// Overall is how often the engine turns in a turn of the driven wheels, by gear from first, 1,
	// to find the unit of a speed that nobody told; nil unknown.
	Overall []float64
	// FuelBase is the step of the fuel's regulator over the manifold, Pa; zero unknown.
	FuelBase float64
	// Barometer is the air pressure, Pa absolute, against which gauges count;
	// zero means the log's own barometer, else 101 325 Pa.
	Barometer float64
}

// Identify decides what each column of a log is. A log without rows is an error.
func Identify(log *logfile.Log, opts Options) (*Set, error) {
	if log == nil || len(log.RowTime) == 0 {
		return nil, fmt.Errorf("no rows to identify channels in")
	}
	if opts.MixtureScale == 0 {
		opts.MixtureScale = quantity.GasolineAFR
	}
	set := &Set{Clock: log.Clock}
	cands := make([]*candidate, 0, len(log.Columns))
	ctx := &context{circumference: opts.Circumference, barometer: 101325, habit: map[string]float64{}}
	for i := range log.Columns {
		c := newCandidate(&log.Columns[i])
		cands = append(cands, c)
		if c.known {
			ctx.habit[c.unit.Symbol]++
		}
	}
	// The barometer first: gauges need it.
	shareHabits(cands, ctx)
	for _, c := range cands {
		c.choose(ctx)
	}
	kindredUnits(cands, ctx)
	set.Barometer, set.BarometerFrom = findBarometer(cands, opts)
	ctx.barometer = set.Barometer
	for _, c := range cands { // exhaust pressure is held against it
		if c.best.q == quantity.ManifoldPressure && c.score >= 0.4 && c.b.n > 0 {
			_, ctx.manifold = c.best.ends(&c.b, ctx)
		}
	}
	for _, c := range cands {
		c.choose(ctx)
		if text, ok := opts.Corrections[c.col.Name]; ok {
			if err := c.correct(text, ctx); err != nil {
				return nil, fmt.Errorf("%s: channel %q: %w", log.File, c.col.Name, err)
			}
		}
	}
	pairSides(cands)
	wheelsByOrder(cands, set, ctx)
	oneVehicle(cands, set)
	guessNameless(cands, ctx)
	receiverAlone(cands, set)
	usedBarometer := false
	room := new(scratch)
	for _, c := range cands {
		ch := c.channel(log, set, opts, room)
		if quantity.KeptAbsolute(ch.Quantity) && ch.Gauge {
			usedBarometer = true
		}
		set.Channels = append(set.Channels, ch)
	}
	units, place := unitsOf(set), len(set.Notes)
	if usedBarometer && set.BarometerFrom == "assumed" {
		set.Notes = append(set.Notes, "gauge pressures are counted from 101.325 kPa, since neither the log nor the notes tell the barometer")
	}
	fillRates(set, room.rateOf(allRows(len(log.RowTime)), log.RowTime))
	chooseInstants(set)
	countTeeth(set, cands, &opts)
	ref := relate(set, &opts)
	settleThrottle(set, cands, ref)
	settlePressureUnits(set, cands, opts.FuelBase)
	settleGauges(set, cands, opts.FuelBase)
	set.Notes = slices.Insert(set.Notes, place, assumed(cands, set, units)...)
	dropCopies(set)
	checkSensors(set)
	return set, nil
}

// shareHabits learns which units a file uses from all columns together: where no
// unit is told, the one that suits all columns of its kind is likelier than one
// that suits this or that.
func shareHabits(cands []*candidate, ctx *context) {
	for dim, list := range unitPrior {
		sum := make([]float64, len(list))
		n := 0
		for _, c := range cands {
			if c.known && c.unit.Dim != quantity.DimNumber || c.b.n == 0 {
				continue
			}
			q, score := c.bestName()
			if score < 0.4 || quantity.DimensionOf(q) != dim || c.b.whole && c.b.min >= 0 && c.b.max <= 1 {
				continue
			}
			n++
			for k, u := range list {
				r := judge(q, quantity.MustUnit(u.unit), &c.b, ctx)
				sum[k] += math.Log(max(0.05, r.fit*r.likely(&c.b, ctx)))
			}
		}
		if n < 2 {
			continue
		}
		top := slices.Max(sum)
		total := 0.0
		for k := range sum {
			sum[k] = math.Exp(sum[k]-top) * list[k].p
			total += sum[k]
		}
		for k, u := range list {
			ctx.habit[quantity.MustUnit(u.unit).Symbol] += 1.5 * sum[k] / total
		}
	}
}

// fahrenheitHabit is how many columns in mph a log counts as whose temperatures are in °F: it
// comes from where speeds are told in miles (common practice, no source).
const fahrenheitHabit = 1.5

// kindredUnits carries the habit of temperatures over to speeds.
func kindredUnits(cands []*candidate, ctx *context) {
	degrees := 0
	for _, c := range cands {
		if c.score < 0.4 || c.b.n == 0 {
			continue
		}
		switch c.best.unit.Symbol {
		case "°F":
			degrees++
		case "°C":
			degrees--
		}
	}
	if degrees > 0 {
		ctx.habit["mph"] += fahrenheitHabit
	}
}

// findBarometer takes the air pressure, Pa, from the options, the log, or the
// standard atmosphere, and says which.
func findBarometer(cands []*candidate, opts Options) (p float64, from string) {
	if opts.Barometer > 0 {
		return opts.Barometer, "given"
	}
	var best *candidate
	for _, c := range cands {
		if c.best.q == quantity.BarometricPressure && c.b.n > 0 && !c.best.gauge && c.score > 0.4 && (best == nil || c.score > best.score) {
			best = c
		}
	}
	if best != nil {
		return best.best.unit.SI(best.b.q50), "log"
	}
	return 101325, "assumed"
}
