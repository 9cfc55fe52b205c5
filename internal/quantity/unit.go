package quantity

import "math"

// Dimension is what a unit measures. Two quantities of one dimension can be
// written in the same units.
type Dimension string

// The dimensions, each with the SI unit to which its units convert.
const (
	DimNumber       Dimension = ""             // 1: counts, gears, switches, readings as logged
	DimTime         Dimension = "time"         // s
	DimLength       Dimension = "length"       // m
	DimSpeed        Dimension = "speed"        // m/s
	DimAcceleration Dimension = "acceleration" // m/s²
	DimAngle        Dimension = "angle"        // rad
	DimRotation     Dimension = "rotation"     // rad/s
	DimMass         Dimension = "mass"         // kg
	DimForce        Dimension = "force"        // N
	DimPressure     Dimension = "pressure"     // Pa
	DimTemperature  Dimension = "temperature"  // K
	DimTorque       Dimension = "torque"       // N·m
	DimPower        Dimension = "power"        // W
	DimEnergy       Dimension = "energy"       // J
	DimDensity      Dimension = "density"      // kg/m³
	DimMassFlow     Dimension = "mass flow"    // kg/s
	DimVolumeFlow   Dimension = "volume flow"  // m³/s
	DimVolume       Dimension = "volume"       // m³
	DimShare        Dimension = "share"        // 1
	DimMixture      Dimension = "mixture"      // 1, lambda
	DimVoltage      Dimension = "voltage"      // V
	DimCurrent      Dimension = "current"      // A
	DimFrequency    Dimension = "frequency"    // Hz
)

// Reference says from where a pressure counts.
type Reference int

// The references of a pressure.
const (
	NotStated    Reference = iota
	OverAmbient            // gauge: over the barometer
	OverVacuum             // absolute
	BelowAmbient           // vacuum gauge: positive below the barometer
)

// Unit is one way to write a dimension: SI value = Factor·x + Offset.
type Unit struct {
	Symbol    string // as this house spells it: "km/h", "psi"
	Dim       Dimension
	Factor    float64   // SI units for one of this unit
	Offset    float64   // SI units at zero of this unit
	Reference Reference // pressures only
}

// SI converts x, in the unit, to the SI unit of its dimension.
func (u Unit) SI(x float64) float64 { return u.Factor*x + u.Offset }

// Of converts si, in the SI unit of the dimension, to this unit.
func (u Unit) Of(si float64) float64 { return (si - u.Offset) / u.Factor }

// String is the symbol with the reference of a pressure: "psi gauge".
func (u Unit) String() string {
	switch u.Reference {
	case OverAmbient:
		return u.Symbol + " gauge"
	case OverVacuum:
		return u.Symbol + " abs"
	case BelowAmbient:
		return u.Symbol + " vacuum"
	}
	return u.Symbol
}

// Factors are exact by definition or built from exact ones (NIST SP 811, 2008,
// appendix B; international yard and pound, 1959) unless marked.
const (
	pound      = 0.45359237                 // kg
	inch       = 0.0254                     // m
	foot       = 0.3048                     // m
	mile       = 1609.344                   // m
	gravity    = 9.80665                    // m/s², standard
	poundForce = pound * gravity            // N
	psi        = poundForce / (inch * inch) // Pa
	inHg       = 3386.38864                 // Pa, conventional, 0 °C (rounded in SP 811 to 3386.389)
	mmHg       = 133.322387415              // Pa, conventional
	inH2O      = 249.0889                   // Pa, conventional, 4 °C
	atmosphere = 101325.0                   // Pa
	horsepower = 550 * foot * poundForce    // W
	metricHP   = 75 * gravity               // W
	gallonUS   = 231 * inch * inch * inch   // m³
	gallonUK   = 4.54609e-3                 // m³
	degree     = math.Pi / 180              // rad
	rpm        = math.Pi / 30               // rad/s
	knot       = 1852.0 / 3600              // m/s
	zeroC      = 273.15                     // K
)

// BoostVacuum is the scale of boost gauges that count psi over the barometer and, below
// zero, inches of mercury under it.
const BoostVacuum = "psi/inHg"

