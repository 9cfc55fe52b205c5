package car

import "math"

// What people state is taken to be right within these standard deviations, unless
// a key with _sd says otherwise (mass_sd_kg = 5). Corner scales and a driver who has
// eaten: 1 %. A drag area from a table or a guess: 10 %. A centre of gravity that
// was estimated: 8 %. A driveline loss that was guessed: 0.02 absolute. A lift area from
// anywhere: a quarter. Common practice, no source.
const (
	massRel = 0.01 // 1
	dragRel = 0.10 // 1
	cgRel   = 0.08 // 1
	lossSD  = 0.02 // 1
	liftRel = 0.25 // 1
	liftAbs = 0.03 // m²
)

// What nobody states is taken from here, with a standard deviation wide enough for
// the cars that this tool is for: standing-start cars on the base of production cars,
// 1000 to 1800 kg. All common practice, no source, unless one is named.
const (
	defaultMass, defaultMassSD           = 1450.0, 200.0 // kg
	defaultDrag, defaultDragSD           = 0.68, 0.12    // m²
	defaultLiftSD                        = 0.10          // m², each axle, around 0
	defaultRolling, defaultRollingSD     = 0.013, 0.003  // 1; Gillespie (1992) ch. 4 gives 0.013 for radial passenger tyres on concrete (from memory)
	defaultWheelbase, defaultWheelbaseSD = 2.65, 0.12    // m
	defaultCGHeight, defaultCGHeightSD   = 0.50, 0.06    // m
	defaultShareSD                       = 0.05          // 1, of the front weight share
	defaultLossSD                        = 0.03          // 1
	defaultRadius, defaultRadiusSD       = 0.325, 0.020  // m
	defaultLambdaScale                   = 14.7          // 1, by custom
	defaultInjectorPressure              = 3e5           // Pa, the usual rating pressure
	tyreStatedSD                         = 0.005         // 1, of a rolling radius or circumference that was measured
	tyreSizeSD                           = 0.012         // 1, real against nominal diameter, see tyre.ParseSize
	tyreLoggerSD                         = 0.025         // 1, of the circumference set in the logger, taken for the tyre's
	usualTyreWidth                       = 0.245         // m, when no size is stated
)

// defaultFrontShare is the static front weight share by driven axle, 0–1.
func defaultFrontShare(d Driven) float64 {
	switch d {
	case FrontDriven:
		return 0.63
	case AllDriven:
		return 0.56
	}
	return 0.52
}

// defaultLoss is the share of crank power lost to gears, joints and churning, 0–1:
// a transverse front drive has no bevel gear, four-wheel drive has two more. Gillespie
// (1992), table 2.1 example, has 0.967·0.99, a loss of 4 %, for a rear drive in
// direct gear (from memory); trucks and road cars lie at 4 to 12 %.
func defaultLoss(d Driven) float64 {
	switch d {
	case FrontDriven:
		return 0.05
	case AllDriven:
		return 0.08
	}
	return 0.06
}

// defaultEngineInertia estimates crankshaft, flywheel and clutch, kg·m², from the
// displacement, m³ (0 unknown), with its standard deviation, kg·m². The line runs through
// 0.13 for a 2.0 l four with a lightened steel flywheel and 0.28 for a 5.0 l eight;
// Gillespie's 0.8 lbf·in·s² (0.090 kg·m²) for a 200 lb-ft road engine (chapter 2,
// example 1) lies within its spread. Common practice, no source.
func defaultEngineInertia(displacement float64) (j, sd float64) {
	if displacement <= 0 {
		return 0.16, 0.075
	}
	j = 0.03 + 50*displacement
	return j, 0.35 * j
}

// defaultWheelInertia estimates one wheel with tyre and brake disc, kg·m², from the
// unloaded radius, m, and width, m, with its standard deviation, kg·m². A
// 245 mm wide tyre of 0.32 m radius on a light-alloy wheel weighs about 19 kg and its
// radius of gyration is about 0.72 of its radius: 1.0 kg·m². Mass grows with radius and
// width, so inertia with their r³·w. Gillespie's 11 lbf·in·s² for an axle of road wheels
// of his time (0.62 kg·m² a wheel, chapter 2) is at the lower edge. Common practice,
// no source.
func defaultWheelInertia(radius, width float64) (j, sd float64) {
	if width <= 0 {
		width = usualTyreWidth
	}
	j = math.Pow(radius/0.32, 3) * width / usualTyreWidth
	return j, 0.30 * j
}

// shaftInertia is that of drive shafts, joints and differential of one driven axle,
// seen at the wheels, kg·m²; common practice, no source.
const shaftInertia = 0.10
