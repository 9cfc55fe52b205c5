package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/health"
	"traplight/internal/logfile"
	"traplight/internal/reconstruct"
)

// kindsOfOpen translates the open logs' own names of faults.
var kindsOfOpen = map[string]health.Kind{"fuel_pump_fade": health.FuelSupply, "boost_leak": health.BoostLeak, "clutch_slip": health.ClutchSlip}

// openLog is one of the open simulated logs.
type openLog struct {
	name, car string
	sheet     *car.Sheet
	log       *logfile.Log
	set       *dictionary.Set
	given     dictionary.Options
	kinds     []health.Kind // by pass; "" healthy
	launch    float64       // s, run clock, of the first pass, where it was asked for
}

// openLogs reads the open simulated logs, in the order of their names.
func openLogs(shared string) ([]*openLog, *car.Notes, error) {
	dir := filepath.Join(shared, "logs")
	notes, err := car.LoadNotes(filepath.Join(dir, "passes.toml"))
	if err != nil {
		return nil, nil, fmt.Errorf("no open logs: %w; give -shared", err)
	}
	files, err := filepath.Glob(filepath.Join(dir, "*.csv"))
	if err != nil {
		return nil, nil, err
	}
	sheets := map[string]*car.Sheet{}
	var out []*openLog
	for _, f := range files {
		l := &openLog{name: strings.TrimSuffix(filepath.Base(f), ".csv")}
		l.car = strings.Split(l.name, "_")[1]
		if sheets[l.car] == nil {
			if sheets[l.car], err = car.LoadSheet(filepath.Join(dir, "car_"+l.car+".toml")); err != nil {
				return nil, nil, err
			}
		}
		l.sheet = sheets[l.car]
		if l.log, err = logfile.Open(f); err != nil {
			return nil, nil, err
		}
		l.given = dictionary.Options{MixtureScale: l.sheet.LambdaScale}
		if n := notes.For(l.name+".csv", 0); n != nil {
			l.given.Barometer = n.Weather.Pressure
		}
		if l.set, err = dictionary.Identify(l.log, l.given); err != nil {
			return nil, nil, err
		}
		raw, err := os.ReadFile(filepath.Join(dir, l.name+".truth.json"))
		if err != nil {
			return nil, nil, err
		}
		var t struct {
			Passes []struct{ Faults []struct{ Type string } }
		}
		if err := json.Unmarshal(raw, &t); err != nil {
			return nil, nil, err
		}
		for _, p := range t.Passes {
			k := health.Kind("")
			if len(p.Faults) > 0 {
				k = kindsOfOpen[p.Faults[0].Type]
			}
			l.kinds = append(l.kinds, k)
		}
		out = append(out, l)
	}
	return out, notes, nil
}

// openPass is one pass of the open logs and what is true of it.
type openPass struct {
	*openLog
	index int
	kind  health.Kind // "" healthy
	rec   health.Record
	past  health.Summary
}

// passes finds the log's passes with set in place of its own channels.
func (l *openLog) passes(set *dictionary.Set, notes *car.Notes) ([]openPass, error) {
	res, err := reconstruct.Passes(set, l.sheet, notes, reconstruct.Options{File: l.name + ".csv"})
	if err != nil {
		return nil, fmt.Errorf("%s: %w", l.name, err)
	}
	if len(res.Passes) != len(l.kinds) {
		return nil, fmt.Errorf("%s: %d passes found, %d are there", l.name, len(res.Passes), len(l.kinds))
	}
	var out []openPass
	for i, p := range res.Passes {
		o := openPass{openLog: l, index: i, kind: l.kinds[i],
			rec: health.Record{Name: l.name, Set: set, Pass: p, Note: notes.For(l.name+".csv", i), Clear: l.kinds[i] == ""}}
		o.past = health.Summarise(o.rec, l.sheet)
		out = append(out, o)
	}
	return out, nil
}
