package main

import (
	"math"
	"slices"
	"strings"
)

func unitEnding(s string) bool {
	return slices.Contains([]string{"rpm", "pct", "kpa", "c", "kgh", "deg", "v", "kmh", "ms2", "1", "lambda"}, s)
}

// truthUnitText writes a unit of the truth as a recorder would.
func truthUnitText(u string) string {
	switch u {
	case "deg_pos":
		return "deg"
	case "0/1":
		return ""
	}
	return strings.NewReplacer(" abs", "(a)", " gauge", "(g)").Replace(u)
}

func (v *variantLog) unitOf(quantity string) string { return v.truth.unitOf(quantity) }

func (t *Truth) unitOf(quantity string) string {
	for _, ch := range t.Channels {
		if ch.Quantity == quantity {
			return ch.Unit
		}
	}
	return ""
}

// conversions turn a unit into another: y = x·factor + offset.
var conversions = map[string]struct {
	to             string
	factor, offset float64
}{
	"kPa": {"psi", 1 / 6.894757293168361, 0}, "kPa abs": {"psi(a)", 1 / 6.894757293168361, 0},
	"bar": {"kPa", 100, 0}, "bar abs": {"kPa(a)", 100, 0}, "bar gauge": {"kPa(g)", 100, 0},
	"psi": {"bar", 0.06894757293168361, 0}, "psi gauge": {"bar(g)", 0.06894757293168361, 0},
	"inHg": {"hPa", 33.86388640341, 0},
	"km/h": {"mph", 1 / 1.609344, 0}, "mph": {"km/h", 1.609344, 0},
	"g": {"m/s2", 9.80665, 0}, "m/s2": {"g", 1 / 9.80665, 0},
	"C": {"F", 1.8, 32}, "F": {"C", 1 / 1.8, -32 / 1.8},
}

func (v *variantLog) otherUnits() {
	before := v.truth
	changed := *v.truth
	changed.Channels = slices.Clone(changed.Channels)
	v.truth = &changed
	for i := range v.Columns {
		q := v.quantityOf(i)
		c, ok := conversions[before.unitOf(q)]
		if q == "" || !ok {
			continue
		}
		col := &v.Columns[i]
		for k := range changed.Channels {
			if ch := &changed.Channels[k]; ch.Quantity == q {
				col.Name = ch.Column // without a unit as ending
				ch.Unit = c.to
			}
		}
		col.Unit = c.to
		for j, x := range col.Values {
			// As printed: a recorder has some digits, not all of them.
			col.Values[j] = math.Round((x*c.factor+c.offset)*1000) / 1000
		}
	}
}
