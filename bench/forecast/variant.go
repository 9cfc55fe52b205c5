package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"unicode"

	"traplight/internal/demo"
)

// variant is what a shop with fewer sensors, or less written down, has.
type variant struct {
	name, what string
	drop       []string // beginnings of the truth's names of the channels that are left out
	only       []string // the only ones that are there, whole names; nil: all
	undriven   bool     // the undriven wheels are left out too
	still      bool     // nobody wrote the weather down
	onePass    bool     // only the last pass is known
	bare       bool     // of passes nothing is written down but when and where
	alone      bool     // no pass is written down at all
	mixed      bool     // the logs are named in another order
	split      bool     // each pass lies in two logs: the engine's, and a satellite receiver's
	shape      *shape   // of the passes themselves; nil: the plain bench's
}

var plain shape

var variants = []variant{
	{name: "plain", what: "as it is"},
	{name: "one-pass", what: "the last pass alone", onePass: true},
	{name: "no-ignition", what: "without the ignition angle", drop: []string{"ignition"}},
	{name: "no-boost", what: "without pressures of the intake", drop: []string{"map", "pre_throttle", "boost_target", "compressor"}},
	{name: "driven-only", what: "speed from the driven wheels and the engine alone", drop: []string{"accel_", "gps_"}, undriven: true},
	{name: "satellite-only", what: "no wheels, no accelerometer", drop: []string{"accel_", "wheel_"}},
	{name: "few", what: "engine speed, throttle, manifold pressure and satellite speed alone", drop: []string{"accel_", "wheel_", "ign", "intake", "lambda", "turbo", "exhaust", "egt", "wastegate", "pre_", "compressor", "torque_cut", "gear", "clutch", "boost_target", "pedal", "baro", "ambient"}},
	{name: "poorest", what: "engine speed and manifold pressure alone", only: []string{"rpm", "map"}},
	{name: "no-weather", what: "no weather in the notes", still: true},
	{name: "bare-notes", what: "no settings and no weather of the passes in the notes", bare: true},
	{name: "no-notes", what: "no pass in the notes", alone: true},
	{name: "mixed-order", what: "three passes, their logs in another order", mixed: true, shape: &shape{passes: fixed(3)}},
	{name: "two-logs", what: "each pass in two logs, engine and satellite", split: true},
	{name: "lifted", what: "the last pass lifted 120 m before the line", shape: &shape{last: func(_ demo.Car, o *demo.PassOptions, _ uint64) { o.Driver.LiftAt = o.Strip.Length - 120 }}},
	{name: "aborted", what: "the last pass given up at a third of the way", shape: &shape{last: func(_ demo.Car, o *demo.PassOptions, _ uint64) { o.Driver.LiftAt = o.Strip.Length / 3 }}},
	{name: "only-aborted", what: "one pass alone, given up at half the way", shape: &shape{passes: fixed(1), last: func(_ demo.Car, o *demo.PassOptions, _ uint64) { o.Driver.LiftAt = o.Strip.Length / 2 }}},
	{name: "only-lifted", what: "one pass alone, lifted 120 m before the line", shape: &shape{passes: fixed(1), last: func(_ demo.Car, o *demo.PassOptions, _ uint64) { o.Driver.LiftAt = o.Strip.Length - 120 }}},
	{name: "pedalled", what: "the last pass spun in its first gears and was pedalled", shape: &shape{last: func(c demo.Car, o *demo.PassOptions, seed uint64) {
		stepped(2, 1.5)(c, o, seed)
		o.Driver.Pedal = true
	}}},
	{name: "bogged", what: "the last pass left the line at half the engine speed", shape: &shape{last: func(_ demo.Car, o *demo.PassOptions, _ uint64) {
		s := *o.Settings
		s.LaunchSpeed *= 0.6
		o.Settings = &s
	}}},
	{name: "missed-shift", what: "the shift out of second was missed at first in the last pass", shape: &shape{last: func(_ demo.Car, o *demo.PassOptions, _ uint64) { o.Driver.MissShift = 2 }}},
	{name: "feathered", what: "the foot off the pedal for 0.4 s in the middle of the last pass", shape: &shape{last: func(_ demo.Car, o *demo.PassOptions, _ uint64) { o.Driver.FeatherAt, o.Driver.FeatherFor = 400, 0.4 }}},
	{name: "fault", what: "two sound passes, then one with a moderate or gross fault that is mended", shape: &shape{passes: fixed(3), last: ill}},
	{name: "fault-alone", what: "one pass alone, with a moderate or gross fault that is mended", shape: &shape{passes: fixed(1), last: ill}},
	{name: "season", what: "fifteen passes of five days on three strips, plans after the 1st, 3rd, 7th and last", shape: &shape{passes: fixed(15), season: true}},
	{name: "high", what: "all 1450 m above the sea", shape: &shape{strip: sized("high", 804.672, 1450, 0.001)}},
	{name: "up", what: "the planned pass 1300 m higher", shape: &shape{next: sized("plateau", 804.672, 1420, 0.0008)}},
	{name: "to-quarter", what: "the planned pass on a quarter mile", shape: &shape{next: sized("quarter", 402.336, 118, 0)}},
	{name: "to-kilometre", what: "the planned pass on a kilometre, falling", shape: &shape{next: sized("kilometre", 1000, 118, -0.003)}},
	{name: "to-mile", what: "the planned pass on a mile", shape: &shape{next: sized("mile", 1609.344, 118, 0.002)}},
	{name: "from-quarter", what: "passes of a quarter mile, the planned one on a half", shape: &shape{strip: sized("quarter", 402.336, 118, 0), next: sized("half", 804.672, 118, 0.001)}},
}

