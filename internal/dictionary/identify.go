package dictionary

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"traplight/internal/logfile"
	"traplight/internal/quantity"
	"traplight/internal/trace"
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
	// Barometer is the air pressure, Pa absolute, against which gauges count;
	// zero means the log's own barometer, else 101 325 Pa.
	Barometer float64
}

// unsure is the confidence below which a channel counts as not recognised.
const unsure = 0.25

// candidate is a column on its way to becoming a channel.
type candidate struct {
	col     *logfile.Column
	words   []word
	unit    quantity.Unit
	known   bool // the file's unit was understood
	b       behaviour
	guesses map[quantity.Name]guess
	best    reading
	score   float64
	index   int
	forced  bool
	notes   []string
	// elsewhere says why the column is not of this car.
	elsewhere string
}

// Identify decides what each column of a log is.
func Identify(log *logfile.Log, opts Options) (*Set, error) {
	if log == nil || len(log.RowTime) == 0 {
		return nil, fmt.Errorf("no rows to identify channels in")
	}
	if opts.MixtureScale == 0 {
		opts.MixtureScale = quantity.GasolineAFR
	}
	set := &Set{Clock: log.Clock}
	cands := make([]*candidate, 0, len(log.Columns))
	ctx := &context{barometer: 101325, habit: map[string]float64{}}
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
	set.Barometer, set.BarometerFrom = findBarometer(cands, opts)
	ctx.barometer = set.Barometer
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
	usedBarometer := false
	room := new(scratch)
	for _, c := range cands {
		ch := c.channel(log, set, opts, room)
		if quantity.KeptAbsolute(ch.Quantity) && ch.Gauge {
			usedBarometer = true
		}
		set.Channels = append(set.Channels, ch)
	}
	tellAssumed(cands, set)
	if usedBarometer && set.BarometerFrom == "assumed" {
		set.Notes = append(set.Notes, "gauge pressures are counted from 101.325 kPa, since neither the log nor the notes tell the barometer")
	}
	fillRates(set, room.rateOf(allRows(len(log.RowTime)), log.RowTime))
	chooseInstants(set)
	relate(set)
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
				sum[k] += math.Log(max(0.05, judge(q, quantity.MustUnit(u.unit), &c.b, ctx).fit))
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

// bestName is what the name alone says.
func (c *candidate) bestName() (quantity.Name, float64) { return bestOf(c.guesses) }

func bestOf(guesses map[quantity.Name]guess) (quantity.Name, float64) {
	var best guess
	for _, g := range guesses {
		if g.score > best.score || g.score == best.score && g.q < best.q {
			best = g
		}
	}
	return best.q, best.score
}

// newCandidate looks at one column.
func newCandidate(col *logfile.Column) *candidate {
	c := &candidate{col: col}
	c.words = splitName(col.Name)
	c.unit, c.known = quantity.ParseUnit(col.Unit)
	switch {
	case !c.known && col.Unit == "":
		c.unitFromName()
	case c.known:
		c.nameFromUnit()
	}
	c.b = look(col.Values)
	if col.Text == nil {
		c.guesses = readName(c.words)
	}
	return c
}

// unitFromName takes a unit off the end of a name that the reader left whole
// ("speed_mph"), unless the rest says nothing.
func (c *candidate) unitFromName() {
	n := len(c.words)
	if n < 2 {
		return
	}
	for k := max(1, n-3); k < n; k++ {
		text := ""
		for _, w := range c.words[k:] {
			text += w.text
		}
		if len([]rune(text)) < 2 {
			continue
		}
		u, ok := quantity.ParseUnit(text)
		if !ok || u.Dim == quantity.DimNumber {
			continue
		}
		rest := c.words[:k]
		if q, _ := bestOf(readName(rest)); q == quantity.Unknown || !carries(q, u.Dim) {
			continue
		}
		c.unit, c.known, c.words = u, true, rest
		return
	}
}

// nameFromUnit gives a name its last word back where a reader that cuts units
// off names took a place for one: the "hr" of "raddrehzahl_hr" is no hour.
func (c *candidate) nameFromUnit() {
	if len([]rune(c.col.Unit)) > 3 {
		return
	}
	q, score := bestOf(readName(c.words))
	if carries(q, c.unit.Dim) {
		return
	}
	whole := append(slices.Clone(c.words), splitName(c.col.Unit)...)
	if w, better := bestOf(readName(whole)); w != q && better > score {
		c.unit, c.known, c.words = quantity.Unit{}, false, whole
	}
}

// carries says whether a unit of some dimension can be that of a quantity.
func carries(q quantity.Name, d quantity.Dimension) bool {
	return quantity.DimensionOf(q) == d || sameIdea(q, d) || isSpeed(q) && d == quantity.DimRotation || d == quantity.DimVoltage || q == quantity.Unknown
}

// choose picks the best quantity and unit.
func (c *candidate) choose(ctx *context) {
	c.score, c.best, c.notes = 0, reading{}, nil
	if c.b.n == 0 {
		// Blank: the name alone.
		for q, g := range c.guesses {
			if g.score > c.score {
				c.score, c.best = g.score, reading{q: q, unit: c.unit, told: c.known}
			}
		}
		c.score *= 0.5
		c.index = indexOf(c.best.q, c.words)
		return
	}
	names := make([]string, 0, len(c.guesses))
	for q := range c.guesses {
		names = append(names, string(q))
	}
	sort.Strings(names)
	for _, name := range names {
		g := c.guesses[quantity.Name(name)]
		r := fitUnit(g.q, c.unit, c.known, &c.b, ctx)
		if s := g.score * r.fit; s > c.score {
			c.score, c.best = s, r
		}
	}
	if c.best.note != "" {
		c.notes = append(c.notes, c.best.note)
	}
	c.index = indexOf(c.best.q, c.words)
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

// channel converts a candidate.
func (c *candidate) channel(log *logfile.Log, set *Set, opts Options, room *scratch) Channel {
	ch := Channel{Name: c.col.Name, Quantity: c.best.q, Index: c.index, Confidence: c.score, Gauge: c.best.gauge}
	u := c.best.unit
	if c.score < unsure && !c.forced {
		ch.Quantity, ch.Gauge = quantity.Unknown, false
		u = c.unit
		if !c.known {
			u = quantity.Unit{Symbol: c.col.Unit, Factor: 1}
		}
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
	x := trace.Trace{T: make([]float64, 0, len(f.rows)), V: make([]float64, 0, len(f.rows))}
	var own []float64
	if f.own != nil {
		own = make([]float64, 0, len(f.rows))
	}
	last := math.Inf(-1)
	for k, r := range f.rows {
		if t[r] > last {
			x.T = append(x.T, t[r])
			x.V = append(x.V, conv(c.col.Values[r]))
			if own != nil {
				own = append(own, f.own[k])
			}
			last = t[r]
		}
	}
	ch.Trace, ch.own = x, own
	ch.Resolution = math.Abs(conv(c.b.step) - conv(0))
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

// correct applies what the user says a channel is.
func (c *candidate) correct(text string, ctx *context) error {
	text = strings.TrimSpace(text)
	name, unit, _ := strings.Cut(text, " ")
	index := 0
	if base, idx, ok := strings.Cut(name, "["); ok {
		name = base
		if _, err := fmt.Sscanf(strings.TrimSuffix(idx, "]"), "%d", &index); err != nil {
			return fmt.Errorf("the index in %q is not a number", text)
		}
	}
	c.forced, c.notes = true, nil
	if name == "none" || name == "" {
		c.best, c.score, c.forced = reading{}, 0, false
		return nil
	}
	q := quantity.Name(name)
	if !quantity.Exists(q) {
		return fmt.Errorf("%q is not the name of a quantity", name)
	}
	u, known := c.unit, c.known
	if unit = strings.TrimSpace(unit); unit != "" {
		if u, known = quantity.ParseUnit(unit); !known {
			return fmt.Errorf("%q is not a unit that is known", unit)
		}
	}
	r := fitUnit(q, u, known, &c.b, ctx)
	if unit != "" {
		// What the user says of the reference is not weighed against readings.
		r.unit, r.told = u, true
		switch u.Reference {
		case quantity.OverAmbient, quantity.BelowAmbient:
			r.gauge = true
		case quantity.OverVacuum:
			r.gauge = false
		}
		if q == quantity.FuelFlow && u.Dim == quantity.DimVolumeFlow {
			r.q = quantity.FuelVolumeFlow
		}
	}
	if r.q == "" {
		r.q = q
	}
	c.best, c.score = r, 1
	if index > 0 {
		c.index = index
	} else {
		c.index = indexOf(q, c.words)
	}
	return nil
}

// fillRates gives channels that hardly change, so that their rate does not show,
// the rate of the slowest held channels that have a rhythm, else that of the
// rows.
func fillRates(set *Set, rowRate float64) {
	slow := math.Inf(1)
	for i := range set.Channels {
		if c := &set.Channels[i]; c.RateHz > 0 && c.held && c.rhythm {
			slow = min(slow, c.RateHz)
		}
	}
	if math.IsInf(slow, 1) {
		slow = rowRate
	}
	for i := range set.Channels {
		if c := &set.Channels[i]; c.RateHz == 0 && c.Trace.Len() > 1 {
			c.RateHz = slow
		}
	}
}

// allRows lists the rows of a log.
func allRows(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

// plural counts things: "1 channel is", "3 channels are".
func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// tellAssumed writes what was assumed of units, channels of one remark together.
func tellAssumed(cands []*candidate, set *Set) {
	var remarks []string
	names := map[string][]string{}
	for _, c := range cands {
		if c.score < unsure && !c.forced {
			continue
		}
		for _, n := range c.notes {
			if names[n] == nil {
				remarks = append(remarks, n)
			}
			names[n] = append(names[n], fmt.Sprintf("%q", c.col.Name))
		}
	}
	for _, n := range remarks {
		who := names[n]
		label := "channel "
		if len(who) > 1 {
			label = "channels "
		}
		if len(who) > 6 {
			who = append(who[:5:5], plural(len(who)-5, "other", "others"))
		}
		set.Notes = append(set.Notes, label+strings.Join(who, ", ")+": "+n)
	}
}
