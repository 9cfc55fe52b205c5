package car

import "math"

// Strip is a place where passes are run.
type Strip struct {
	ID          string
	Length      float64 // m, timed distance; default 804.672
	TrapWindow  float64 // m; default 20.1168
	Rollout     float64 // m; default 0.3048
	Elevation   float64 // m; NaN unknown
	Heading     float64 // rad, clockwise from north; NaN unknown
	Grade       float64 // rise over run; NaN unknown
	ShutDown    float64 // m after the line; 0 unknown
	RolloutSure bool    // the sheet stated the rollout
	Name        string
	Text        string
}

// DefaultStrip is the half mile that is taken where nobody described the strip.
func DefaultStrip() Strip {
	nan := math.NaN()
	return Strip{Length: 804.672, TrapWindow: 20.1168, Rollout: 0.3048, Elevation: nan, Heading: nan, Grade: nan}
}

// Event is some days at a strip.
type Event struct {
	ID, Name, Strip string
	From, To        string // days, as written
	PassesLeft      int    // passes still possible today; 0 not stated
	Text            string
}

// Weather is as measured by people, in SI; NaN where nobody measured it.
type Weather struct {
	AirTemp   float64 // K
	Pressure  float64 // Pa absolute, station pressure
	Humidity  float64 // 0–1
	Headwind  float64 // m/s, against the car positive
	HeadwindS float64 // m/s, standard deviation of Headwind
	Crosswind float64 // m/s
	Gust      float64 // m/s
}

// Slip is the timing slip; NaN where not entered.
type Slip struct {
	Marks map[string]float64 // s from the start beam, by mark: "60 ft", "330 ft", "1/8 mile", "1000 ft", "1/4 mile", "1/2 mile", …
	Speed map[string]float64 // m/s at those marks, where the strip gives speeds on the way
	Trap  float64            // m/s

	Reaction float64 // s from the go signal to the start beam; no part of the elapsed time
}

// PassNote is what the crew wrote down for one pass.
type PassNote struct {
	ID, File     string
	Index        int // 0-based, in time order within the file
	Car          string
	Event, Strip string
	When         string
	Weather      Weather
	BoostTarget  []float64 // Pa gauge by gear; nil unknown
	ShiftAim     []float64 // rad/s by gear; nil unknown
	ColdPressure float64   // Pa gauge; NaN unknown
	Nitrous      *bool     // nil unknown
	LaunchSpeed  float64   // rad/s; NaN unknown
	MassAdd      float64   // kg
	Inspected    string    // what was inspected and found; "" nothing entered
	Slip         Slip
	Text         string
	Line         int // where the entry begins in the file
	Driver       string
	Lane         string
	Ethanol      float64 // 0–1 by volume, as measured in this fuel; NaN not measured
	TrackTemp    float64 // K, of the surface; NaN not measured
	Provoked     bool    // low-octane fuel or timing on purpose, to fix where knock really lies
	Good         *bool   // the crew's own word on whether the pass was a healthy one; nil nothing said
}

// Planned is a pass to come, as changes against the pass named in After.
type Planned struct {
	ID, After       string
	AfterIndex      int     // -1: the last pass of the file
	MinutesLater    float64 // min
	Change          string
	BoostAdd        []float64 // Pa by gear; nil none
	BoostTarget     []float64 // Pa gauge by gear; nil none
	ShiftAdd        float64   // rad/s
	ShiftAim        []float64 // rad/s by gear; nil none
	Nitrous         *bool
	ColdPressure    float64 // Pa gauge; NaN unchanged
	MassAdd         float64 // kg
	DragAreaAdd     float64 // m²
	LaunchSpeed     float64 // rad/s; NaN unchanged
	Weather         Weather
	UnderstoodKeys  []string // keys that state a change, as written
	HasOtherChanges bool     // the entry states something that was not understood
	Event, Strip    string
	Line            int // where the entry begins in the file
}

// Notes is a whole notes file.
type Notes struct {
	Passes  []PassNote
	Planned []Planned
	Strips  []Strip
	Events  []Event
	Notes   []string // unread keys and oddities, a sentence each
	Unread  []Unread // keys that are not known; StrictErr refuses them
	Wrong   []*Error // values that cannot be, and were left out; StrictErr refuses them
	File    string   // the file's name, without folder
}