func variantNames() string {
	var out []string
	for _, v := range variants {
		out = append(out, v.name)
	}
	return strings.Join(out, ", ")
}

func variantByName(name string) (*variant, error) {
	for i := range variants {
		if variants[i].name == name {
			return &variants[i], nil
		}
	}
	return nil, fmt.Errorf("no variant %q; there are %s", name, variantNames())
}

// reads tells that what is read from a log is not what is read from the whole one.
func (v *variant) reads() bool {
	return len(v.drop)+len(v.only) > 0 || v.still || v.bare || v.alone || v.whole()
}

// whole tells that the history is read at once, as the command does.
func (v *variant) whole() bool { return v.mixed || v.split || v.shape != nil }

// folder is where a car's passes are kept: those of another shape stand apart.
func (v *variant) folder(car string) string {
	if v.shape == nil {
		return car
	}
	return car + "-" + v.name
}

// form is the shape of the passes.
func (v *variant) form() *shape {
	if v.shape == nil {
		return &plain
	}
	return v.shape
}

// history are the logs as the variant hands them over, below dir.
func (v *variant) history(logs []string, dir string) ([]string, error) {
	var out []string
	for _, l := range logs {
		if v.split {
			satellite := []string{"gps_", "latitude", "longitude", "altitude"}
			b, err := v.part(l, filepath.Join(dir, "satellite"), func(q string) bool { return !begins(q, satellite) })
			if err != nil {
				return nil, err
			}
			own := strings.TrimSuffix(b, ".csv") + "_receiver.csv"
			if err := os.Rename(b, own); err != nil {
				return nil, err
			}
			b = own
			if l, err = v.part(l, dir, func(q string) bool { return begins(q, satellite) || begins(q, []string{"accel_"}) }); err != nil {
				return nil, err
			}
			out = append(out, l, b)
			continue
		}
		l, err := v.log(l, dir)
		if err != nil {
			return nil, err
		}
		out = append(out, l)
	}
	if v.mixed {
		slices.Reverse(out)
		if len(out) > 2 {
			out[0], out[1] = out[1], out[0]
		}
	}
	return out, nil
}

func begins(q string, with []string) bool {
	return slices.ContainsFunc(with, func(d string) bool { return strings.HasPrefix(q, d) })
}

// log writes the log at path as the variant has it and gives the path of what it wrote,
// below dir; a log that loses nothing stays where it is.
func (v *variant) log(path, dir string) (string, error) {
	if len(v.drop)+len(v.only) == 0 {
		return path, nil
	}
	if v.only != nil {
		return v.part(path, dir, func(q string) bool { return !slices.Contains(v.only, q) })
	}
	return v.part(path, dir, nil)
}

