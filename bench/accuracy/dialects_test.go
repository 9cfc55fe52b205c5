package main

import (
	"strings"
	"testing"

	"traplight/internal/app"
	"traplight/internal/logfile/logfiletest"
)

// further is a way in which another recorder or program would have written a
// log: names, units, text, container.
type further struct {
	name     string
	language string            // of the names, "" the log's own
	units    map[string]string // by the truth's unit; others stay
	text     logfiletest.Dialect
	pack     string // "", "gzip", "zip", "xlsx", "parquet"
	reverse  bool   // columns from last to first
	repeats  bool   // some stamps repeat
	midnight bool   // passes while the log runs
	phase    bool   // a column of words and one that is nearly blank are added
}

// The units of two worlds, by the truth's.
var (
	imperial = map[string]string{"kPa": "psi", "kPa abs": "psi gauge", "bar": "psi", "bar abs": "psi gauge", "bar gauge": "psi gauge",
		"C": "°F", "km/h": "mph", "m/s2": "g", "lambda": "AFR", "kg/h": "lb/h", "L/min": "gal/h", "barometer": "inHg"}
	metric = map[string]string{"kPa": "bar", "kPa abs": "bar abs", "psi": "bar", "psi gauge": "kPa abs", "bar gauge": "kPa abs", "bar abs": "kPa abs", "inHg": "mbar",
		"F": "°C", "mph": "km/h", "g": "m/s2", "AFR": "lambda", "kg/h": "g/s", "barometer": "hPa"}
	scientific = map[string]string{"kPa": "Pa", "kPa abs": "Pa abs", "psi": "kPa", "psi gauge": "kPa gauge", "bar": "kPa", "bar gauge": "bar abs", "bar abs": "mbar abs", "inHg": "kPa",
		"C": "K", "F": "K", "mph": "m/s", "km/h": "m/s", "g": "m/s2", "%": "0-1", "rpm": "rpm", "kg/h": "kg/s"}
)

// furthers are ten dialects in which none of the logs is written.
var furthers = []further{
	{name: "spreadsheet, German", language: "german", units: metric,
		text: logfiletest.Dialect{Sep: ";", Decimal: ",", Units: "row", Encoding: "latin-1", Meta: "bang", EOL: "\r\n", Clock: "ms"}},
	{name: "imperial, quoted, American dates", language: "english", units: imperial, phase: true,
		text: logfiletest.Dialect{Units: "parentheses", Quotes: true, Clock: "american", Meta: "pairs"}},
	{name: "UTF-16, French, date beside time", language: "french",
		text: logfiletest.Dialect{Sep: "\t", Encoding: "utf-16le", EOL: "\r\n", Clock: "date and time", Foot: "\r\nFin d'enregistrement\r\n"}},
	{name: "units in cells, Italian", language: "italian", units: metric,
		text: logfiletest.Dialect{Sep: ";", Decimal: ",", Units: "cells"}},
	{name: "midnight, Spanish, everything quoted", language: "spanish", midnight: true,
		text: logfiletest.Dialect{Quotes: true, Encoding: "bom", Meta: "keys", Clock: "time of day", Fill: "NA"}},
	{name: "gzip, bars, milliseconds since 1970, Polish", language: "polish", units: scientific, pack: "gzip",
		text: logfiletest.Dialect{Sep: "|", Units: "slash", Clock: "unix ms", Meta: "hash", Trailing: true}},
	{name: "zip, Japanese, columns reversed", language: "japanese", reverse: true, pack: "zip", phase: true,
		text: logfiletest.Dialect{Encoding: "shift-jis", Meta: "section", Padding: true}},
	{name: "workbook, Dutch, imperial", language: "dutch", units: imperial, pack: "xlsx"},
	{name: "Parquet, terse", language: "terse", units: scientific, pack: "parquet"},
	{name: "stamps repeat, units above, Czech", language: "czech", units: metric, repeats: true,
		text: logfiletest.Dialect{Sep: "\t", Units: "above", Exponent: true, Foot: "# end of recording\n"}},
}

// TestFurtherDialects writes every log of the folder in further dialects, the first of each car in
// all ten, the others, whose names and units are the same, in a third of them each; the report
// must be the same but for what rounding explains.
func TestFurtherDialects(t *testing.T) {
	dir := testData()
	cases, err := loadCases(options{dir: dir})
	if err != nil {
		t.Fatal(err)
	}
	logs := map[string]int{} // of each car so far
	for _, c := range cases {
		turn := logs[c.truth.Car]
		logs[c.truth.Car]++
		t.Run(c.truth.ID, func(t *testing.T) {
			t.Parallel()
			b, err := newBaseline(c, dir)
			if err != nil {
				t.Fatal(err)
			}
			source, err := app.AnalyseLog(c.log, c.sheet, c.notes)
			if err != nil {
				t.Fatal(err)
			}
			for i := range furthers {
				if testing.Short() && i%4 != len(c.truth.ID+c.truth.Car)%4 {
					continue // each dialect on some logs
				}
				if turn > 0 && i%3 != turn%3 {
					continue
				}
				f := &furthers[i]
				s, shift := f.sample(b, source.Set.Barometer)
				got, err := b.reportOf(f.write(t, s, strings.TrimSuffix(c.truth.File, ".csv")))
				if err != nil {
					t.Errorf("%s: %v", f.name, err)
					continue
				}
				d := &difference{shift: shift, said: map[string]bool{}}
				d.walk("passes", b.report["passes"], got["passes"], nil, nil)
				if d.compared < 150 {
					t.Errorf("%s: only %d numbers compared", f.name, d.compared)
				}
				for _, line := range d.lines[:min(len(d.lines), 12)] {
					t.Errorf("%s: %s", f.name, line)
				}
			}
		})
	}
}
