package health

import (
	"fmt"
	"math"
	"strings"

	"traplight/internal/prose"
	"traplight/internal/quantity"
)

// size tells a departure in the user's units.
func (j *judge) size(o *observation, v float64) string {
	w := j.opts.Units
	switch o.measure {
	case ofPressure:
		return w.Pressure(math.Abs(v))
	case ofTemperature:
		// A difference: scale without the zero of the thermometer.
		u := w.Unit(quantity.DimTemperature)
		return fmt.Sprintf("%.0f %s", math.Abs(v)/u.Factor, u.Symbol)
	case ofShare:
		return fmt.Sprintf("%.1f %%", 100*math.Abs(math.Expm1(v)))
	case ofLambda:
		if w.Unit(quantity.DimMixture).Symbol != "lambda" && w.Name == "imperial" {
			return fmt.Sprintf("%.2f AFR", math.Abs(v)*14.7)
		}
		return fmt.Sprintf("%.3f lambda", math.Abs(v))
	case ofSpeed:
		return w.Rotation(math.Abs(v))
	case ofAngle:
		return w.Angle(math.Abs(v))
	case ofVoltage:
		return fmt.Sprintf("%.2f V", math.Abs(v))
	case ofVelocity:
		return w.Speed(math.Abs(v))
	case ofRate:
		return w.Pressure(math.Abs(v)) + " a second"
	case ofAcceleration:
		return w.Acceleration(math.Abs(v))
	}
	return fmt.Sprint(v)
}

func (j *judge) gearAt(t float64) int {
	for i, x := range j.t {
		if x >= t {
			return j.gear[i]
		}
	}
	return 0
}

