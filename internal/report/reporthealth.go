package report

// Health is the answer to "fit to go again?".
type Health struct {
	Verdict   *string   `json:"verdict" jsonschema:"clear, inspect or stand down; null when nothing could be judged"`
	Basis     string    `json:"basis"`
	NotJudged []string  `json:"not_judged"`
	Findings  []Finding `json:"findings" jsonschema:"the most likely cause first"`
	Trends    []string  `json:"trends,omitempty" jsonschema:"what drifts from pass to pass or made a step, a sentence each"`
}

// Word is the verdict as one word; "" when nothing could be judged, or h is nil.
func (h *Health) Word() string {
	if h == nil || h.Verdict == nil {
		return ""
	}
	return *h.Verdict
}

// Finding is one thing that is not as it was.
type Finding struct {
	Kind     string   `json:"kind"`
	Severity string   `json:"severity" jsonschema:"subtle, moderate or gross"`
	StartS   *float64 `json:"start_s" jsonschema:"s, log's own clock"`
	Channels []string `json:"channels"`
	Evidence string   `json:"evidence"`
	LookAt   []string `json:"look_at"`
	Chance   *float64 `json:"chance_on_healthy_car" jsonschema:"probability per pass of such a finding on a healthy car, all looks counted"`
	OfSheet  bool     `json:"limit_of_sheet,omitempty" jsonschema:"nothing but a limit of the car sheet was exceeded"`
	Others   []string `json:"others,omitempty" jsonschema:"kinds that would also explain it, the most likely first"`
	Plots    []Plot   `json:"plots,omitempty"`
}

// Plot is a reading about a finding's start, for the eye: in the car's own units.
type Plot struct {
	Title    string    `json:"title"`
	Unit     string    `json:"unit"`
	TimeS    []float64 `json:"t_s" jsonschema:"s, log's own clock"`
	Reading  []float64 `json:"reading"`
	Expected []float64 `json:"expected" jsonschema:"what the car's earlier passes, or physics, make of the conditions"`
	Low      []float64 `json:"low" jsonschema:"lower edge of the band of a healthy pass, 95 %"`
	High     []float64 `json:"high" jsonschema:"upper edge"`
}
