package report

// Foretold is what was written down of a pass before it was run, and how far off it was.
type Foretold struct {
	RecordedAt string  `json:"recorded_at" jsonschema:"time of writing"`
	MeanMps    float64 `json:"mean_mps" jsonschema:"m/s at the trap, as forecast"`
	SDMps      float64 `json:"sd_mps" jsonschema:"m/s"`
	P05Mps     float64 `json:"p05_mps" jsonschema:"m/s, lower end of the 90 % interval"`
	P95Mps     float64 `json:"p95_mps" jsonschema:"m/s, upper end"`
	Expected   Score   `json:"expected" jsonschema:"as written down"`
	AsRun      *Score  `json:"as_run,omitempty" jsonschema:"worked out again with the settings and the weather as they then were"`
}

// Score is how a forecast came out.
type Score struct {
	ErrorMps float64 `json:"error_mps" jsonschema:"m/s, forecast less what came"`
	Inside   bool    `json:"inside" jsonschema:"the pass lay within the 90 % interval"`
	CRPSMps  float64 `json:"crps_mps" jsonschema:"m/s, continuous ranked probability score"`
	PIT      float64 `json:"pit" jsonschema:"0 to 1, share of the forecast below what came"`
}

// Track is how the recorded forecasts of a car have come out so far.
type Track struct {
	Car          string    `json:"car"`
	Basis        string    `json:"basis" jsonschema:"as expected, or as run: which scores are summed up"`
	Count        int       `json:"count"`
	MeanErrorMps float64   `json:"mean_error_mps" jsonschema:"m/s, forecast less what came"`
	MedianAbsMps float64   `json:"median_abs_mps" jsonschema:"m/s, median of the errors without sign"`
	Coverage     float64   `json:"coverage" jsonschema:"0 to 1, how many of the 90 % intervals held"`
	CRPSMps      float64   `json:"crps_mps" jsonschema:"m/s, mean"`
	Levels       []float64 `json:"levels" jsonschema:"0 to 1, quantiles of the forecasts at which the reliability is given"`
	Reliability  []float64 `json:"reliability" jsonschema:"0 to 1, share of what came below each of these quantiles; the same numbers when the forecasts are right"`
	Widen        float64   `json:"widen" jsonschema:"1, factor by which later intervals are stretched"`
}
