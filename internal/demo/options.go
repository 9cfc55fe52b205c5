package demo

import (
	"math"
	"math/rand/v2"

	"traplight/internal/num/xrand"
)

func stream(seed uint64, name string) *rand.Rand { return xrand.Stream(seed, "demo/"+name) }

// Settings is what the crew can set for a pass.
type Settings struct {
	Boost        []float64 // Pa gauge by gear, target
	Courses      []Course  `json:",omitempty"` // by gear, boost by engine speed instead; nil: none
	ShiftSpeed   []float64 // rad/s by gear out of which is shifted
	Nitrous      bool
	ColdPressure float64 // Pa gauge, driven tyres
	MassAdd      float64 // kg
	DragAreaAdd  float64 // m²
	LaunchSpeed  float64 // rad/s, engine
	SlipCut      bool    // electronics cut torque on slip, where the car has them
}

// Course is a target of boost by engine speed within a gear: even between two engine speeds, level
// beyond them. Without speeds the gear's plain target holds.
type Course struct {
	Speed [2]float64 // rad/s, rising
	Boost [2]float64 // Pa gauge
}

func (s Settings) clone() Settings {
	s.Boost = append([]float64(nil), s.Boost...)
	s.Courses = append([]Course(nil), s.Courses...)
	s.ShiftSpeed = append([]float64(nil), s.ShiftSpeed...)
	return s
}

// Weather is the air of a pass.
type Weather struct {
	AirTemp   float64 // K
	Pressure  float64 // Pa absolute, at the station
	Humidity  float64 // 0–1
	Headwind  float64 // m/s, mean, against the car positive
	Gust      float64 // m/s, standard deviation
	Crosswind float64 // m/s
}

// Strip is a place.
type Strip struct {
	ID, Name  string
	Length    float64 // m
	Grade     float64 // rise over run
	Elevation float64 // m
	Heading   float64 // rad clockwise from north
	Latitude  float64 // rad
	Longitude float64 // rad
	ShutDown  float64 // m
	Grip      float64 // 1, level of friction against the reference strip
	Patch     float64 // 1, standard deviation of its patches
	Seed      uint64  // of its patches, the same for every pass
}

// DriverEvents is what the driver does besides an ordinary pass.
type DriverEvents struct {
	Burnout, Creep bool
	MissShift      int     // gear out of which the shift is missed at first; 0 none
	Pedal          bool    // lifts once in wheelspin
	LiftAt         float64 // m from the start, early lift; 0 none
	FeatherAt      float64 // m from the start, the foot is off the pedal in the middle of the pass
	FeatherFor     float64 // s, how long; 0 never
	FalseStart     bool    // rolls off, is called back and stops before the pass
	WarmUp         bool    // a slow stretch and a stop on the way to the line
	CoastFor       float64 // s logged after the lift; 0: the driver's own
	ReturnDrive    bool    // the slow drive back is in the log
	IdleBefore     float64 // s of idling in the log before the staging, besides the driver's own
	IdleAfter      float64 // s of idling in the log where the car has stopped; 0: the log ends before
}

// Heat is the car's temperatures, and the bottle, when the log begins.
type Heat struct {
	Coolant float64 // K
	Oil     float64 // K
	Charge  float64 // K, cooler core or tank
	Tread   float64 // K, driven tyres
	Bottle  float64 // Pa gauge
}

// PassOptions is everything about a pass that is not the car. The zero value
// is an ordinary healthy pass at the usual settings, in an invented strip's
// ordinary weather.
type PassOptions struct {
	ID       string
	When     string    // "2033-06-11 10:20"
	Settings *Settings // nil: the car's usual ones
	Weather  *Weather  // nil: drawn from the seed
	Strip    *Strip    // nil: the home strip
	Driver   DriverEvents
	Start    *Heat    // nil: warm car
	Ethanol  *float64 // 0–1 by volume, of this pass's fuel, for which the car's computer has its maps; nil: the car's own fuel
	Fault    *Fault
	Dialect  *Dialect // nil: the car's own logger
	Sensors  string   // "full", "medium", "poor", "satellite"; "" the car's own
	Quirks   []Quirk
	Then     []PassOptions // further passes in the same file, on the same logger
	Planned  []PlannedPass // passes to forecast after this one
	NoTruth  bool          // leave out the truth (twice as fast)
	Ideal    bool          // counterfactual runs in the truth
	DaySeed  uint64        // of sensors' own errors and the track's day; 0: from the seed
}

// PlannedPass is a pass to come, with what is changed against the one before.
type PlannedPass struct {
	ID           string
	Text         string
	MinutesLater float64   // min
	BoostAdd     []float64 // Pa by gear
	ShiftAdd     float64   // rad/s
	Nitrous      *bool
	ColdPressure float64 // Pa gauge; 0 unchanged
	MassAdd      float64 // kg
	DragAreaAdd  float64 // m²
	Weather      *Weather
	Strip        *Strip // nil: the same
}

// HomeStrip is the strip of the demo's own shop.
func HomeStrip() Strip {
	return Strip{ID: "plain", Name: "Long Plain", Length: halfMile, Grade: 0.0006, Elevation: 118, Heading: 1.31,
		Latitude: 0.7391, Longitude: -0.6108, ShutDown: 1000, Grip: 1, Patch: 0.022, Seed: 71}
}

// OtherStrips are two more places.
func OtherStrips() []Strip {
	return []Strip{
		{ID: "mesa", Name: "High Mesa", Length: halfMile, Grade: -0.0012, Elevation: 760, Heading: 4.02,
			Latitude: 0.5517, Longitude: 0.4019, ShutDown: 1100, Grip: 0.95, Patch: 0.035, Seed: 72},
		{ID: "fen", Name: "Fen Airfield", Length: halfMile, Grade: 0.0002, Elevation: 6, Heading: 0.52,
			Latitude: -0.8803, Longitude: -1.2044, ShutDown: 950, Grip: 1.03, Patch: 0.018, Seed: 73},
	}
}

const (
	foot     = 0.3048
	halfMile = 804.672
	trapLen  = 20.1168
)

// DrawWeather draws an ordinary day's weather for a strip.
func DrawWeather(st Strip, seed uint64) Weather {
	r := stream(seed, "weather")
	t := 286 + 18*r.Float64()
	p := 101325 * math.Pow(1-2.25577e-5*st.Elevation, 5.25588)
	return Weather{AirTemp: t, Pressure: p + 600*r.NormFloat64(), Humidity: 0.35 + 0.4*r.Float64(),
		Headwind: 1.3 * r.NormFloat64(), Gust: 0.4 + 0.5*r.Float64(), Crosswind: 1.2 * r.NormFloat64()}
}
