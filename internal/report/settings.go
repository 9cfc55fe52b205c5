package report

import (
	"traplight/internal/quantity"
	"traplight/internal/setup"
)

// Setting is one thing that was set before the pass.
type Setting struct {
	Name   string   `json:"name" jsonschema:"boost target (boost, mean where none is known), shift at, launch at, nitrous (1 on, 0 off), tyre pressure, mass, ethanol, mixture target or ignition"`
	Gear   *int     `json:"gear" jsonschema:"gear, from 1; null for the whole pass"`
	Unit   string   `json:"unit" jsonschema:"SI unit of the two values; Pa gauge over the barometer"`
	Noted  *float64 `json:"noted" jsonschema:"as the crew wrote it down; null when they did not"`
	Logged *float64 `json:"logged" jsonschema:"as the log shows it; null when it does not"`
}

// Settings puts settings into the report's form.
func Settings(list []setup.Setting) []Setting {
	out := []Setting{}
	for _, s := range list {
		o := Setting{Name: s.Name, Unit: quantity.SISymbol(s.Dim), Noted: numberOf(s.Noted), Logged: numberOf(s.Logged)}
		if s.Gauge {
			o.Unit += " gauge"
		}
		if s.Gear > 0 {
			gear := s.Gear
			o.Gear = &gear
		}
		out = append(out, o)
	}
	return out
}
