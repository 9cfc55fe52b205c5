// Package car holds what people write down: the car's sheet, the strip, and the
// notes of each pass. Values are kept in SI; the TOML keys carry the unit that
// people use.
package car

import (
	"strings"

	"traplight/internal/quantity"
)

// Driven says which axle the engine turns.
type Driven string

// The driven axles.
const (
	FrontDriven Driven = "front"
	RearDriven  Driven = "rear"
	AllDriven   Driven = "all"
)

// Sheet is a car as it stands from one date. Each uncertain figure is an
// estimate whose standard deviation is either the user's or the stated default;
// a missing figure has the default value with a wide spread and is listed in
// Assumed.
type Sheet struct {
	Name, Text, Revision, ValidFrom string
	// Sensors names the sensors that were changed, "oil pressure: new in June; lambda": what another
	// sheet says otherwise of a quantity is read by another sensor.
	Sensors string
	Units   string // "us" or "metric": the units in which this car's people think; "" not stated
	File    string // the file's name, without folder; "" when not from a file

	Mass             quantity.Estimate // kg, with driver and fuel
	DragArea         quantity.Estimate // m²
	LiftFront        quantity.Estimate // m², lift area ClA at the front axle, down-force positive
	LiftRear         quantity.Estimate // m², down-force positive
	RollingResist    quantity.Estimate // 1, coefficient at low speed
	Wheelbase        quantity.Estimate // m
	CGHeight         quantity.Estimate // m
	FrontWeightShare quantity.Estimate // 0–1, static

	Driven          Driven
	Gearbox         string            // "synchro", "dog", …
	ShiftStyle      string            // "throttle lifted", "ignition cut, throttle held", …
	Gears           []float64         // ratio by gear, input over output, from first
	FinalDrive      float64           // 1, with the primary drive if there is one
	LossShare       quantity.Estimate // 0–1 of crank power lost between crank and hubs at steady speed
	ClutchTorque    float64           // N·m rating, 0 unknown
	EngineInertia   quantity.Estimate // kg·m², crank, flywheel and clutch cover
	DrivenInertia   quantity.Estimate // kg·m², both driven wheels (all four for all-wheel drive) with shafts
	UndrivenInertia quantity.Estimate // kg·m², both undriven wheels; 0 for all-wheel drive

	TyreSize          string
	TyreRadius        quantity.Estimate // m, effective rolling radius of the driven tyres near standstill
	UndrivenRadius    quantity.Estimate // m, of the undriven tyres
	LoggerCircum      float64           // m, circumference set in the logger for all wheel speeds; 0 unknown
	UsualColdPressure float64           // Pa gauge; 0 unknown
	TyreSpeedLimit    float64           // m/s; 0 unknown

	Displacement      float64 // m³; 0 unknown
	Bore              float64 // m; 0 unknown
	Stroke            float64 // m; 0 unknown
	Compression       float64 // 1, compression ratio; 0 unknown
	TurboCount        int     // 0 unknown
	Inducer           float64 // m, diameter of each compressor wheel's inlet; 0 unknown
	Exducer           float64 // m, diameter of each compressor wheel's outlet; 0 unknown
	CompressorMap     string  // file of the digitised compressor map, as written; "" none
	Cylinders         int     // 0 unknown
	RevLimit          float64 // rad/s; 0 unknown
	Fuel              string
	StoichAFR         float64   // kg air per kg fuel; 0 unknown
	FuelDensity       float64   // kg/m³; 0 unknown
	InjectorFlow      float64   // m³/s, all injectors fully open at InjectorFlowPress; 0 unknown
	InjectorCount     int       // 0 unknown
	InjectorFlowPress float64   // Pa across, at which InjectorFlow holds
	FuelPressureBase  float64   // Pa over the manifold; 0 unknown
	FuelPumpFlow      []float64 // m³/s, all pumps together, at FuelPumpPress, falling; nil unknown
	FuelPumpPress     []float64 // Pa gauge at the outlet, rising; nil when the flow's pressure is not stated
	FuelPumpVolts     float64   // V for which FuelPumpFlow holds; 0 not stated
	FuelPumpMeasured  bool      // FuelPumpFlow was measured in the car, on its own volts
	Turbo             string    // as written
	UsualBoost        []float64 // Pa gauge by gear
	UsualShiftSpeed   []float64 // rad/s by gear
	SlipCut           bool      // traction electronics cut torque on slip
	LambdaScale       float64   // kg/kg, air-fuel ratio that the gauge shows at lambda 1; 14.7 by custom
	BoostSetpoint     string    // "gauge" or "absolute"; "" unknown

	Limits  Limits
	Nitrous NitrousSystem
	Target  float64 // m/s trap speed aimed at; 0 none

	Channels map[string]string // corrections: channel name in the log → quantity (with [index] and unit)

	Unread []Unread  // keys that are not known; StrictErr refuses them
	Wrong  []*Error  // values that cannot be, and were left out; StrictErr refuses them
	Read   []Reading // keys that were read, in the order of the file

	Assumed []string // keys that were missing, with the value taken, a phrase each
	Notes   []string // unread keys and oddities, a sentence each; the first line of a report's notes
}

// Limits are the owner's hard limits; zero means none stated.
type Limits struct {
	MaxBoost             float64   // Pa gauge
	GearboxTorque        []float64 // N·m at the input shaft, by gear
	MaxInjectorDuty      float64   // 0–1
	MaxBackPressureRatio float64   // 1
	MaxTurboSpeed        float64   // rad/s
	MaxCrankPower        float64   // W
	MaxExhaustTemp       float64   // K
	TyreSpeed            float64   // m/s
	MaxLambda            float64   // 1, leanest permitted at full load
	MaxChargeTemp        float64   // K, after the cooler
	MaxEngineSpeed       float64   // rad/s

	Unusual   []string // those outside what is usual, as they stand: "max_boost_kpa = 9000"
	Confirmed bool     // these were checked, figure and unit
}

// Doubtful is those of the limits that are outside what is usual and nobody has confirmed, as
// they stand; "" when there are none.
func (l *Limits) Doubtful() string {
	if l.Confirmed {
		return ""
	}
	return strings.Join(l.Unusual, ", ")
}

// NitrousSystem describes a nitrous installation; Flow zero means none.
type NitrousSystem struct {
	Flow           float64 // kg/s
	Wet            bool    // its own fuel is added
	BelowTarget    float64 // Pa, boost below target by more than this opens it
	Gears          []int   // gears in which it may open; nil means all
	BottlePressure float64 // Pa gauge
}
