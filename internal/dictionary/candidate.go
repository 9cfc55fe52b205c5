package dictionary

import (
	"slices"
	"sort"
	"strings"

	"traplight/internal/logfile"
	"traplight/internal/quantity"
)

// unsure is the confidence below which a channel counts as not recognised.
const unsure = 0.25

// plainName is what the name alone must say, 0–1, to be told where the readings do not bear it out.
const plainName = 0.6

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
	if c.unit.Symbol == quantity.BoostVacuum {
		c.straightBoost()
	}
	switch {
	case !c.known && col.Unit == "":
		c.unitFromName()
	case c.known:
		c.nameFromUnit()
	}
	c.b = look(c.col.Values)
	if col.Text == nil {
		c.words = c.withoutRaw()
		c.guesses = readName(c.words)
		c.withoutGroup()
		c.measureFromUnit()
	}
	return c
}

// straightBoost brings a gauge of two scales to psi over the barometer throughout.
func (c *candidate) straightBoost() {
	col := *c.col
	col.Values = slices.Clone(col.Values)
	psi, _ := quantity.ParseUnit("psi gauge")
	for i, x := range col.Values {
		if x < 0 {
			col.Values[i] = psi.Of(quantity.SIBelow(x))
		}
	}
	c.col, c.unit, c.known = &col, psi, true
}

// unitFromName takes a unit off the end of a name that the reader left whole
// ("speed_mph"). Where the rest says nothing ("GPS MPH", "Fuel PSI") or nothing is left
// ("MPH"), the unit is read and the name stays whole.
func (c *candidate) unitFromName() {
	n := len(c.words)
	for k := max(0, n-3); k < n; k++ {
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
			q, _ := bestOf(readName(c.words))
			if (u.Symbol == "psi" && k > 0 || u.Dim == quantity.DimSpeed) && quantity.DimensionOf(q) == u.Dim || u.Symbol == "rpm" && isSpeed(q) {
				c.unit, c.known = u, true // the unit alone says that it is a pressure, a speed, or a wheel's or a shaft's turns
				return
			}
			continue
		}
		c.unit, c.known, c.words = u, true, rest
		return
	}
	if c.degreesFromName(); c.known || n == 0 {
		return
	}
	for _, end := range []string{"mph", "kph", "kmh"} { // "gpsmph"
		if q, _ := bestOf(readName(c.words)); strings.HasSuffix(c.words[n-1].text, end) && quantity.DimensionOf(q) == quantity.DimSpeed {
			c.unit, c.known = quantity.ParseUnit(end)
		}
	}
}

// degreesFromName reads the lone F or C at the end of "Coolant F", where the rest names a
// thing whose temperature is measured at one place: behind others it may be the number of a sensor.
func (c *candidate) degreesFromName() {
	n := len(c.words)
	if n < 2 {
		return
	}
	symbol, ok := map[string]string{"f": "°F", "c": "°C"}[c.words[n-1].text]
	if !ok {
		return
	}
	rest := slices.Clone(c.words[:n-1])
	if q, _ := bestOf(readName(rest)); q != quantity.Unknown && quantity.DimensionOf(q) != quantity.DimTemperature {
		return
	}
	q, score := bestOf(readName(append(slices.Clone(rest), word{senses: []sense{setOf(fTemperature)}, number: -1})))
	if score > 0.5 && quantity.DimensionOf(q) == quantity.DimTemperature && !isIndexed(q) {
		c.unit, c.known, c.words = quantity.MustUnit(symbol), true, rest
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

// measures are the ideas that a unit alone tells: in "Oil [bar]" the unit says that it
// is a pressure.
var measures = map[quantity.Dimension]feature{
	quantity.DimPressure: fPressure, quantity.DimTemperature: fTemperature, quantity.DimRotation: fRotation, quantity.DimSpeed: fSpeed,
	quantity.DimAcceleration: fAccel, quantity.DimVoltage: fVoltage, quantity.DimMassFlow: fFlow, quantity.DimVolumeFlow: fFlow, quantity.DimMixture: fLambda,
}

// lossMeasure is what a name loses, as a factor, whose measure is told by its unit alone.
const lossMeasure = 0.9

// measureFromUnit adds to a name without a measure the one that its unit tells, where it
// says more so.
func (c *candidate) measureFromUnit() {
	idea, ok := measures[c.unit.Dim]
	if !ok || !c.known {
		return
	}
	names := c.unit.Dim == quantity.DimMixture && len(c.words) > 0 // some thing; of mixture there is one ("Sonde 1 [AFR]")
	for _, w := range c.words {
		if hasIdea(w, fStatus) || hasIdea(w, idea) {
			return
		}
		for _, s := range w.senses {
			names = names || s.common(fillers.union(setOf(fCounter))).empty()
		}
	}
	if !names {
		return // left to behaviour (nameless.go)
	}
	words := append(slices.Clone(c.words), word{text: "", senses: []sense{setOf(idea)}, number: -1})
	for q, g := range readName(words) {
		if !carries(q, c.unit.Dim) {
			continue
		}
		if g.score *= lossMeasure; g.score > c.guesses[q].score {
			c.guesses[q] = g
		}
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
