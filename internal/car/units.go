package car

import "math"

// unit is one way of writing a dimension in a key: the SI value is
// factor·x + offset.
type unit struct {
	suffix string
	factor float64 // SI units for one of this unit
	offset float64 // SI units
}

// dim is a dimension with the units in which its keys may be written. The first
// is the one that messages and the commented sheet use.
type dim struct {
	name  string
	units []unit
	twin  string // the unit of the other habit, for the commented sheet; "" none
}

// isShare tells whether a bare figure is a fraction of one.
func (d dim) isShare() bool {
	return len(d.units) > 1 && d.units[0].suffix == "" && d.units[1].suffix == "pct"
}

// Factors are exact by definition (NIST SP 811, 2008, appendix B, and the
// international yard and pound) or follow from such; see docs/car-sheet.md.
const (
	pound      = 0.45359237                 // kg
	inch       = 0.0254                     // m
	foot       = 0.3048                     // m
	mile       = 1609.344                   // m
	gravity    = 9.80665                    // m/s²
	poundForce = pound * gravity            // N
	psi        = poundForce / (inch * inch) // Pa
	inHg       = 3386.38864                 // Pa, conventional, 0 °C
	mmHg       = 133.322387415              // Pa, conventional
	atmosphere = 101325.0                   // Pa, the standard one
	horsepower = 550 * foot * poundForce    // W
	metricHP   = 75 * gravity               // W
	gallonUS   = 231 * inch * inch * inch   // m³
	rpm        = math.Pi / 30               // rad/s
	degree     = math.Pi / 180              // rad
	knot       = 1852.0 / 3600              // m/s
	celsius    = 273.15                     // K
	// injectorPoundHour is what the trade takes one pound an hour of injector
	// rating for: 10.5 cm³/min (common practice, no source; gasoline of
	// 0.72 kg/l).
	injectorPoundHour = 10.5e-6 / 60 // m³/s
)

