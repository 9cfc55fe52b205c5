package dictionary

import (
	"fmt"
	"math"

	"traplight/internal/quantity"
)

// Channels whose names say nothing ("Analog 7", "CH03") are looked at by unit and
// behaviour alone. The confidence stays low: half or less.
const (
	byUnit      = 0.5  // unit and range leave one reading
	byBehaviour = 0.35 // range alone
)

// guessNameless tries columns that no rule took.
func guessNameless(cands []*candidate, ctx *context) {
	taken := map[quantity.Name]bool{}
	for _, c := range cands {
		if c.score >= unsure {
			taken[c.best.q] = true
		}
	}
	namelessSpeeds(cands, taken)
	for i, c := range cands {
		if c.score >= unsure || c.forced || c.elsewhere != "" || c.b.n < 50 || c.b.distinct < 2 || !c.saysNothing() {
			continue
		}
		if q, score, why := c.behaves(cands, i); q != quantity.Unknown && !taken[q] {
			r := fitUnit(q, c.unit, c.known, &c.b, ctx)
			if r.fit < 0.5 {
				continue
			}
			c.best, c.score = r, score*r.fit
			c.notes = []string{fmt.Sprintf("the name says nothing; %s is taken from %s", q, why)}
			c.index = 0
			if c.score >= unsure {
				taken[q] = true
			}
		}
	}
}

// genericWords are those by which loggers call inputs that nobody has named.
var genericWords = map[string]bool{"analog": true, "analogue": true, "channel": true, "chan": true, "input": true, "inp": true, "sensor": true, "signal": true,
	"aux": true, "column": true, "col": true, "adc": true, "ain": true, "can": true, "var": true, "user": true, "custom": true, "eingang": true, "kanal": true,
	"entree": true, "voie": true, "canal": true, "ingresso": true, "entrada": true, "data": true, "value": true, "wert": true, "unnamed": true, "unknown": true, "spare": true, "field": true, "raw": true, "digital": true, "freq": true, "frequency": true}

// saysNothing says whether a name is only generic words, single letters and
// numbers. Anything else names a thing, known here or not, and is not to be
// guessed at.
func (c *candidate) saysNothing() bool {
	for _, w := range c.words {
		if w.number < 0 && len([]rune(w.text)) > 2 && !genericWords[w.text] {
			return false
		}
	}
	return true
}

// behaves names the one quantity that unit and behaviour leave.
func (c *candidate) behaves(all []*candidate, at int) (q quantity.Name, score float64, why string) {
	b := &c.b
	dim := quantity.DimNumber
	if c.known {
		dim = c.unit.Dim
	}
	si := func(x float64) float64 { return c.unit.SI(x) }
	switch {
	case dim == quantity.DimRotation && c.unit.Symbol == "rpm" && b.q99 > 1500 && b.q99 < 14000 && b.q01 >= 0:
		return quantity.EngineSpeed, byUnit, "unit and range"
	case dim == quantity.DimRotation && si(b.q99) > 3000 && b.q01 >= 0:
		return quantity.TurboSpeed, byUnit, "unit and range"
	case dim == quantity.DimMixture:
		return quantity.Lambda, byUnit, "the unit"
	case dim == quantity.DimSpeed && si(b.q99) > 8 && b.q01 > -0.5:
		return c.speedItself(), byUnit, "the unit and its rest"
	case dim == quantity.DimAcceleration && math.Abs(si(b.q50)) < 4:
		return quantity.AccelerationLong, 0.4, "the unit" // relate() finds the axis
	case dim == quantity.DimPressure && si(b.q99) > 130*kPa && si(b.q01) < 80*kPa && (si(b.q01) > 8*kPa || si(b.q01) < -20*kPa):
		return quantity.ManifoldPressure, 0.4, "vacuum at one end and boost at the other"
	case dim == quantity.DimPressure && si(b.q01) > 60*kPa && si(b.q99) < 108*kPa && si(b.q99)-si(b.q01) < 2*kPa:
		return quantity.BarometricPressure, 0.4, "unit and range"
	case dim == quantity.DimTemperature && si(b.q99) > 750:
		return quantity.ExhaustTemperature, byUnit, "unit and range"
	case dim == quantity.DimVoltage && c.unit.Symbol == "V" && b.q01 > 9 && b.q99 < 16.5 && b.q99-b.q01 < 4:
		return quantity.BatteryVoltage, byUnit, "unit and range"
	case dim == quantity.DimShare && c.unit.Symbol == "%" && ends(b, 100):
		return quantity.Throttle, byBehaviour, "its staying at both ends"
	}
	if dim != quantity.DimNumber || c.known && c.unit.Symbol == "0/1" {
		return quantity.Unknown, 0, ""
	}
	switch {
	case b.whole && b.q01 >= 0 && b.q01 < 3000 && b.q99 > 2800 && b.q99 < 14000 && b.distinct > 40:
		return quantity.EngineSpeed, byBehaviour, "whole numbers in the range of an engine's speed"
	case b.whole && b.min >= 0 && b.max <= 9 && b.max >= 3 && b.distinct <= 10 && climbsByOne(c.col.Values):
		return quantity.Gear, byBehaviour, "small whole numbers that climb by one"
	case b.whole && b.q99 > 25000 && b.q99 < 300000 && b.q01 >= 0:
		return quantity.TurboSpeed, byBehaviour, "its range"
	case fine(b) && math.Abs(b.q50) <= 90 && b.q99-b.q01 < 0.5 && b.q99 != b.q01 && at+1 < len(all) && fine(&all[at+1].b):
		return quantity.Latitude, byBehaviour, "many digits that hardly change"
	case fine(b) && math.Abs(b.q50) <= 180 && b.q99-b.q01 < 0.5 && b.q99 != b.q01 && at > 0 && all[at-1].best.q == quantity.Latitude:
		return quantity.Longitude, byBehaviour, "many digits that hardly change, behind the latitude"
	case ends(b, 100):
		return quantity.Throttle, 0.3, "its staying at both ends"
	}
	return quantity.Unknown, 0, ""
}

// ends says whether readings often lie at zero and often at the top.
func ends(b *behaviour, top float64) bool {
	return b.q05 < 0.05*top && b.q05 > -0.03*top && b.q95 > 0.95*top && b.q99 < 1.03*top
}

// fine says whether readings carry at least five decimals of a large number, as
// positions do.
func fine(b *behaviour) bool {
	return b.n > 20 && b.step > 0 && b.step < 2e-5 && math.Abs(b.q50) > 0.5
}

// climbsByOne says whether a whole number mostly changes by one, upwards more
// often than not.
func climbsByOne(v []float64) bool {
	ones, others, up := 0, 0, 0
	last := math.NaN()
	for _, x := range v {
		if x != x {
			continue
		}
		if d := x - last; d == d && d != 0 {
			if d == 1 {
				up++
			}
			if math.Abs(d) == 1 {
				ones++
			} else {
				others++
			}
		}
		last = x
	}
	return ones >= 3 && ones > 2*others && 2*up >= ones
}
