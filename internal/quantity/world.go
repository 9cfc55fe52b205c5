package quantity

import (
	"math"
	"strconv"
	"strings"
)

// World is a set of units in which one person thinks. Values go in as SI and
// come out as text; the zero World prints SI.
type World struct {
	Name  string
	units map[Dimension]worldUnit
}

type worldUnit struct {
	Unit
	decimals int // printed when no standard deviation says how many are supported
}

func world(name string, list map[string]int) World {
	w := World{name, map[Dimension]worldUnit{}}
	for spelling, decimals := range list {
		u := MustUnit(spelling)
		w.units[u.Dim] = worldUnit{u, decimals}
	}
	return w
}

// The two usual worlds. Both are first class: a car has one, a viewer may have
// the other.
var (
	Imperial = world("imperial", map[string]int{"psi": 1, "lb-ft": 0, "mph": 2, "°F": 0, "AFR": 2, "hp": 0, "lb": 0, "ft": 1,
		"lb/h": 0, "gal/h": 1, "rpm": 0, "deg": 1, "%": 1, "g": 2, "s": 3, "V": 2, "lbf": 0, "kg/m³": 4, "Hz": 0})
	Metric = world("metric", map[string]int{"kPa": 0, "N·m": 0, "km/h": 2, "°C": 0, "lambda": 3, "kW": 0, "kg": 0, "m": 1,
		"kg/h": 0, "L/min": 2, "rpm": 0, "deg": 1, "%": 1, "g": 2, "s": 3, "V": 2, "N": 0, "kg/m³": 4, "Hz": 0})
)

// WorldByName gives Imperial or Metric by its name; ok is false otherwise.
func WorldByName(name string) (w World, ok bool) {
	switch strings.ToLower(strings.TrimSpace(name)) {
	case "imperial", "us":
		return Imperial, true
	case "metric":
		return Metric, true
	case "si":
		return World{Name: "si"}, true
	}
	return World{}, false
}

// Unit is the unit in which w prints a dimension.
func (w World) Unit(d Dimension) Unit { return w.of(d).Unit }

func (w World) of(d Dimension) worldUnit {
	if u, ok := w.units[d]; ok {
		return u
	}
	return worldUnit{Unit{Symbol: strings.TrimSuffix(SISymbol(d), "1"), Dim: d, Factor: 1}, 3}
}

// Of converts an SI value of a dimension to w's unit.
func (w World) Of(d Dimension, si float64) float64 { return w.of(d).Of(si) }

// SI converts a value in w's unit to the SI unit of its dimension.
func (w World) SI(d Dimension, x float64) float64 { return w.of(d).SI(x) }

// Parts gives the pieces of a printed value: the number, its standard deviation
// ("" when sd is zero or not finite) and the unit. si and sd are in the SI unit
// of the dimension. The number has the digits that sd supports, but of times and
// speeds no more than people read: a thousandth of a second, a hundredth of a mph.
func (w World) Parts(d Dimension, si, sd float64) (number, spread, unit string) {
	u := w.of(d)
	s := math.Abs(sd / u.Factor)
	if s == 0 || math.IsNaN(s) || math.IsInf(s, 0) {
		return fixed(u.Of(si), u.decimals), "", u.symbol()
	}
	n := supported(s)
	if most, ok := readable[d]; ok && n > most {
		n, s = most, max(s, math.Pow(10, -float64(most)))
	}
	return fixed(u.Of(si), n), fixed(s, n), u.symbol()
}

// readable are the most decimals that are printed of a dimension.
var readable = map[Dimension]int{DimTime: 3, DimSpeed: 2}

// symbol leaves out what a reader takes for granted.
func (u worldUnit) symbol() string {
	if u.Dim == DimMixture && u.Symbol == "AFR gasoline" {
		return "AFR"
	}
	return u.Symbol
}

// Text prints an SI value of a dimension with its unit: "201.34 mph".
func (w World) Text(d Dimension, si float64) string {
	number, _, unit := w.Parts(d, si, 0)
	return join(number, unit)
}

// Estimate prints an estimate, in SI units, with the digits that its standard deviation
// supports: "201.34 ± 0.05 mph"; "at least 515 lb-ft" for a bound.
func (w World) Estimate(d Dimension, e Estimate) string {
	number, spread, unit := w.Parts(d, e.Value, e.SD)
	out := number
	if spread != "" {
		out += " ± " + spread
	}
	if e.LowerBound {
		out = "at least " + out
	}
	return join(out, unit)
}

