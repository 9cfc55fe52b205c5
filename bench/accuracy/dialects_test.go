package main

import (
	"archive/zip"
	"bytes"
	"compress/gzip"
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"traplight/internal/app"
	"traplight/internal/logfile/logfiletest"
	"traplight/internal/quantity"
	"traplight/internal/reftest"
	"traplight/internal/report"
)

// further is a way in which another recorder or program would have written a
// log: names, units, text, container.
type further struct {
	name     string
	language string            // of the names, "" the log's own
	units    map[string]string // by the truth's unit; others stay
	digits   int               // how many more than the rounding needs
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

// baseline is a log with its report, as the file is.
type baseline struct {
	c       *logCase
	dir     string
	columns []writtenColumn
	report  map[string]any
}

type writtenColumn struct {
	logfiletest.Column
	quantity, unit string // the truth's
}

func (b *baseline) reportOf(path string) (map[string]any, error) {
	r, err := app.Report(context.Background(), app.ReportRequest{Logs: []string{path}, Cars: []string{filepath.Join(b.dir, "car_"+b.c.truth.Car+".toml")},
		Notes: filepath.Join(b.dir, "passes.toml"), Without: []string{"ledger"}})
	if err != nil {
		return nil, err
	}
	var text bytes.Buffer
	if err := report.WriteJSON(&text, r); err != nil {
		return nil, err
	}
	var out map[string]any
	return out, json.Unmarshal(text.Bytes(), &out)
}

// sample writes a log's columns in other words and units. barometer, Pa, is what
// gauges count from.
func (f *further) sample(b *baseline, barometer float64) (s logfiletest.Sample, shift float64) {
	log := b.c.log
	s.Name = b.c.truth.ID
	for _, x := range log.RowTime {
		s.Time = append(s.Time, log.Clock.Log(x))
	}
	if f.midnight {
		shift = 86400 - math.Round(s.Time[len(s.Time)/2])
		for i := range s.Time {
			s.Time[i] += shift
		}
	}
	for _, w := range b.columns {
		c := w.Column
		if n, ok := otherNames[f.language][w.quantity]; ok {
			c.Name = n
		}
		c.Unit = truthUnitText(w.unit)
		to, ok := f.units[w.quantity]
		if !ok {
			to, ok = f.units[w.unit]
		}
		if ok && c.Text == nil {
			c.Values = convertColumn(c.Values, w.unit, to, barometer)
			c.Unit = truthUnitText(to)
		}
		s.Columns = append(s.Columns, c)
	}
	if f.phase {
		words, few := make([]string, len(s.Time)), make([]float64, len(s.Time))
		for i := range words {
			words[i] = []string{"armed", "run", "coast"}[i*3/len(words)]
			few[i] = math.NaN()
			if i%97 == 5 {
				few[i] = float64(40 + i%7)
			}
		}
		s.Columns = append(s.Columns, logfiletest.Column{Name: "State of run", Text: words}, logfiletest.Column{Name: "Driver pulse", Unit: "1/min", Values: few})
	}
	if f.reverse {
		slices.Reverse(s.Columns)
	}
	if f.repeats {
		random := rand.New(rand.NewPCG(1, uint64(len(s.Time))))
		for i := 1; i < len(s.Time); i++ {
			if random.Float64() < 0.02 {
				s.Time[i] = s.Time[i-1]
			}
		}
	}
	return s, shift
}

// convertColumn prints values in another unit, with a step of a tenth of the
// original's or less.
func convertColumn(values []float64, from, to string, barometer float64) []float64 {
	a, z := quantity.MustUnit(truthUnitText(from)), quantity.MustUnit(truthUnitText(to))
	add := 0.0
	if a.Reference != z.Reference {
		if z.Reference == quantity.OverAmbient {
			add = -barometer
		} else if a.Reference == quantity.OverAmbient {
			add = barometer
		}
	}
	step, last := math.Inf(1), math.NaN()
	for _, x := range values {
		if d := math.Abs(x - last); d > 1e-9 && d < step {
			step = d
		}
		if x == x {
			last = x
		}
	}
	if math.IsInf(step, 1) {
		step = 1e-2 // it never changes
	}
	step *= math.Abs(a.Factor / z.Factor)
	scale := 1.0
	for scale < 1e9 && 1/scale > step/10 {
		scale *= 10
	}
	out := make([]float64, len(values))
	for i, x := range values {
		out[i] = math.Round(z.Of(a.SI(x)+add)*scale) / scale
	}
	return out
}

// write puts a sample into a file of the dialect.
func (f *further) write(t *testing.T, s logfiletest.Sample, stem string) string {
	t.Helper()
	var data []byte
	name := stem + ".csv"
	switch f.pack {
	case "xlsx":
		name, data = stem+".xlsx", logfiletest.Workbook(s)
	case "parquet":
		name, data = stem+".parquet", logfiletest.Parquet(t, s)
	default:
		data = f.text.Encode(s)
	}
	var b bytes.Buffer
	var err error
	switch f.pack {
	case "gzip":
		z := gzip.NewWriter(&b)
		_, err = z.Write(data)
		z.Close()
		name, data = stem+".csv.gz", b.Bytes()
	case "zip":
		z := zip.NewWriter(&b)
		w, e := z.Create("export/" + stem + ".csv")
		if err = e; err == nil {
			_, err = w.Write(data)
		}
		z.Close()
		name, data = stem+".zip", b.Bytes()
	}
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, data, 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

// TestFurtherDialects writes every log of the folder in ten further dialects;
// the report must be the same but for what rounding explains.
func TestFurtherDialects(t *testing.T) {
	dir := reftest.Path(t, "logs")
	cases, err := loadCases(options{dir: dir})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range cases {
		t.Run(c.truth.ID, func(t *testing.T) {
			t.Parallel()
			b := &baseline{c: c, dir: dir}
			v := newVariantLog(c.log, c.truth, "")
			for i := range v.Columns {
				q := v.quantityOf(i)
				unit := v.unitOf(q)
				if q == "gps_lat" || q == "gps_lon" {
					unit = "deg"
				}
				b.columns = append(b.columns, writtenColumn{logfiletest.Column{Name: v.Columns[i].Name, Unit: v.Columns[i].Unit, Values: v.Columns[i].Values}, q, unit})
			}
			var err error
			if b.report, err = b.reportOf(filepath.Join(dir, c.truth.File)); err != nil {
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

// difference holds one report against another.
type difference struct {
	shift    float64 // s, by which the log's own clock was moved
	compared int
	lines    []string
	said     map[string]bool
}

func (d *difference) tell(path, format string, args ...any) {
	d.lines = append(d.lines, path+": "+fmt.Sprintf(format, args...))
}

func (d *difference) walk(path string, want, got any, wantIn, gotIn map[string]any) {
	switch w := want.(type) {
	case map[string]any:
		g, ok := got.(map[string]any)
		if !ok {
			d.tell(path, "%v, want an object", got)
			return
		}
		tie := d.tie(w["power"], g["power"])
		for k := range w {
			if tie && k == "power" {
				continue
			}
			wk, gk := w[k], g[k]
			if tie && (k == "air_path" || k == "fuel") {
				wk, gk = without(wk, atPeak), without(gk, atPeak)
			}
			if k != "chance_on_healthy_car" && k != "evidence" && k != "channels" && k != "notes" && k != "not_judged" && k != "file" {
				d.walk(path+"."+k, wk, gk, w, g)
			}
		}
	case []any:
		g, ok := got.([]any)
		if !ok || len(g) != len(w) {
			d.tell(path, "%v, want %d entries", got, len(w))
			return
		}
		for i := range w {
			d.walk(fmt.Sprintf("%s[%d]", path, i), w[i], g[i], nil, nil)
		}
	case float64:
		g, ok := got.(float64)
		if !ok {
			d.tell(path, "%v, want %v", got, w)
			return
		}
		d.compared++
		key, _, _ := strings.Cut(path[strings.LastIndexByte(path, '.')+1:], "[") // of a list, its own
		if strings.HasSuffix(key, "_s") && onLogClock[key] {
			g -= d.shift
		}
		if math.Abs(g-w) > tolerance(key, w, wantIn) {
			d.tell(path, "%v, want %v (%.2g)", g, w, g-w)
		}
	default:
		if want != got {
			d.tell(path, "%v, want %v", got, want)
		}
	}
}

// tie says whether two moments of a pass have the same peak power, so that rounding
// chooses between them: what is read off at that moment then cannot be compared.
func (d *difference) tie(want, got any) bool {
	w, ok1 := want.(map[string]any)
	g, ok2 := got.(map[string]any)
	if !ok1 || !ok2 {
		return false
	}
	num := func(m map[string]any, k string) float64 {
		if v, ok := m[k].(float64); ok {
			return v
		}
		return math.NaN()
	}
	same := math.Abs(num(g, "peak_wheel_w")-num(w, "peak_wheel_w")) <= tolerance("peak_wheel_w", num(w, "peak_wheel_w"), w)
	return same && math.Abs(num(g, "at_s")-d.shift-num(w, "at_s")) > 0.05
}

// atPeak are the figures outside "power" that are read off at the moment of peak power.
var atPeak = []string{"air_flow_kgps", "volumetric_efficiency", "efficiency"}

// without is a copy of an object that leaves some keys out.
func without(v any, keys []string) any {
	m, ok := v.(map[string]any)
	if !ok {
		return v
	}
	m = maps.Clone(m)
	for _, k := range keys {
		delete(m, k)
	}
	return m
}

var onLogClock = map[string]bool{"launch_s": true, "rollout_s": true, "finish_s": true, "lift_s": true, "start_s": true, "end_s": true, "at_s": true, "t_s": true, "closed_s": true}

// tolerance is what rounding explains of a number: a tenth of its standard
// deviation, where it has one.
func tolerance(key string, w float64, in map[string]any) float64 {
	if strings.Contains(key, "_sd") || strings.HasPrefix(key, "sd_") {
		return 0.06*math.Abs(w) + 1e-9
	}
	tol := 2e-3*math.Abs(w) + 1e-6
	switch {
	case key == "full_throttle_s":
		return 0.011 // counted in steps of a hundredth
	case key == "density_altitude_m":
		return 1
	case strings.HasSuffix(key, "_s"):
		tol = 1e-3
	case strings.HasSuffix(key, "_m"):
		tol = max(tol, 1e-4) // where the car stood at the launch is a few micrometres off zero
	case strings.HasSuffix(key, "_pa"):
		tol = max(tol, 60) // most prints have steps of 100 Pa or more
	case strings.Contains(key, "back_pressure"):
		tol = 4e-3 * math.Abs(w)
	}
	for k, v := range in {
		if sd, ok := v.(float64); ok && strings.Contains(k, "_sd") && strings.Replace(k, "_sd", "", 1) == key || k == "sd_mps" && key == "speed_mps" {
			sd, _ = v.(float64)
			tol = max(0.1*sd, 1e-6*math.Abs(w))
			if strings.HasSuffix(key, "_s") {
				tol = max(tol, 1e-3)
			}
		}
	}
	return tol
}