var (
	plain = dim{"", []unit{{"", 1, 0}}, ""}
	share = dim{"", []unit{{"", 1, 0}, {"pct", 0.01, 0}}, ""}

	share100 = dim{"", []unit{{"pct", 0.01, 0}, {"", 1, 0}}, ""}

	dimMass   = dim{"mass", []unit{{"kg", 1, 0}, {"lb", pound, 0}}, "lb"}
	dimArea   = dim{"area", []unit{{"m2", 1, 0}, {"ft2", foot * foot, 0}}, "ft2"}
	dimLength = dim{"length", []unit{{"m", 1, 0}, {"mm", 1e-3, 0}, {"cm", 1e-2, 0}, {"in", inch, 0}, {"ft", foot, 0}}, "in"}
	// dimBore is dimLength as engine builders write it.
	dimBore = dim{"length", []unit{{"mm", 1e-3, 0}, {"m", 1, 0}, {"cm", 1e-2, 0}, {"in", inch, 0}}, "in"}
	// dimDistance is for strips.
	dimDistance = dim{"length", []unit{{"m", 1, 0}, {"ft", foot, 0}, {"km", 1000, 0}, {"mile", mile, 0}, {"miles", mile, 0}, {"in", inch, 0}, {"mm", 1e-3, 0}, {"cm", 1e-2, 0}}, "ft"}
	dimVolume   = dim{"volume", []unit{{"l", 1e-3, 0}, {"cc", 1e-6, 0}, {"cm3", 1e-6, 0}, {"in3", inch * inch * inch, 0}, {"cu_in", inch * inch * inch, 0}}, "in3"}
	dimDensity  = dim{"density", []unit{{"kg_m3", 1, 0}, {"kg_l", 1000, 0}, {"g_cm3", 1000, 0}, {"g_ml", 1000, 0}, {"lb_gal", pound / gallonUS, 0}}, "lb_gal"}
	dimSpeed    = dim{"speed", []unit{{"mps", 1, 0}, {"kmh", 1 / 3.6, 0}, {"kph", 1 / 3.6, 0}, {"mph", mile / 3600, 0}, {"kt", knot, 0}, {"kn", knot, 0}, {"fps", foot, 0}}, "mph"}
	// dimRoadSpeed is dimSpeed with the unit of the road first.
	dimRoadSpeed = dim{"speed", append([]unit{{"kmh", 1 / 3.6, 0}}, dimSpeed.units...), "mph"}
	dimTrapSpeed = dim{"speed", append([]unit{{"mph", mile / 3600, 0}}, dimSpeed.units...), "kmh"}
	dimRev       = dim{"speed of rotation", []unit{{"rpm", rpm, 0}, {"rad_s", 1, 0}, {"krpm", 1000 * rpm, 0}}, ""}
	dimTorque    = dim{"torque", []unit{{"nm", 1, 0}, {"lbft", poundForce * foot, 0}, {"lb_ft", poundForce * foot, 0}, {"ftlb", poundForce * foot, 0}, {"ft_lb", poundForce * foot, 0}, {"kgm", gravity, 0}}, "lbft"}
	dimPower     = dim{"power", []unit{{"kw", 1000, 0}, {"w", 1, 0}, {"hp", horsepower, 0}, {"ps", metricHP, 0}}, "hp"}
	dimInertia   = dim{"inertia", []unit{{"kg_m2", 1, 0}, {"kgm2", 1, 0}, {"kg_cm2", 1e-4, 0}, {"lb_ft2", pound * foot * foot, 0}, {"lb_in2", pound * inch * inch, 0}}, "lb_ft2"}
	dimTemp      = dim{"temperature", []unit{{"c", 1, celsius}, {"f", 5.0 / 9, celsius - 32*5.0/9}, {"k", 1, 0}}, "f"}
	dimAngle     = dim{"angle", []unit{{"deg", degree, 0}, {"rad", 1, 0}}, ""}
	dimTime      = dim{"time", []unit{{"s", 1, 0}, {"ms", 1e-3, 0}}, ""}

	dimVolumeFlow = dim{"volume flow", []unit{{"l_min", 1e-3 / 60, 0}, {"cc_min", 1e-6 / 60, 0}, {"l_h", 1e-3 / 3600, 0}, {"gal_h", gallonUS / 3600, 0}, {"lb_h", injectorPoundHour, 0}, {"lb_hr", injectorPoundHour, 0}}, "cc_min"}
	// dimPumpFlow is dimVolumeFlow in the unit in which pumps are rated.
	dimPumpFlow = dim{"volume flow", []unit{{"l_h", 1e-3 / 3600, 0}, {"gal_h", gallonUS / 3600, 0}, {"l_min", 1e-3 / 60, 0}, {"cc_min", 1e-6 / 60, 0}, {"lb_h", injectorPoundHour, 0}, {"lb_hr", injectorPoundHour, 0}}, "gal_h"}
	dimMassFlow = dim{"mass flow", []unit{{"kg_s", 1, 0}, {"g_s", 1e-3, 0}, {"kg_h", 1.0 / 3600, 0}, {"lb_min", pound / 60, 0}, {"lb_h", pound / 3600, 0}}, "lb_min"}

	dimDifference = dim{"pressure difference", []unit{{"kpa", 1000, 0}, {"bar", 1e5, 0}, {"psi", psi, 0}, {"pa", 1, 0}, {"hpa", 100, 0}, {"mbar", 100, 0}, {"kg_cm2", 1e4 * gravity, 0}, {"inhg", inHg, 0}}, "psi"}
	dimGauge      = dim{"gauge pressure", append(dimDifference.units[:8:8],
		unit{"psig", psi, 0}, unit{"barg", 1e5, 0}, unit{"kpag", 1000, 0}), "psi"}
	dimBar = dim{"pressure difference", append([]unit{{"bar", 1e5, 0}}, dimDifference.units...), "psi"}
	// dimTyre is gauge pressure in the unit of a tyre gauge.
	dimTyre     = dim{"gauge pressure", append([]unit{{"bar", 1e5, 0}}, dimGauge.units...), "psi"}
	dimAbsolute = dim{"absolute pressure", append(dimDifference.units[:8:8],
		unit{"mmhg", mmHg, 0}, unit{"psia", psi, 0}, unit{"bara", 1e5, 0}, unit{"kpaa", 1000, 0},
		unit{"psig", psi, atmosphere}, unit{"barg", 1e5, atmosphere}, unit{"kpag", 1000, atmosphere}), "psig"}
	// Weather services give hectopascals or inches of mercury.
	dimBarometer = dim{"air pressure", append([]unit{{"hpa", 100, 0}, {"inhg", inHg, 0}, {"mbar", 100, 0}, {"mb", 100, 0}, {"mmhg", mmHg, 0}}, dimDifference.units[:4]...), "inhg"}
)

// key spells a stem with a unit's suffix and a tail: ("usual_boost", "kpa",
// "_by_gear") gives "usual_boost_kpa_by_gear".
func key(stem, suffix, tail string) string {
	if suffix == "" {
		return stem + tail
	}
	return stem + "_" + suffix + tail
}
