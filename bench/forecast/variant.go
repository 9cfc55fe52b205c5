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
)

// variant is what a shop with fewer sensors, or less written down, has.
type variant struct {
	name, what string
	drop       []string // beginnings of the truth's names of the channels that are left out
	undriven   bool     // the undriven wheels are left out too
	still      bool     // nobody wrote the weather down
	onePass    bool     // only the last pass is known
}

var variants = []variant{
	{name: "plain", what: "as it is"},
	{name: "one-pass", what: "the last pass alone", onePass: true},
	{name: "no-ignition", what: "without the ignition angle", drop: []string{"ignition"}},
	{name: "no-boost", what: "without pressures of the intake", drop: []string{"map", "pre_throttle", "boost_target", "compressor"}},
	{name: "driven-only", what: "speed from the driven wheels and the engine alone", drop: []string{"accel_", "gps_"}, undriven: true},
	{name: "satellite-only", what: "no wheels, no accelerometer", drop: []string{"accel_", "wheel_"}},
	{name: "few", what: "engine speed, throttle, manifold pressure and satellite speed alone", drop: []string{"accel_", "wheel_", "ign", "intake", "lambda", "turbo", "exhaust", "egt", "wastegate", "pre_", "compressor", "torque_cut", "gear", "clutch", "boost_target", "pedal", "baro", "ambient"}},
	{name: "no-weather", what: "no weather in the notes", still: true},
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
func (v *variant) reads() bool { return len(v.drop) > 0 || v.still }

// log writes the log at path as the variant has it and gives the path of what it wrote,
// below dir; a log that loses nothing stays where it is.
func (v *variant) log(path, dir string) (string, error) {
	if len(v.drop) == 0 {
		return path, nil
	}
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
		columns[c.Column] = slices.ContainsFunc(drop, func(d string) bool { return strings.HasPrefix(c.Quantity, d) })
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
	if !v.still {
		return path, nil
	}
	text, err := os.ReadFile(path)
	if err != nil {
		return "", err
	}
	var out bytes.Buffer
	for line := range bytes.Lines(text) {
		key := strings.TrimSpace(string(line))
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
