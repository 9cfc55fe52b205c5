package health

// Verdict is the answer to "fit to go again?".
type Verdict string

// The verdicts; the empty one means that there was nothing to judge by.
const (
	Clear     Verdict = "clear"
	Inspect   Verdict = "inspect"
	StandDown Verdict = "stand down"
	None      Verdict = ""
)

// Kind is what a finding is about.
type Kind string

// The kinds, as in the report's JSON.
const (
	CylinderDown      Kind = "cylinder down"
	Ignition          Kind = "ignition"
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
	Knock             Kind = "knock"
	Nitrous           Kind = "nitrous"
	Throttle          Kind = "throttle"
	ClutchSlip        Kind = "clutch slip"
	Driveline         Kind = "driveline"
	Tyre              Kind = "tyre"
	Electrical        Kind = "electrical"
	Sensor            Kind = "sensor"
)

// Severity grades a finding.
type Severity string

// The severities.
const (
	Subtle   Severity = "subtle"
	Moderate Severity = "moderate"
	Gross    Severity = "gross"
)

// Result is the health of one pass.
type Result struct {
	Verdict   Verdict   `json:"verdict,omitempty"`
	Basis     string    `json:"basis"`
	NotJudged []string  `json:"not_judged"`
	Findings  []Finding `json:"findings"`
	// Checks are the hand checks due after any pass of such a car: what no log
	// sees.
	Checks []string `json:"checks"`
	// Start is how the car was started, against the usual.
	Start []AtStart `json:"start,omitempty"`
	// Knock is how often each knock sensor passed its rare level; empty without a
	// background from two clear passes.
	Knock []KnockCount `json:"knock,omitempty"`
	// Strength is the evidence of the strongest cause that was thought of, whether
	// or not it made a finding: natural logarithm of odds, 1.
	Strength float64 `json:"-"`
}

// Finding is one thing that is not as it was on the car's good passes, or
// beyond a limit.
type Finding struct {
	Kind     Kind     `json:"kind"`
	Severity Severity `json:"severity"`
	Start    float64  `json:"start_s"` // s, run clock in the core; the report converts to the log's own
	Channels []string `json:"channels"`
	Evidence string   `json:"evidence"`
	LookAt   []string `json:"look_at"`
	Chance   float64  `json:"chance_on_healthy_car"` // 1, per pass, all looks counted
	// Score is the natural logarithm of the odds for this kind against none, 1.
	Score float64 `json:"score"`
	// OfSheet says that nothing but a limit of the sheet was exceeded: the car need not have run
	// otherwise than it does.
	OfSheet bool `json:"limit_of_sheet,omitempty"`
	// Others are the kinds that would also explain it, most likely first.
	Others []Kind `json:"others,omitempty"`
	// Moved lists what moved, in the order in which it moved.
	Moved []Movement `json:"moved,omitempty"`
	Plots []Plot     `json:"plots,omitempty"`

	covers map[string]bool // watches that it explains
}

// Movement is one relation that departed from the car's normal.
type Movement struct {
	What  string  `json:"what"`
	Start float64 `json:"start_s"` // s, run clock
	Size  float64 `json:"size"`    // SI unit of the relation; natural logarithm for ratios
	SD    float64 `json:"sd"`      // same unit
	Text  string  `json:"text"`    // size in the user's units
}

// Plot is a reading around a finding's start beside what was expected.
type Plot struct {
	Title    string    `json:"title"`
	Unit     string    `json:"unit"`
	Time     []float64 `json:"t_s"`      // s, run clock
	Reading  []float64 `json:"reading"`  // in Unit
	Expected []float64 `json:"expected"` // in Unit
	Low      []float64 `json:"low"`      // in Unit, 95 % band of a healthy pass
	High     []float64 `json:"high"`     // in Unit
}