// SIBelow converts a reading below zero on the scale BoostVacuum to Pa.
func SIBelow(x float64) float64 { return inHg * x }

// GasolineAFR is the air-fuel ratio, kg/kg, that gauges on the gasoline scale
// print for lambda 1 (common practice).
const GasolineAFR = 14.7

// units is every unit that is understood, with its spellings in folded form
// (see fold). The first spelling is not special: the symbol is what is printed.
var units = []struct {
	Unit
	spellings string
}{
	{Unit{"s", DimTime, 1, 0, 0}, "s sec secs second seconds sek sekunden sekunde secondes segundos secondi 秒"},
	{Unit{"ms", DimTime, 1e-3, 0, 0}, "ms msec msecs millis millisec millisecond milliseconds millisekunden millisecondes"},
	{Unit{"µs", DimTime, 1e-6, 0, 0}, "us usec usecs micros microsecond microseconds mikrosekunden"},
	{Unit{"ns", DimTime, 1e-9, 0, 0}, "ns nsec nanos nanosecond nanoseconds"},
	{Unit{"min", DimTime, 60, 0, 0}, "min mins minute minutes minuten"},
	{Unit{"h", DimTime, 3600, 0, 0}, "h hr hrs hour hours stunden heures"},
	{Unit{"d", DimTime, 86400, 0, 0}, "day days tage"},

	{Unit{"m", DimLength, 1, 0, 0}, "m meter meters metre metres metro metri"},
	{Unit{"mm", DimLength, 1e-3, 0, 0}, "mm millimeter millimetre millimeters millimetres"},
	{Unit{"cm", DimLength, 1e-2, 0, 0}, "cm centimeter centimetre"},
	{Unit{"km", DimLength, 1000, 0, 0}, "km kilometer kilometre kilometers kilometres"},
	{Unit{"in", DimLength, inch, 0, 0}, "in inch inches zoll"},
	{Unit{"ft", DimLength, foot, 0, 0}, "ft foot feet"},
	{Unit{"yd", DimLength, 3 * foot, 0, 0}, "yd yard yards"},
	{Unit{"mile", DimLength, mile, 0, 0}, "mi mile miles"},

	{Unit{"m/s", DimSpeed, 1, 0, 0}, "m/s mps m/sec ms-1 ms^-1 m.s-1 m/sek meter/s"},
	{Unit{"km/h", DimSpeed, 1 / 3.6, 0, 0}, "km/h kmh kph kmph km/hr km/std km/t kmh-1 km.h-1 kilometer/h km/hod km/tim км/ч 时速"},
	{Unit{"mph", DimSpeed, mile / 3600, 0, 0}, "mph mi/h mile/h miles/h mi/hr miles/hour mile/hour"},
	{Unit{"m/min", DimSpeed, 1.0 / 60, 0, 0}, "m/min"},
	{Unit{"ft/min", DimSpeed, foot / 60, 0, 0}, "ft/min feet/min"},
	{Unit{"dm/s", DimSpeed, 0.1, 0, 0}, "dm/s"},
	{Unit{"mm/s", DimSpeed, 1e-3, 0, 0}, "mm/s"},
	{Unit{"cm/s", DimSpeed, 1e-2, 0, 0}, "cm/s cm/sec"},
	{Unit{"ft/s", DimSpeed, foot, 0, 0}, "ft/s fps ft/sec feet/s"},
	{Unit{"kn", DimSpeed, knot, 0, 0}, "kn kt kts knot knots knoten noeuds"},

	{Unit{"m/s²", DimAcceleration, 1, 0, 0}, "m/s2 m/s/s mps2 ms2 m/s^2 m/s**2 m/ss ms-2 m.s-2 m/sec2 m/sec^2 m/sec/sec"},
	{Unit{"g", DimAcceleration, gravity, 0, 0}, "g gs gn g0 gee g's"},
	{Unit{"mg", DimAcceleration, gravity / 1000, 0, 0}, "mg milli-g"},
	{Unit{"cm/s²", DimAcceleration, 1e-2, 0, 0}, "cm/s2 cm/s/s cm/s^2"},
	{Unit{"mm/s²", DimAcceleration, 1e-3, 0, 0}, "mm/s2 mm/s/s mm/s^2"},
	{Unit{"km/h/s", DimAcceleration, 1 / 3.6, 0, 0}, "km/h/s kmh/s kph/s (km/h)/s"},
	{Unit{"mph/s", DimAcceleration, mile / 3600, 0, 0}, "mph/s"},
	{Unit{"ft/s²", DimAcceleration, foot, 0, 0}, "ft/s2 ft/s/s ft/s^2"},

	{Unit{"deg", DimAngle, degree, 0, 0}, "deg degree degrees grad grade degres degre gradi grados graus stopnie stupne grader ° º dg 度"},
	{Unit{"deg", DimAngle, degree, 0, 0}, "degbtdc dbtdc degca deg.ca °ka °kw °ca °btdc °crank degcrank degka degkw degbefore tdc btdc °vot gradkw degvot °cs °av.pmh"},
	{Unit{"rad", DimAngle, 1, 0, 0}, "rad radian radians"},
	{Unit{"mrad", DimAngle, 1e-3, 0, 0}, "mrad"},
	{Unit{"arcmin", DimAngle, degree / 60, 0, 0}, "arcmin '"},

	{Unit{"rpm", DimRotation, rpm, 0, 0}, "rpm r/min rev/min revs/min revs u/min 1/min min-1 min^-1 /min upm tr/min trs/min tr/mn trmin t/min giri/min g/min giri rot/min obr/min ot/min omw/min toeren/min varv/min v/min kierr/min o/min об/мин 回転/分 rpms rev.min-1 umin umdr/min ford/min omdr/min turn/min turns/min obr./min ot./min omw./min umdr./min varv./min"},
	{Unit{"krpm", DimRotation, 1000 * rpm, 0, 0}, "krpm rpm*1000 rpmx1000 x1000rpm 1000rpm rpm/1000 kr/min 1000/min u/minx1000"},
	{Unit{"10 rpm", DimRotation, 10 * rpm, 0, 0}, "rpm*10 rpmx10 x10rpm 10rpm rpm/10"},
	{Unit{"100 rpm", DimRotation, 100 * rpm, 0, 0}, "rpm/100 rpm*100 rpmx100 x100rpm 100rpm 100r/min"},
	{Unit{"rad/s", DimRotation, 1, 0, 0}, "rad/s rad/sec rads rads-1 rps_rad"},
	{Unit{"deg/s", DimRotation, degree, 0, 0}, "deg/s deg/sec °/s dps degrees/s °/sec degs grad/s º/s"},
	{Unit{"rev/s", DimRotation, 2 * math.Pi, 0, 0}, "rev/s r/s rps 1/s u/s tr/s"},

	{Unit{"kg", DimMass, 1, 0, 0}, "kg kilogram kilograms kilo"},
	{Unit{"g", DimMass, 1e-3, 0, 0}, "gram grams gramm grammes"},
	{Unit{"lb", DimMass, pound, 0, 0}, "lb lbs lbm pound pounds"},
	{Unit{"N", DimForce, 1, 0, 0}, "n newton newtons"},
	{Unit{"lbf", DimForce, poundForce, 0, 0}, "lbf"},

	{Unit{"Pa", DimPressure, 1, 0, 0}, "pa pascal n/m2 n/m^2"},
	{Unit{"hPa", DimPressure, 100, 0, 0}, "hpa hectopascal"},
	{Unit{"kPa", DimPressure, 1000, 0, 0}, "kpa kilopascal kpas кпа"},
	{Unit{"MPa", DimPressure, 1e6, 0, 0}, "mpa megapascal n/mm2 n/mm^2"},
	{Unit{"dbar", DimPressure, 1e4, 0, 0}, "dbar decibar"},
	{Unit{"ksi", DimPressure, 1000 * psi, 0, 0}, "ksi kpsi"},
	{Unit{"mbar", DimPressure, 100, 0, 0}, "mbar mb millibar"},
	{Unit{"bar", DimPressure, 1e5, 0, 0}, "bar bars"},
	{Unit{"psi", DimPressure, psi, 0, 0}, "psi lb/in2 lbf/in2 lbs/in2 lbs pounds/in2 psid"},
	{Unit{BoostVacuum, DimPressure, psi, 0, OverAmbient}, "psi/inhg psi/-inhg psi-inhg psi|inhg"},
	{Unit{"atm", DimPressure, atmosphere, 0, 0}, "atm atmospheres"},
	{Unit{"kg/cm²", DimPressure, 1e4 * gravity, 0, 0}, "kg/cm2 kgf/cm2 kp/cm2 kg/cm^2 kgf/cm^2 at"},
	{Unit{"inHg", DimPressure, inHg, 0, 0}, `inhg in-hg "hg inchhg in.hg`},
	{Unit{"mmHg", DimPressure, mmHg, 0, 0}, "mmhg torr"},
	{Unit{"cmHg", DimPressure, 10 * mmHg, 0, 0}, "cmhg"},
	{Unit{"inH2O", DimPressure, inH2O, 0, 0}, "inh2o inwc inaq"},
	{Unit{"mmH2O", DimPressure, gravity, 0, 0}, "mmh2o mmws mmaq"},

	{Unit{"°C", DimTemperature, 1, zeroC, 0}, "c °c degc deg.c degreec degreesc celsius gradc gradcelsius º c ºc centigrade degcelsius degreescelsius ℃ oc stc st.c"},
	{Unit{"°F", DimTemperature, 5.0 / 9, zeroC - 32*5.0/9, 0}, "f °f degf deg.f degreef degreesf fahrenheit ºf degfahrenheit degreesfahrenheit ℉"},
	{Unit{"°R", DimTemperature, 5.0 / 9, 0, 0}, "°r degr rankine degreesrankine"},
	{Unit{"K", DimTemperature, 1, 0, 0}, "k kelvin degk °k"},

	{Unit{"N·m", DimTorque, 1, 0, 0}, "nm n-m n*m n·m n.m newtonmeter newtonmetre"},
	{Unit{"lb-ft", DimTorque, poundForce * foot, 0, 0}, "lb-ft lbft ft-lb ftlb ftlbs ft-lbs lb.ft lbfft lbf-ft ft-lbf lb*ft ft.lb lbsft ft*lb ftlbf ft·lb lb·ft"},
	{Unit{"kgf·m", DimTorque, gravity, 0, 0}, "kgm kgfm kg-m kgf-m kgf·m mkg kg.m"},

	{Unit{"W", DimPower, 1, 0, 0}, "w watt watts"},
	{Unit{"kW", DimPower, 1000, 0, 0}, "kw kilowatt"},
	{Unit{"hp", DimPower, horsepower, 0, 0}, "hp bhp whp"},
	{Unit{"metric hp", DimPower, metricHP, 0, 0}, "ps cv ch pk hk metrichp km_mech"},
	{Unit{"kJ", DimEnergy, 1000, 0, 0}, "kj"},
	{Unit{"J", DimEnergy, 1, 0, 0}, "j joule"},

	{Unit{"kg/m³", DimDensity, 1, 0, 0}, "kg/m3 kg/m^3"},

	{Unit{"kg/s", DimMassFlow, 1, 0, 0}, "kg/s kg/sec"},
	{Unit{"g/s", DimMassFlow, 1e-3, 0, 0}, "g/s g/sec gr/s gram/s grams/s gps"},
	{Unit{"mg/s", DimMassFlow, 1e-6, 0, 0}, "mg/s"},
	{Unit{"g/min", DimMassFlow, 1e-3 / 60, 0, 0}, "gr/min gram/min"},
	{Unit{"kg/h", DimMassFlow, 1.0 / 3600, 0, 0}, "kg/h kg/hr kgh kgph kg/std"},
	{Unit{"kg/min", DimMassFlow, 1.0 / 60, 0, 0}, "kg/min"},
	{Unit{"lb/min", DimMassFlow, pound / 60, 0, 0}, "lb/min lbs/min lbm/min ppm_mass lb/m"},
	{Unit{"lb/h", DimMassFlow, pound / 3600, 0, 0}, "lb/h lb/hr lbs/h lbs/hr pph lbm/h lbm/hr"},
	{Unit{"lb/s", DimMassFlow, pound, 0, 0}, "lb/s lbm/s"},

	{Unit{"m³/s", DimVolumeFlow, 1, 0, 0}, "m3/s"},
	{Unit{"m³/h", DimVolumeFlow, 1.0 / 3600, 0, 0}, "m3/h"},
	{Unit{"L/min", DimVolumeFlow, 1e-3 / 60, 0, 0}, "l/min dm3/min lpm liter/min litre/min liters/min litres/min ltr/min"},
	{Unit{"L/h", DimVolumeFlow, 1e-3 / 3600, 0, 0}, "l/h dm3/h l/hr lph liter/h litre/h liters/h litres/h ltr/h"},
	{Unit{"L/s", DimVolumeFlow, 1e-3, 0, 0}, "l/s"},
	{Unit{"mL/min", DimVolumeFlow, 1e-6 / 60, 0, 0}, "cc/min ccm/min ml/min cm3/min ccmin cc/m"},
	{Unit{"mL/s", DimVolumeFlow, 1e-6, 0, 0}, "cc/s ml/s cm3/s"},
	{Unit{"gal/h", DimVolumeFlow, gallonUS / 3600, 0, 0}, "gal/h gal/hr gph usgal/h usgph"},
	{Unit{"gal/min", DimVolumeFlow, gallonUS / 60, 0, 0}, "gal/min gpm usgal/min usgpm"},
	{Unit{"imp gal/h", DimVolumeFlow, gallonUK / 3600, 0, 0}, "impgal/h ukgal/h"},
	{Unit{"cfm", DimVolumeFlow, foot * foot * foot / 60, 0, 0}, "cfm ft3/min"},
	{Unit{"L", DimVolume, 1e-3, 0, 0}, "l liter litre liters litres ltr"},
	{Unit{"gal", DimVolume, gallonUS, 0, 0}, "gal gallon gallons"},

	{Unit{"%", DimShare, 0.01, 0, 0}, "% pct percent prozent procent procento pourcent percento porcentaje ％ perc prc %dc %duty vol% %vol vol.% vol.-% %(v/v)"},
	{Unit{"‰", DimShare, 0.001, 0, 0}, "‰ permille promille"},
	{Unit{"0–255", DimShare, 1.0 / 255, 0, 0}, "0-255 0..255 0…255 0–255"},
	{Unit{"0–1", DimShare, 1, 0, 0}, "0-1 0..1 0…1 ratio 0–1 fraction frac 1/1"},

	{Unit{"lambda", DimMixture, 1, 0, 0}, "λ lambda la lam lambdas"},
	{Unit{"AFR gasoline", DimMixture, 1 / GasolineAFR, 0, 0}, "afr a/f :1 air/fuel airfuel afrgasoline afrgas gasafr l/k"},

	{Unit{"V", DimVoltage, 1, 0, 0}, "v volt volts vdc voltios в"},
	{Unit{"mV", DimVoltage, 1e-3, 0, 0}, "mv millivolt millivolts"},
	{Unit{"A", DimCurrent, 1, 0, 0}, "a amp amps ampere amperes"},
	{Unit{"mA", DimCurrent, 1e-3, 0, 0}, "ma milliamp"},
	{Unit{"Hz", DimFrequency, 1, 0, 0}, "hz hertz"},
	{Unit{"kHz", DimFrequency, 1000, 0, 0}, "khz"},

	{Unit{"0/1", DimNumber, 1, 0, 0}, "0/1 on/off bool boolean flag ein/aus logic an/aus"},
	{Unit{"", DimNumber, 1, 0, 0}, "- -- — – none n/a na cts bit bits keine ohne sans unitless count counts # 1 dimensionless - / nil null nr no. [-] () number num zahl enum state raw"},
}
