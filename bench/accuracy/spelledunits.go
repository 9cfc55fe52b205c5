package main

import (
	"math"
	"regexp"
	"slices"
	"strings"

	"traplight/internal/logfile/logfiletest"
	"traplight/internal/quantity"
)

// spelledUnits are places for units, and units.
var spelledUnits = func() []spelling {
	var out []spelling
	for _, p := range []string{"parentheses", "row", "above", "ending", "slash", "cells"} {
		out = append(out, spelling{name: "units: " + p, change: func(d *draft) { d.text.Units = p }})
	}
	out = append(out, spelling{name: "units: absent", wish: "within", change: func(d *draft) { d.text.Units = "absent" }})
	header := func(name string, re, to string) {
		out = append(out, spelling{name: "units: " + name, change: func(d *draft) {
			d.lines(func(l []string) []string {
				l[0] = regexp.MustCompile(re).ReplaceAllString(l[0], to)
				return l
			})
		}})
	}
	header("angle brackets", `\[([^\]]*)\]`, "<$1>")
	header("braces", `\[([^\]]*)\]`, "{$1}")
	header("before the name", `([^,\[]*) \[([^\]]*)\]`, "[$2] $1")
	header("in", ` \[([^\]]*)\]`, " in $1")
	header("hyphen", ` \[([^\]]*)\]`, " - $1")
	header("underscore", ` \[([^\]]*)\]`, "_$1")
	header("colon", ` \[([^\]]*)\]`, ": $1")
	header("two brackets", ` \[([^\]]*)\]`, " [[$1]]")
	header("at sign and rate", ` \[([^\]]*)\]`, " [$1] @ 100 Hz")
	header("no blank", ` \[([^\]]*)\]`, "[$1]")
	unit := func(kind string, prefixes []string, units ...string) {
		for _, u := range units {
			wish := ""
			if kind == "flow" {
				wish = "within" // density comes in between
			}
			if slices.Contains(guessedUnits, u) {
				wish = "less"
			}
			out = append(out, spelling{name: "units: " + kind + " " + u, wish: wish, change: func(d *draft) { d.written(u, prefixes...) }})
		}
	}
	gauges := []string{"oil_pressure", "fuel_pressure", "coolant_pressure"}
	unit("gauges", gauges, "psig", "psi", "PSI", "psi(g)", "barg", "bar(g)", "mbar", "hPa", "kPa(g)", "kPag", "MPa", "Pa", "kgf/cm2", "kg/cm²", "at", "atm", "inHg", "mmHg", "Torr", "N/mm2", "N/mm²", "dbar", "lb/in²", "bar rel", "kPa gauge", "psia", "bar(a)", "kPa abs", "bara", "mbar abs", "lbf/in2", "ksi")
	unit("manifold", []string{"map", "exhaust_manifold_pressure"}, "psia", "psig", "kPa(a)", "kPa(g)", "bara", "barg", "mbar(a)", "hPa abs", "inHg abs", "inHgA", "kgf/cm2 g", "MPa", "atm", "Torr", "psi", "bar")
	unit("barometer", []string{"barometer"}, "hPa", "mbar", "inHg", "mmHg", "psi", "bar", "Pa", "atm", "Torr", "kg/cm2")
	unit("temperatures", []string{"intake_temp", "coolant_temp", "oil_temp", "egt_"}, "K", "°F", "F", "degF", "deg F", "Fahrenheit", "degC", "deg. C", "Celsius", "°R", "Kelvin", "dK", "d°C", "10*degC")
	unit("speeds", []string{"wheel_", "gps_speed"}, "mph", "MPH", "kph", "KPH", "km/h", "m/s", "kn", "kt", "knots", "ft/s", "mi/h", "m/min", "ft/min", "cm/s", "dm/s", "mm/s", "miles/hour", "0.1 km/h", "km/h x10")
	unit("acceleration", []string{"accel_"}, "g", "G", "m/s²", "m/s/s", "ms-2", "ft/s2", "mg", "cm/s2", "gal", "mm/s²", "G's", "0.01 g", "km/h/s", "mph/s")
	unit("engine", []string{"rpm"}, "1/min", "U/min", "tr/min", "min-1", "rad/s", "Hz", "rps", "x1000 rpm", "krpm", "r/min", "deg/s", "1/s", "rpm*10", "rpm/100")
	unit("turbo", []string{"turbo_rpm"}, "krpm", "rad/s", "Hz", "1/min", "rpm x1000", "kHz")
	unit("mixture", []string{"lambda_"}, "lambda", "λ", "AFR", "A/F", "afr gas", ":1", "%", "-", "Lambda x1000")
	unit("share", []string{"throttle", "injector_duty", "brake"}, "0-1", "%", "pct", "percent", "‰", "1", "0..1", "0..255", "counts/1000")
	unit("flow", []string{"fuel_flow"}, "g/s", "kg/h", "lb/h", "lb/min", "L/h", "l/min", "cc/min", "gal/h", "gph", "ml/s", "mL/min", "gpm", "lb/hr", "PPH", "cm³/min", "kg/min", "dm3/h")
	unit("ignition", []string{"ignition_angle"}, "°BTDC", "deg", "°KW", "°CA", "rad", "mrad")
	return out
}()

