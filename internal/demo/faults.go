package demo

// Kind is a kind of fault, named as the health screen names findings.
type Kind string

// The kinds.
const (
	CylinderDown      Kind = "cylinder down"
	IgnitionFault     Kind = "ignition"
	BoostLeak         Kind = "boost leak"
	Underboost        Kind = "underboost"
	Overboost         Kind = "overboost"
	TurboOverspeed    Kind = "turbo overspeed"
	TurbineChoke      Kind = "turbine choke"
	FuelSupply        Kind = "fuel supply"
	MixtureLean       Kind = "mixture lean"
	MixtureImbalance  Kind = "mixture imbalance"
	OilSupply         Kind = "oil supply"
	CoolantPressure   Kind = "coolant pressure"
	CrankcasePressure Kind = "crankcase pressure"
	Overheat          Kind = "overheat"
	ChargeHeat        Kind = "charge heat"
	KnockFault        Kind = "knock"
	NitrousFault      Kind = "nitrous"
	ThrottleFault     Kind = "throttle"
	ClutchSlip        Kind = "clutch slip"
	DrivelineFault    Kind = "driveline"
	TyreFault         Kind = "tyre"
	ElectricalFault   Kind = "electrical"
	SensorFault       Kind = "sensor"
)

// Grade is how bad a fault is.
type Grade string

// The grades.
const (
	Subtle   Grade = "subtle"
	Moderate Grade = "moderate"
	Gross    Grade = "gross"
)

// Fault is one thing wrong with the car, or with one of its sensors.
type Fault struct {
	Kind     Kind
	Grade    Grade
	After    float64 // s from the release of the clutch
	Ramp     float64 // s until it is full
	Always   bool    // there from the log's first sample
	Severity float64 // in the kind's own unit, see Unit
	Unit     string
	Channel  string // sensor faults: quantity of the channel, as in the truth
	Mode     string // sensor faults: "stuck", "drift", "scale", "noise", "spikes", "dead"; engine faults: "" or a mode of Resting
}

// Kinds lists all kinds in the order of the design.
func Kinds() []Kind {
	return []Kind{CylinderDown, IgnitionFault, BoostLeak, Underboost, Overboost, TurboOverspeed, TurbineChoke, FuelSupply,
		MixtureLean, MixtureImbalance, OilSupply, CoolantPressure, CrankcasePressure, Overheat, ChargeHeat, KnockFault,
		NitrousFault, ThrottleFault, ClutchSlip, DrivelineFault, TyreFault, ElectricalFault, SensorFault}
}

// Grades lists the grades from the mildest.
func Grades() []Grade { return []Grade{Subtle, Moderate, Gross} }
