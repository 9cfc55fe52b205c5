package airpath

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/pass"
	"traplight/internal/quantity"
	"traplight/internal/reftest"
)

// The tests of this file read simulated logs that lie beside the project; their
// truth files also say what each column is, so that this room is tested by itself.

type truthFile struct {
	Clock   struct{ Kind string }
	Dialect struct {
		Separator, Decimal, Fill string
	}
	Channels []struct {
		Column, Quantity, Unit string
		LambdaScale            *string `json:"lambda_scale"`
	}
	Passes []truthPass
}

type truthPass struct {
	Launch  float64 `json:"t_launch"`
	Healthy bool
	Gears   []struct {
		Gear      int
		TStart    float64  `json:"t_start"`
		TEnd      float64  `json:"t_end"`
		FullTime  float64  `json:"full_throttle_s"`
		Boost     *float64 `json:"boost_gauge_mean"`
		Target    *float64 `json:"boost_target_gauge"`
		BackPress *float64 `json:"back_pressure_ratio_mean"`
		RPMEnd    float64  `json:"rpm_end"`
	}
	Shifts []struct {
		From      int      `json:"from_gear"`
		To        int      `json:"to_gear"`
		Start     float64  `json:"t_start"`
		Off       float64  `json:"t_torque_off"`
		On        float64  `json:"t_torque_on"`
		Map       float64  `json:"map_start"`
		MapMin    float64  `json:"map_min"`
		MapTarget float64  `json:"map_target_next"`
		ToPre     *float64 `json:"recovery_to_pre_from_start_s"`
		ToTarget  *float64 `json:"recovery_to_target_from_start_s"`
		RPM       float64  `json:"rpm_before"`
	}
	Power *struct {
		T     float64 `json:"t_log"`
		RPM   float64
		Ratio float64 `json:"back_pressure_ratio"`
		Map   float64
		Air   float64 `json:"air_mass_flow"`
		Temp  float64 `json:"intake_temp"`
	} `json:"peak_hub_power"`
	Env struct {
		P       float64 `json:"p_amb"`
		T       float64 `json:"t_amb"`
		RH      float64 `json:"rh"`
		Density float64 `json:"air_density"`
	} `json:"environment"`
}

var quantities = map[string]quantity.Name{
	"rpm": quantity.EngineSpeed, "engine_speed": quantity.EngineSpeed, "throttle": quantity.Throttle,
	"map": quantity.ManifoldPressure, "exhaust_manifold_pressure": quantity.ExhaustPressure,
	"barometer": quantity.BarometricPressure, "intake_temp": quantity.IntakeTemperature,
	"turbo_rpm": quantity.TurboSpeed, "turbo_speed": quantity.TurboSpeed,
}

// units maps a unit as the truth files name it to the factor and the addend that
// lead to SI.
var units = map[string][2]float64{
	"rpm": {2 * math.Pi / 60, 0}, "%": {0.01, 0}, "kPa abs": {1e3, 0}, "kPa": {1e3, 0}, "bar abs": {1e5, 0},
	"bar gauge": {1e5, 0}, "psi gauge": {6894.757293, 0}, "inHg": {3386.389, 0}, "C": {1, 273.15},
	"F": {5.0 / 9, 273.15 - 32*5.0/9}, "krpm": {2000 * math.Pi / 60, 0},
}

func sharedLogs(tb testing.TB) []string {
	tb.Helper()
	files, err := filepath.Glob(filepath.Join(reftest.Path(tb, "logs"), "*.truth.json"))
	if err != nil {
		tb.Fatal(err)
	}
	return files
}