var ordinal = []string{"", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth"}

// when says where in the pass a moment lies.
func (j *judge) when(t float64) string {
	s := fmt.Sprintf("%.1f s after the launch", t-j.launch)
	if t < j.launch {
		return "before the launch"
	}
	if g := j.gearAt(t); g > 0 && g < len(ordinal) && !j.noGears {
		s += ", in " + ordinal[g] + " gear"
	}
	return s
}

// sentence is the evidence in the user's units.
func (j *judge) sentence(c *candidate, start float64) string {
	o := c.main
	if o.rows == nil || o.ruled {
		return fmt.Sprintf("%s, from %s.", prose.Upper(o.said), j.when(start))
	}
	up, down := o.ways("above", "below")
	way := up
	if o.sign() < 0 {
		way = down
	}
	basis := "what the car's earlier passes show at the same conditions"
	switch {
	case o.stretch:
		basis = "what it was just before in the same gear"
		if j.noGears {
			basis = "what it was just before, between two shifts"
		}
	case len(j.past) == 0:
		basis = "what the rest of this pass and physics make likely"
	}
	from := "from " + j.when(start)
	if o.start < j.launch-0.2 {
		from = "already before the launch"
	}
	switch {
	case o.on != nil:
		from = "as long as it idled"
	case o.fromFirst() && o.rows.T[0] > j.launch+lateLook:
		from = "from the first moment that can be compared, " + j.when(o.rows.T[0])
	case o.fromFirst():
		from = "for the whole pass"
	}
	if o.hit.Shape.Beyond > 0 {
		from += ", wherever the engine takes the most air"
	}
	s := fmt.Sprintf("%s %s %s %s, %s", prose.Upper(o.subject()), j.size(o, o.came()), way, basis, from)
	if c.channel != "" {
		s = fmt.Sprintf("%s; what else would follow from it in the engine did not, so the sensor is doubted", s)
	}
	if o.said != "" {
		s += "; " + o.said
	}
	for _, x := range c.covered {
		if x == o || x.evidence < 3 || x.rows == nil {
			continue
		}
		if x.ruled {
			s += "; " + x.said
			continue
		}
		if up, down := x.ways("up", "down"); x.sign() < 0 {
			s += fmt.Sprintf("; %s %s", x.subject(), x.by(down, j.size(x, x.came())))
		} else {
			s += fmt.Sprintf("; %s %s", x.subject(), x.by(up, j.size(x, x.came())))
		}
	}
	return s + "."
}

// lateLook is the time after the launch, s, from which a comparison cannot claim to hold for
// the whole pass.
const lateLook = 4.0

// subject is what a sentence says of a watch: people say mixture for lambda.
func (o *observation) subject() string {
	if o.measure == ofLambda {
		return strings.Replace(o.title, "lambda", "mixture", 1)
	}
	return o.title
}

// ways are the words for a departure upward and downward.
func (o *observation) ways(up, down string) (string, string) {
	if o.measure != ofLambda {
		return up, down
	}
	if up == "above" {
		return "leaner than", "richer than"
	}
	return "leaner", "richer"
}

// by joins a way and a size: up 3 kPa, leaner by 0.03 lambda.
func (o *observation) by(way, size string) string {
	if o.measure == ofLambda {
		way += " by"
	}
	return way + " " + size
}

// lookAt is what to look at first, by kind: common practice, no source.
var lookAt = map[Kind][]string{
	CylinderDown:      {"read the plugs", "leak-down test of the cylinder that stands out", "injector and coil of that cylinder", "cut the oil filter open"},
	Ignition:          {"plugs and their gap", "coils and their wiring", "voltage at the coils under load", "crank and cam sensor signals"},
	BoostLeak:         {"couplings and clamps behind the compressor", "pressure-test the intake from the turbo on", "cooler end tanks", "blow-off valve"},
	Underboost:        {"wastegate: actuator, spring, hose", "boost control solenoid and its lines", "target and gear tables in the engine computer", "exhaust leak before the turbine"},
	Overboost:         {"wastegate: does it open, hose on, line blocked", "boost control solenoid", "target in the engine computer"},
	TurboOverspeed:    {"air filter and inlet duct", "compressor wheel and nut", "shaft play", "leak behind the compressor"},
	TurbineChoke:      {"exhaust after the turbine: anything loose or collapsed", "turbine wheel and housing", "wastegate"},
	FuelSupply:        {"fuel filter and strainer", "pumps: current, voltage, flow", "regulator and its reference hose", "level and pick-up in the tank"},
	MixtureLean:       {"injectors: flow test", "fuel in the tank against the tune (ethanol content)", "lambda sensor and exhaust leak before it", "read the plugs"},
	MixtureImbalance:  {"injectors of that bank", "plugs of both banks side by side", "lambda and exhaust temperature sensors swapped over"},
	OilSupply:         {"oil level", "pick-up, pump and relief valve", "cut the oil filter open", "bearings before it is started again"},
	CoolantPressure:   {"head gasket: combustion gas in the coolant", "cap and level", "hoses and radiator", "water in the oil"},
	CrankcasePressure: {"leak-down test", "breather and catch tank", "compression of every cylinder"},
	Overheat:          {"coolant level and bleed", "thermostat and pump", "radiator and fan", "head gasket"},
	ChargeHeat:        {"ice, water and pump of the cooler", "air path to the cooler", "temperature sensor"},
	Knock:             {"read the plugs for specks", "fuel quality and ethanol content", "ignition and charge temperature", "leak-down test"},
	Nitrous:           {"bottle pressure and valve", "solenoid, jet and filter", "fuel side of the system before it is armed again"},
	Throttle:          {"throttle plate and cable or motor", "pedal stop and calibration"},
	ClutchSlip:        {"clutch: wear, clamp load, oil on the faces", "release system: does it come back fully"},
	Driveline:         {"shafts and joints", "differential: oil and magnet", "gearbox oil for metal", "wheel bearings, brakes that drag"},
	Tyre:              {"pressures, valves, caps", "tread and side walls for cuts and bubbles", "wheel for cracks"},
	Electrical:        {"alternator and belt", "battery and its terminals", "earth straps and main relay"},
	Sensor:            {"the sensor's plug and wiring", "compare its reading at rest with another gauge"},
}

// handChecks are due after any pass, whatever the log says (common practice; see
// references/safety.md).
var handChecks = []string{
	"wheel nuts, hoses, tyres and leaks: the log does not see them",
	"oil level, and metal in the oil or filter",
	"fuel and nitrous lines, bottle brackets",
}
