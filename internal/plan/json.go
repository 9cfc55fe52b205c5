package plan

import (
	"encoding/json"
	"io"
	"math"

	"traplight/internal/forecast"
)

// Answer is the plan as one JSON object; the names are fixed by the design.
type Answer struct {
	Settings Settings         `json:"settings"`
	Forecast *forecast.Answer `json:"forecast"`
	Limits   []Limit          `json:"limits"`
	New      []string         `json:"not_run_before"`
	Notes    []string         `json:"notes"`

	Gain      float64  `json:"gain_mps"`                        // m/s, expected, over same_again_mps
	Again     float64  `json:"same_again_mps,omitempty"`        // m/s, mean trap speed as the planned pass states it, without one of the same settings again; 0 not worked out
	Card      bool     `json:"card"`                            // a card may be printed
	NoCard    string   `json:"no_card,omitempty"`               // why not
	DecelFrom string   `json:"deceleration_from"`               // where the deceleration after the line comes from
	Already   []string `json:"exceeded_already"`                // limits the last pass was over
	Lessons   []Lesson `json:"learns_most"`                     // what small changes would teach
	Today     *float64 `json:"chance_in_passes_left,omitempty"` // 0–1
	// Boost by engine speed, a further step beside the settings by gear, all its gears together.
	Ramps     []Ramp     `json:"boost_by_engine_speed"`
	RampsGain float64    `json:"boost_by_engine_speed_gain_mps,omitempty"`    // m/s that it is expected to bring over them
	RampsHard float64    `json:"boost_by_engine_speed_hard_chance,omitempty"` // 0–1, of passing any hard limit
	Measuring []Measured `json:"measuring"`                                   // what knowing limits that no channel shows would bring, the most first
	Launch    *Launch    `json:"launch"`                                      // what other launch engine speeds would bring; null unknown
	PassesRun int        `json:"passes_simulated"`
}

// Answer puts the plan into the fixed form.
func (p *Plan) Answer() *Answer {
	a := &Answer{Settings: p.Settings, Limits: p.Limits, New: p.New, Notes: p.Notes, Card: p.Card, NoCard: p.NoCard, DecelFrom: p.DecelFrom, Already: p.Already, Lessons: p.Lessons, Launch: p.Launch, PassesRun: p.Passes}
	if p.Forecast != nil {
		a.Forecast = p.Forecast.Answer()
		if p.As != nil {
			a.Again = math.Round(1e3*p.As.Trap.Mean) / 1e3
			a.Gain = math.Round(1e3*(p.Forecast.Trap.Mean-p.As.Trap.Mean)) / 1e3
		}
	}
	if p.Today > 0 {
		a.Today = &p.Today
	}
	if a.Limits == nil {
		a.Limits = []Limit{}
	}
	for _, s := range []*[]string{&a.New, &a.Notes, &a.Already} {
		if *s == nil {
			*s = []string{}
		}
	}
	if a.Ramps = []Ramp{}; p.Ramps != nil {
		a.Ramps, a.RampsGain, a.RampsHard = p.Ramps.Gears, p.Ramps.Gain, p.Ramps.Hard
	}
	if a.Measuring = p.Measuring; a.Measuring == nil {
		a.Measuring = []Measured{}
	}
	if a.Lessons == nil {
		a.Lessons = []Lesson{}
	}
	return a
}

// WriteJSON prints the answer.
func (a *Answer) WriteJSON(w io.Writer) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(a)
}