// part writes the log at path without the quantities for which goes is true (nil: the
// variant's own) and gives the path of what it wrote, below dir.
func (v *variant) part(path, dir string, goes func(quantity string) bool) (string, error) {
	data, err := os.ReadFile(strings.TrimSuffix(path, ".csv") + ".truth.json")
	if err != nil {
		return "", err
	}
	var truth struct {
		Channels []struct{ Column, Quantity string }
		Dialect  struct{ Separator string }
		Passes   []struct {
			Car struct{ Layout string } `json:"car_params"`
		}
	}
	if err := json.Unmarshal(data, &truth); err != nil {
		return "", err
	}
	drop := slices.Clone(v.drop)
	if v.undriven && len(truth.Passes) > 0 {
		drop = append(drop, map[string][]string{"front": {"wheel_r"}, "rear": {"wheel_f"}}[truth.Passes[0].Car.Layout]...)
	}
	columns := map[string]bool{} // by name, whether it goes
	for _, c := range truth.Channels {
		if goes != nil {
			columns[c.Column] = goes(c.Quantity)
		} else {
			columns[c.Column] = begins(c.Quantity, drop)
		}
	}
	text, err := os.ReadFile(path)
	if err != nil {
		return "", err
	}
	text, err = without(text, truth.Dialect.Separator, columns)
	if err != nil {
		return "", fmt.Errorf("%s: %w", path, err)
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return "", err
	}
	out := filepath.Join(dir, filepath.Base(path))
	return out, os.WriteFile(out, text, 0o644)
}

// without leaves columns out of a text table. columns tells by name, with or without a
// unit after it, whether a column goes.
func without(text []byte, separator string, columns map[string]bool) ([]byte, error) {
	comma := ','
	if separator != "" {
		comma = []rune(separator)[0]
	}
	var out bytes.Buffer
	var goes []bool
	for line := range bytes.Lines(text) {
		r := csv.NewReader(bytes.NewReader(line))
		r.Comma, r.LazyQuotes = comma, true
		fields, err := r.Read()
		if goes == nil && err == nil {
			goes = header(fields, columns)
		}
		if err != nil || len(fields) != len(goes) {
			out.Write(line) // what stands before the table
			continue
		}
		var keep []string
		for i, f := range fields {
			if !goes[i] {
				keep = append(keep, f)
			}
		}
		w := csv.NewWriter(&out)
		w.Comma = comma
		if err := w.Write(keep); err != nil {
			return nil, err
		}
		w.Flush()
	}
	if goes == nil {
		return nil, fmt.Errorf("no line holds the names of the channels")
	}
	return out.Bytes(), nil
}

// header tells by field whether it goes; nil when the fields are no header.
func header(fields []string, columns map[string]bool) []bool {
	goes, known := make([]bool, len(fields)), 0
	for i, f := range fields {
		f = strings.TrimPrefix(strings.TrimSpace(f), "\ufeff")
		best := ""
		for name := range columns {
			rest, ok := strings.CutPrefix(f, name)
			if ok && len(name) > len(best) && (rest == "" || !unicode.IsLetter([]rune(rest)[0]) && !unicode.IsDigit([]rune(rest)[0])) {
				best = name
			}
		}
		if best != "" {
			known++
			goes[i] = columns[best]
		}
	}
	if 2*known < len(columns) {
		return nil
	}
	return goes
}

// weatherKeys begin the lines of notes that tell the weather.
var weatherKeys = []string{"air_temp", "station_pressure", "altimeter", "humidity", "dew_point", "headwind", "wind_", "gust", "crosswind"}

// notes writes the notes at path as the variant has them and gives the path.
func (v *variant) notes(path, dir string) (string, error) {
	if !v.still && !v.bare && !v.alone {
		return path, nil
	}
	text, err := os.ReadFile(path)
	if err != nil {
		return "", err
	}
	var out bytes.Buffer
	pass := false
	for line := range bytes.Lines(text) {
		key := strings.TrimSpace(string(line))
		if strings.HasPrefix(key, "[[") {
			pass = key == "[[pass]]"
		}
		switch {
		case v.bare || v.alone:
			known := !v.alone && (key == "[[pass]]" || begins(key, []string{"id", "file", "index", "car", "event", "strip", "when"}))
			if pass && !known || v.alone && strings.HasPrefix(key, "after") {
				continue
			}
			out.Write(line)
			continue
		}
		if !slices.ContainsFunc(weatherKeys, func(k string) bool { return strings.HasPrefix(key, k) }) {
			out.Write(line)
		}
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return "", err
	}
	name := filepath.Join(dir, filepath.Base(filepath.Dir(path))+"-"+filepath.Base(path))
	return name, os.WriteFile(name, out.Bytes(), 0o644)
}