// written prints quantities in a unit, which may be one that the program does not know.
func (d *draft) written(unit string, prefixes ...string) {
	if o, ok := oddUnits[unit]; ok {
		d.each(func(c *logfiletest.Column, w *writtenColumn) {
			was := w.unit
			if gaugeByHabit(w) {
				was += " gauge"
				if of := quantity.MustUnit(o.of); of.Reference == quantity.NotStated {
					was = w.unit
				}
			}
			x := convertColumn(c.Values, was, o.of, d.barometer)
			for i := range x {
				x[i] = math.Round(1e6*(x[i]*o.factor+o.offset)) / 1e6
			}
			c.Values, c.Unit = x, unit
		}, prefixes...)
		return
	}
	base := unit
	if _, ok := quantity.ParseUnit(base); !ok {
		base = strings.NewReplacer("²", "2").Replace(base)
	}
	d.each(func(c *logfiletest.Column, w *writtenColumn) {
		to, was := base, w.unit
		if gaugeByHabit(w) {
			was += " gauge"
		}
		u, ok := quantity.ParseUnit(to)
		if !ok {
			panic("no factor for " + unit)
		}
		if u.Dim == quantity.DimPressure && u.Reference == quantity.NotStated && strings.Contains(was, " ") {
			to += map[bool]string{true: " abs", false: " gauge"}[strings.HasSuffix(was, "abs")]
		}
		from := quantity.MustUnit(truthUnitText(was))
		if u.Dim != from.Dim && !(u.Dim == quantity.DimVolumeFlow || u.Dim == quantity.DimMassFlow) {
			panic(unit + " is " + string(u.Dim) + ", not " + string(from.Dim))
		}
		density := 1.0
		if u.Dim == quantity.DimVolumeFlow && from.Dim == quantity.DimMassFlow {
			density = 1.0 / d.density
		} else if from.Dim == quantity.DimVolumeFlow && u.Dim == quantity.DimMassFlow {
			density = d.density
		}
		if density != 1 {
			for i, x := range c.Values {
				c.Values[i] = math.Round(1e6*u.Of(from.SI(x)*density)) / 1e6
			}
		} else {
			c.Values = convertColumn(c.Values, was, to, d.barometer)
		}
		c.Unit = unit
	}, prefixes...)
}

// gaugeByHabit says whether a pressure whose unit does not say so counts from the barometer.
func gaugeByHabit(w *writtenColumn) bool {
	return !strings.Contains(w.unit, " ") && hasAnyPrefix(w.quantity, []string{"oil_pressure", "fuel_pressure", "coolant_pressure", "crankcase"})
}

// guessedUnits no table can know: what they mean is guessed from the readings, or told not to be known.
var guessedUnits = []string{"dK", "d°C", "km/h x10", "Lambda x1000", "counts/1000"}

// oddUnits are spelled as no table knows them, or with a factor before them.
var oddUnits = map[string]struct {
	of             string
	factor, offset float64
}{
	"N/mm2": {"MPa", 1, 0}, "N/mm²": {"MPa", 1, 0}, "dbar": {"bar", 10, 0}, "ksi": {"psi", 1e-3, 0},
	"°R": {"K", 1.8, 0}, "dK": {"K", 10, 0}, "d°C": {"°C", 10, 0}, "10*degC": {"°C", 0.1, 0},
	"m/min": {"m/s", 60, 0}, "ft/min": {"ft/s", 60, 0}, "dm/s": {"m/s", 10, 0}, "mm/s": {"m/s", 1000, 0}, "0.1 km/h": {"km/h", 10, 0}, "km/h x10": {"km/h", 10, 0},
	"gal": {"cm/s2", 1, 0}, "mm/s²": {"m/s2", 1000, 0}, "G's": {"g", 1, 0}, "0.01 g": {"g", 100, 0}, "km/h/s": {"m/s2", 3.6, 0}, "mph/s": {"m/s2", 3600 / 1609.344, 0},
	"Hz": {"rev/s", 1, 0}, "x1000 rpm": {"krpm", 1, 0}, "rpm*10": {"rpm", 0.1, 0}, "rpm/100": {"rpm", 0.01, 0}, "rpm x1000": {"krpm", 1, 0}, "kHz": {"rev/s", 1e-3, 0},
	"afr gas": {"AFR", 1, 0}, ":1": {"AFR", 1, 0}, "-": {"lambda", 1, 0}, "Lambda x1000": {"lambda", 1000, 0}, "%": {"%", 1, 0},
	"‰": {"0-1", 1000, 0}, "1": {"0-1", 1, 0}, "0..1": {"0-1", 1, 0}, "0..255": {"0-1", 255, 0}, "counts/1000": {"0-1", 1000, 0},
	"psi(g)": {"psi gauge", 1, 0}, "inHgA": {"inHg abs", 1, 0}, "kgf/cm2 g": {"kg/cm2 gauge", 1, 0},
}
