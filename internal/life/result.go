package life

// Result is what the parts have endured, all SI.
type Result struct {
	Parts    []Part   `json:"parts"`
	Kinds    []Kind   `json:"kinds"`
	Notes    []string `json:"notes"`
	Cautions []string `json:"cautions"`
	Method   []Basis  `json:"methods"`
}

// Basis says how a result was obtained.
type Basis struct {
	What   string `json:"what"`
	Method string `json:"method"`
	Source string `json:"source"`
}

// Figure is a result with its bounds, of which nine in ten hold the truth.
type Figure struct {
	Value   float64 `json:"value"` // own unit
	Low     float64 `json:"p05"`   // own unit
	High    float64 `json:"p95"`   // own unit
	AtLeast bool    `json:"at_least,omitempty"`
}

// LevelTime is the time above one level of the load.
type LevelTime struct {
	Level float64 `json:"level"`  // SI unit of the load
	Time  float64 `json:"time_s"` // s
}

// Bin is how often ranges up to one size were counted.
type Bin struct {
	Range float64 `json:"range_nm"` // N·m, upper edge
	Count float64 `json:"cycles"`   // 1
}

// Part is one part.
type Part struct {
	Serial      string      `json:"serial"`
	Name        string      `json:"name"`
	Kind        string      `json:"kind"`
	InCar       bool        `json:"in_car"`
	Failed      bool        `json:"failed"`
	Passes      int         `json:"passes"`          // all, those before the logs included
	Recorded    int         `json:"passes_recorded"` // of them with a log
	Unsure      int         `json:"passes_unsure"`   // of them whose day does not tell whether the part was in the car
	FullTime    float64     `json:"full_throttle_s"` // s, in its gears
	Load        string      `json:"load"`            // "" none
	Highest     *float64    `json:"highest_load"`    // SI unit of the load
	Levels      []LevelTime `json:"time_at_load"`
	Over        int         `json:"over_limit_events"`
	OverTime    float64     `json:"over_limit_s"`       // s
	OverTop     *float64    `json:"over_limit_highest"` // SI unit of the load
	OverNew     int         `json:"over_limit_since_inspection"`
	Counting    string      `json:"counting"` // "rainflow", "revolutions" or ""
	Cycles      []Bin       `json:"cycles"`
	Equivalent  *Figure     `json:"equivalent_torque_nm"` // N·m, that does the same damage in as many cycles
	EquivalentN float64     `json:"equivalent_cycles"`    // 1
	Damage      *Figure     `json:"damage"`               // 1, Miner's sum; nil without a point on the S–N line
	DueDamage   float64     `json:"due_damage"`           // 1
	Hardest     *Hardest    `json:"hardest_pass"`
	Left        *Left       `json:"left"`                     // nil when nothing bounds it
	Due         []string    `json:"due"`                      // why it is due; empty when it is not
	Look        []string    `json:"look"`                     // what to look at although it is not due
	NextFail    *float64    `json:"chance_next_pass_at_most"` // 0–1
	Inspected   string      `json:"last_inspection"`
	Notes       []string    `json:"notes"`

	shown bool // parts of its kind have failed, so that NextFail says something
}

// Hardest is the pass that took most out of a part.
type Hardest struct {
	Name  string  `json:"pass"`
	Times float64 `json:"times_usual"` // 1, its damage over that of the median pass
}

// Left is how many passes like the hardest of late a part has before it is due.
type Left struct {
	Passes int    `json:"passes_at_least"`
	By     string `json:"by"`
}

// Kind is the life of parts of one kind, in passes.
type Kind struct {
	Name        string  `json:"kind"`
	Failures    int     `json:"failures"`
	Suspensions int     `json:"suspensions"`
	Beta        *Figure `json:"beta"` // 1, slope
	Assumed     bool    `json:"beta_assumed"`
	Eta         *Figure `json:"eta_passes"` // passes, characteristic life
	B10         *Figure `json:"b10_passes"` // passes that nine of ten survive
	Method      string  `json:"method"`
}
