package dictionary

import (
	"fmt"
	"math"
	"slices"

	"traplight/internal/logfile"
	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// channel converts a candidate.
func (c *candidate) channel(log *logfile.Log, set *Set, opts Options, room *scratch) Channel {
	ch := Channel{Name: c.col.Name, Quantity: c.best.q, Index: c.index, Confidence: c.score, Gauge: c.best.gauge}
	u := c.best.unit
	if c.score < unsure && !c.forced {
		ch.Quantity, ch.Gauge = quantity.Unknown, false
		if q, score := c.bestName(); score >= plainName && c.known && carries(q, c.unit.Dim) && c.b.n > 0 {
			ch.ByName = q
			ch.problem("by its name " + string(q) + ", which its readings do not bear out")
		}
		u = c.unit
		if !c.known {
			u = quantity.Unit{Symbol: c.col.Unit, Factor: 1}
		}
	}
	if (ch.Quantity == quantity.Lambda || ch.Quantity == quantity.LambdaTarget) && c.isRichness() {
		u = richness
		ch.problem("taken for fuel over air (1 over lambda), since it reads above 1 under power")
	}
	if ch.Quantity != quantity.Unknown && u.Symbol == "AFR gasoline" && c.isOwnScale(opts) {
		opts.MixtureScale = opts.Stoich
		ch.problem(fmt.Sprintf("taken for the fuel's own scale, %.4g at lambda 1: on the gasoline scale it would read richer than an engine burns", opts.Stoich))
	}
	ch.Unit = spell(ch.Quantity, u, ch.Gauge)
	if c.elsewhere != "" {
		ch.problem(c.elsewhere)
	}
	if c.b.n == 0 {
		ch.Problems = append(ch.Problems, "blank")
		return ch
	}
	t := log.RowTime
	if c.col.Times != nil {
		t = c.col.Times
	}
	if len(t) != len(c.col.Values) {
		return ch
	}
	step, starts := log.RowStep, phases(log)
	if c.col.Times != nil {
		step, starts = 0, nil // another clock than the rows'
	}
	f := room.readings(c.col.Values, t, step, starts, keepsRepeats(ch.Quantity), c.b.step)
	ch.RateHz = f.rateHz
	ch.held, ch.rhythm, ch.rowTime = f.held, f.known, t
	if f.irregular && ch.Quantity != quantity.Unknown {
		ch.problem(fmt.Sprintf("held: new only every %.2g s on average, with no rhythm", 1/f.rateHz))
	}
	ch.toldUnit = c.best.told || c.forced
	ch.nameScore = c.guesses[c.best.q].score
	conv := converter(ch.Quantity, u, ch.Gauge, set.Barometer, opts)
	ch.Resolution = math.Abs(conv(c.b.step) - conv(0))
	finite := func(x float64) bool { return !math.IsInf(conv(x), 0) }
	if len(f.rows) == len(t) && f.own == nil && room.rowsOf(t, step).rise && finite(c.b.min) && finite(c.b.max) {
		// Every row is a reading: the times are the rows' own, which nobody changes.
		ch.Trace = trace.Trace{T: t[:len(t):len(t)], V: make([]float64, len(t))}
		for r, v := range c.col.Values {
			ch.Trace.V[r] = conv(v)
		}
		return ch
	}
	x := trace.Trace{T: make([]float64, 0, len(f.rows)), V: make([]float64, 0, len(f.rows))}
	var own []float64
	if f.own != nil {
		own = make([]float64, 0, len(f.rows))
	}
	last := math.Inf(-1)
	for k, r := range f.rows {
		if t[r] > last && finite(c.col.Values[r]) {
			x.T = append(x.T, t[r])
			x.V = append(x.V, conv(c.col.Values[r]))
			if own != nil {
				own = append(own, f.own[k])
			}
			last = t[r]
		}
	}
	ch.Trace, ch.own = x, own
	return ch
}

// mostPhases is how many stretches of a log may have a phase of their own; a log
// torn into more pieces has but one for each recording.
const mostPhases = 12

// phases are the rows at which the rhythm of refreshes may begin anew.
func phases(log *logfile.Log) []int {
	if n := len(log.Breaks); n == 0 || n > mostPhases {
		return log.Parts
	}
	out := append([]int{0}, log.Breaks...)
	for _, p := range log.Parts {
		if !slices.Contains(out, p) {
			out = append(out, p)
		}
	}
	slices.Sort(out)
	return out
}

// keepsRepeats says whether repeated values of a quantity are readings even when
// no rhythm of refreshes shows.
func keepsRepeats(q quantity.Name) repeats {
	switch q {
	case quantity.Gear, quantity.Nitrous, quantity.LaunchControl, quantity.Brake, quantity.Clutch, quantity.TorqueCut, quantity.Unknown,
		quantity.Throttle, quantity.Pedal, quantity.WastegateDuty:
		return keepAll
	}
	if isSpeed(q) {
		return keepZero
	}
	return keepNone
}

// converter gives the function from the file's unit to the SI unit in which q is
// kept.
func converter(q quantity.Name, u quantity.Unit, gauge bool, barometer float64, opts Options) func(float64) float64 {
	if u.Factor == 0 {
		u.Factor = 1
	}
	switch {
	case q == quantity.Unknown || quantity.DimensionOf(q) == quantity.DimNumber:
		return func(x float64) float64 { return x }
	case u.Dim == quantity.DimPressure:
		sign, add := 1.0, 0.0
		if u.Reference == quantity.BelowAmbient {
			sign = -1
		}
		if quantity.KeptAbsolute(q) && gauge {
			add = barometer
		} else if !quantity.KeptAbsolute(q) && !gauge {
			add = -barometer
		}
		return func(x float64) float64 { return sign*u.SI(x) + add }
	case u.Symbol == richness.Symbol:
		return func(x float64) float64 { return 1 / x }
	case u.Symbol == "AFR gasoline":
		return func(x float64) float64 { return x / opts.MixtureScale }
	}
	return u.SI
}

// spell writes a unit as the dictionary does.
func spell(q quantity.Name, u quantity.Unit, gauge bool) string {
	if u.Dim != quantity.DimPressure || q == quantity.Unknown {
		return u.String()
	}
	u.Reference = quantity.NotStated
	if q == quantity.BarometricPressure {
		return u.Symbol
	}
	if gauge {
		return u.Symbol + " gauge"
	}
	return u.Symbol + " abs"
}
