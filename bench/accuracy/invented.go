package main

import (
	"encoding/json"
	"fmt"
	"math"

	"traplight/internal/car"
	"traplight/internal/demo"
	"traplight/internal/logfile"
)

// inventedCases makes logs with the demo's generator, whose physics differs from
// that of the test data: other tyres, driveline, control and sensors.
func inventedCases(o options) ([]*logCase, error) {
	set := demo.Mixed(o.invented, o.seed)
	notes, err := car.ParseNotes("passes.toml", set.Notes)
	if err != nil {
		return nil, err
	}
	if !o.withSlip {
		notes = withoutSlip(notes)
	}
	var out []*logCase
	for _, rec := range set.Recordings {
		t := new(Truth)
		if err := json.Unmarshal(rec.Truth, t); err != nil {
			return nil, fmt.Errorf("%s: truth: %w", rec.Name, err)
		}
		if o.only != "" && !hasAnyPrefix(rec.Name, splitList(o.only)) {
			continue
		}
		text, ok := set.Sheets[t.Car]
		if !ok {
			return nil, fmt.Errorf("%s: no sheet of %q", rec.Name, t.Car)
		}
		sheet, err := car.ParseSheet("car_"+t.Car+".toml", text)
		if err != nil {
			return nil, err
		}
		log, err := logfile.Read(rec.Name+".csv", rec.CSV)
		if err != nil {
			return nil, err
		}
		out = append(out, &logCase{truth: t, log: log, sheet: sheet, notes: notes, knowChannels: o.knowChannels})
	}
	return out, nil
}

// withoutSlip is the notes as if no timing slip had been entered.
func withoutSlip(n *car.Notes) *car.Notes {
	c := *n
	c.Passes = append([]car.PassNote(nil), n.Passes...)
	for i := range c.Passes {
		c.Passes[i].Slip = car.Slip{Trap: math.NaN()}
	}
	return &c
}