func readTruth(tb testing.TB, file string) (truthFile, *dictionary.Set) {
	tb.Helper()
	var truth truthFile
	raw, err := os.ReadFile(file)
	if err != nil {
		tb.Fatal(err)
	}
	if err := json.Unmarshal(raw, &truth); err != nil {
		tb.Fatal(err)
	}
	text, err := os.ReadFile(strings.TrimSuffix(file, ".truth.json") + ".csv")
	if err != nil {
		tb.Fatal(err)
	}
	sep := truth.Dialect.Separator
	number := func(s string) float64 {
		s = strings.Trim(s, `"`)
		if truth.Dialect.Decimal == "," {
			s = strings.Replace(s, ",", ".", 1)
		}
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			return math.NaN()
		}
		return v
	}
	clock := func(s string) float64 {
		s = strings.Trim(s, `"`)
		if i := strings.IndexAny(s, "T "); i >= 0 {
			s = s[i+1:]
		}
		s = strings.TrimSuffix(s, "Z")
		if parts := strings.Split(s, ":"); len(parts) == 3 {
			return number(parts[0])*3600 + number(parts[1])*60 + number(parts[2])
		}
		v := number(s)
		if truth.Clock.Kind == "ms" {
			v /= 1000
		}
		return v
	}
	var header []string
	columns := map[int]*dictionary.Channel{}
	scale := map[int][2]float64{}
	set := &dictionary.Set{}
	last := math.Inf(-1)
	for _, l := range strings.Split(string(text), "\n") {
		cells := strings.Split(strings.TrimRight(l, "\r"), sep)
		if len(cells) < 10 {
			continue
		}
		if header == nil {
			header = cells
			for i := range cells {
				name := strings.Trim(cells[i], `"`)
				for _, c := range truth.Channels {
					q := quantities[c.Quantity]
					rest, found := strings.CutPrefix(name, c.Column)
					if q == "" || !found || rest != "" && !strings.ContainsAny(rest[:1], " [(_") || columns[i] != nil {
						continue
					}
					u, ok := units[c.Unit]
					if !ok {
						tb.Fatalf("%s: unit %q", file, c.Unit)
					}
					columns[i] = &dictionary.Channel{Name: c.Column, Quantity: q, Unit: c.Unit, Confidence: 1,
						Gauge: strings.Contains(c.Unit, "gauge"), RateHz: 100}
					scale[i] = u
				}
			}
			continue
		}
		t := clock(cells[0])
		if math.IsNaN(t) || t <= last {
			continue
		}
		last = t
		for i, c := range columns {
			if i >= len(cells) {
				continue
			}
			if v := number(cells[i]); !math.IsNaN(v) {
				v = v*scale[i][0] + scale[i][1]
				if n := c.Trace.Len(); truth.Dialect.Fill == "hold" && n > 0 && c.Trace.V[n-1] == v {
					continue
				}
				c.Trace.T = append(c.Trace.T, t)
				c.Trace.V = append(c.Trace.V, v)
			}
		}
	}
	for _, c := range columns {
		if c.Gauge {
			// As the dictionary does when nobody told it the barometer.
			const base = 101325
			set.Barometer = base
			for i := range c.Trace.V {
				c.Trace.V[i] += base
			}
		}
		set.Channels = append(set.Channels, *c)
	}
	slices.SortFunc(set.Channels, func(a, b dictionary.Channel) int { return strings.Compare(a.Name, b.Name) })
	return truth, set
}

// passOf makes the pass as motion and gears would hand it over if they were
// perfect.
func passOf(truth truthPass, set *dictionary.Set) *pass.Pass {
	p := &pass.Pass{Launch: quantity.Estimate{Value: truth.Launch}}
	for _, s := range truth.Shifts {
		p.Shifts = append(p.Shifts, pass.Shift{From: s.From, To: s.To,
			Start: quantity.Estimate{Value: s.Off, SD: 0.003}, End: quantity.Estimate{Value: s.On, SD: 0.003}})
	}
	throttle := set.First(quantity.Throttle)
	for _, g := range truth.Gears {
		span := pass.GearSpan{Gear: g.Gear, Start: g.TStart, End: g.TEnd}
		from, to := g.TStart, g.TEnd
		for _, s := range truth.Shifts {
			if s.To == g.Gear {
				from = max(from, s.On)
			}
			if s.From == g.Gear {
				to = min(to, s.Off)
			}
		}
		open := math.NaN()
		for t := from; t < to; t += 0.005 {
			v, ok := 1.0, true
			if throttle != nil {
				v, ok = throttle.Trace.At(t)
			}
			full := ok && v > 0.9
			if full && math.IsNaN(open) {
				open = t
			}
			if !full && !math.IsNaN(open) {
				span.FullThrottle = append(span.FullThrottle, pass.Window{From: open, To: t})
				open = math.NaN()
			}
		}
		if !math.IsNaN(open) {
			span.FullThrottle = append(span.FullThrottle, pass.Window{From: open, To: to})
		}
		p.Gears = append(p.Gears, span)
	}
	if truth.Power != nil {
		p.Power = &pass.Power{At: truth.Power.T, EngineSpeed: truth.Power.RPM * 2 * math.Pi / 60}
	}
	return p
}

func noteOf(truth truthPass) *car.PassNote {
	n := &car.PassNote{}
	n.Weather.Pressure = math.Round(truth.Env.P/100) * 100
	n.Weather.AirTemp = math.Round(truth.Env.T*2) / 2
	n.Weather.Humidity = truth.Env.RH
	for _, g := range truth.Gears {
		n.BoostTarget = append(n.BoostTarget, *g.Target)
	}
	return n
}
