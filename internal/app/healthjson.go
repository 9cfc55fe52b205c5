package app

import (
	"encoding/json"
	"io"

	"traplight/internal/health"
	"traplight/internal/quantity"
)

// passHealth is one pass in the JSON.
type passHealth struct {
	Pass   string        `json:"pass"`
	Launch float64       `json:"launch_s"`
	Health health.Result `json:"health"`
	Load   *health.Load  `json:"load"`
	Before *health.Loads `json:"load_before"`
}

type thresholdJSON struct {
	What   string  `json:"what"`
	Below  bool    `json:"trips_below"`
	Value  float64 `json:"value_si"`
	Name   string  `json:"quantity"`
	Delay  float64 `json:"delay_s"`
	Boost  float64 `json:"armed_over_boost_pa"`
	When   string  `json:"when"`
	Chance float64 `json:"false_trip_chance"`
	Passes int     `json:"passes"`
}

type levelJSON struct {
	From   float64 `json:"from_rads"`
	To     float64 `json:"to_rads"`
	Median float64 `json:"median"`
	High   float64 `json:"q90"`
	Top    float64 `json:"q99"`
}

type backgroundJSON struct {
	Sensor string      `json:"sensor"`
	Passes int         `json:"passes"`
	Levels []levelJSON `json:"levels"`
	Tail   struct {
		Threshold float64 `json:"threshold"`
		Scale     float64 `json:"scale"`
		Shape     float64 `json:"shape"`
	} `json:"tail"`
	Rare float64 `json:"rare_ratio"`
}

type provokedJSON struct {
	Run    string   `json:"run"`
	Sensor string   `json:"sensor"`
	Ratio  *float64 `json:"ratio"`
}

type modeJSON struct {
	Frequency float64 `json:"frequency_hz"`
	Low       float64 `json:"low_hz"`
	High      float64 `json:"high_hz"`
}

type knockJSON struct {
	Backgrounds []backgroundJSON `json:"backgrounds"`
	Provoked    []provokedJSON   `json:"provoked"`
	Modes       []modeJSON       `json:"modes"`
	Bore        string           `json:"modes_from,omitempty"`
}

// WriteJSON prints the answer, all SI, times on each log's own clock.
func (a *HealthAnswer) WriteJSON(w io.Writer) error {
	out := struct {
		Car        string          `json:"car"`
		Notes      []string        `json:"notes"`
		Passes     []passHealth    `json:"passes"`
		Protection []thresholdJSON `json:"protection"`
		Trends     []health.Trend  `json:"trends"`
		Knock      knockJSON       `json:"knock"`
	}{Car: a.Car, Notes: append([]string{}, a.Notes...), Passes: []passHealth{}, Protection: []thresholdJSON{}, Trends: append([]health.Trend{}, a.Trends...), Knock: a.knockJSON()}
	for _, p := range a.Passes {
		out.Passes = append(out.Passes, passHealth{p.Name, p.Launch, p.Result, p.Load, p.Before})
	}
	for _, t := range a.Protection {
		out.Protection = append(out.Protection, thresholdJSON{t.What, t.Below, t.Value, string(t.Measure), t.Delay, t.Boost, t.Condition(quantity.Metric), t.Chance, t.Passes})
	}
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	return e.Encode(out)
}

func (a *HealthAnswer) knockJSON() knockJSON {
	k := knockJSON{Backgrounds: []backgroundJSON{}, Provoked: []provokedJSON{}, Modes: []modeJSON{}, Bore: a.Bore}
	for _, b := range a.Knock {
		j := backgroundJSON{Sensor: b.Sensor, Passes: b.Passes, Rare: b.Rare}
		j.Tail.Threshold, j.Tail.Scale, j.Tail.Shape = b.Tail.Threshold, b.Tail.Scale, b.Tail.Shape
		for _, l := range b.Bins {
			j.Levels = append(j.Levels, levelJSON(l))
		}
		k.Backgrounds = append(k.Backgrounds, j)
	}
	for _, p := range a.Provoked {
		j := provokedJSON{Run: p.Run, Sensor: p.Sensor}
		if p.Found {
			r := p.Ratio
			j.Ratio = &r
		}
		k.Provoked = append(k.Provoked, j)
	}
	for _, m := range a.Modes {
		k.Modes = append(k.Modes, modeJSON{m.Frequency, m.Low, m.High})
	}
	return k
}