// Rounded prints a value with the digits that a standard deviation supports and leaves the
// deviation out: "184.7 mph" where it is some 1.6. Both are in the SI unit of d.
func (w World) Rounded(d Dimension, si, sd float64) string {
	number, _, unit := w.Parts(d, si, sd)
	return join(number, unit)
}

// Signed is Rounded, of values in the SI unit of d, with its sign: "+0.2 mph".
func (w World) Signed(d Dimension, si, sd float64) string {
	s := w.Rounded(d, si, sd)
	if !strings.HasPrefix(s, "-") {
		s = "+" + s
	}
	return s
}

// Between prints two bounds, in the SI unit of d, with the digits that the standard deviation of what lies
// between them supports, joined by a word: "184.9 and 189.3 mph".
func (w World) Between(d Dimension, low, high, sd float64, word string) string {
	from, _, _ := w.Parts(d, low, sd)
	to, _, unit := w.Parts(d, high, sd)
	return from + " " + word + " " + join(to, unit)
}

// Stated prints, of a value in the SI unit of d, what people state, such as an aim or the length of a strip, without
// decimals that they did not: "192 mph", "192.5 mph", "5577 ft".
func (w World) Stated(d Dimension, si float64) string {
	u := w.of(d)
	most := 1
	if d == DimLength || math.Abs(u.Of(si)) >= 1000 {
		most = 0
	}
	number := fixed(u.Of(si), most)
	if strings.Contains(number, ".") {
		number = strings.TrimRight(strings.TrimRight(number, "0"), ".")
	}
	return join(number, u.symbol())
}

// Value prints a value, in the SI unit of the named quantity.
func (w World) Value(q Name, si float64) string { return w.Text(DimensionOf(q), si) }

func join(number, unit string) string {
	switch unit {
	case "":
		return number
	case "lambda":
		return "lambda " + number
	}
	return number + " " + unit
}

// Speed prints a speed, m/s.
func (w World) Speed(v float64) string { return w.Text(DimSpeed, v) }

// Pressure prints a pressure or a difference of pressures, Pa.
func (w World) Pressure(p float64) string { return w.Text(DimPressure, p) }

// Torque prints a torque, N·m.
func (w World) Torque(t float64) string { return w.Text(DimTorque, t) }

// Power prints a power, W.
func (w World) Power(p float64) string { return w.Text(DimPower, p) }

// Temperature prints a temperature, K.
func (w World) Temperature(t float64) string { return w.Text(DimTemperature, t) }

// Length prints a length, m.
func (w World) Length(x float64) string { return w.Text(DimLength, x) }

// Rotation prints a speed of rotation, rad/s.
func (w World) Rotation(omega float64) string { return w.Text(DimRotation, omega) }

// Mixture prints lambda, 1, in w's scale.
func (w World) Mixture(lambda float64) string { return w.Text(DimMixture, lambda) }

// Duration prints a time, s.
func (w World) Duration(t float64) string { return w.Text(DimTime, t) }

// Angle prints an angle, rad.
func (w World) Angle(a float64) string { return w.Text(DimAngle, a) }

// Share prints a share, 0–1, as per cent.
func (w World) Share(x float64) string { return w.Text(DimShare, x) }

// Mass prints a mass, kg.
func (w World) Mass(m float64) string { return w.Text(DimMass, m) }

// MassFlow prints a mass flow, kg/s.
func (w World) MassFlow(m float64) string { return w.Text(DimMassFlow, m) }

// Acceleration prints an acceleration, m/s².
func (w World) Acceleration(a float64) string { return w.Text(DimAcceleration, a) }

// supported is the number of decimals that a standard deviation supports: its
// first two digits are kept when they are below 36, else only the first (the
// rounding rule of the Particle Data Group's reviews, from memory). It is
// negative for whole tens, hundreds and so on.
func supported(sd float64) int {
	e := int(math.Floor(math.Log10(sd)))
	lead := sd / math.Pow(10, float64(e))
	switch {
	case lead < 3.55:
		return 1 - e
	case lead < 9.5:
		return -e
	}
	return -e // 9.5 to 10 rounds to 10: two digits of the next decade
}

// fixed prints with n decimals; negative n rounds to whole tens and so on.
func fixed(x float64, n int) string {
	if n < 0 {
		p := math.Pow(10, float64(-n))
		x, n = math.Round(x/p)*p, 0
	}
	s := strconv.FormatFloat(x, 'f', min(n, 12), 64)
	if strings.HasPrefix(s, "-") && strings.Trim(s, "-0.") == "" {
		s = s[1:]
	}
	return s
}
