package main

import (
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"strings"

	"traplight/internal/car"
	"traplight/internal/demo"
	"traplight/internal/dictionary"
	"traplight/internal/health"
	"traplight/internal/logfile"
	"traplight/internal/num/xrand"
	"traplight/internal/reconstruct"
)

// garage is a car with its sheet, the channels it has, and its clear passes.
type garage struct {
	car     demo.Car
	sheet   *car.Sheet
	sensors string
	rig     uint64 // the sensors' own errors
	past    []health.Summary
	all     []health.Summary // past and the passes left out of it
	shop    *health.Shop
}

// truth is what the bench needs of a truth file.
type truth struct {
	Passes []struct {
		TLaunch float64 `json:"t_launch"`
		Faults  []struct {
			Kind, Grade  string
			TObservable  *float64 `json:"t_observable"`
			Visible      bool
			ChannelsHere []string `json:"channels_present"`
			Detail       struct{ Channel, Mode string }
			Effects      map[string]effect
			AtRest       map[string]map[string]float64 `json:"at_rest"` // by "before", "after" and signal, SI
		}
	}
	Channels []struct{ Quantity string }
}

// effect is how far a fault moves a signal.
type effect struct {
	Largest float64 `json:"largest_change"` // SI unit of the signal
	Held    float64 `json:"held_s"`         // s beyond the threshold without a break
	Share   float64 `json:"held_share"`     // 1, change meanwhile over the signal of the pass without the fault
}

// How long a signal must stay beyond its threshold to count as shown, s, and how
// much torque must be gone, a share: what shorter or less does is not told from
// the next pass's ordinary course by anyone.
const (
	heldLeast   = 0.5
	torqueLeast = 0.04
)

// shown says whether a fault shows in the log itself: in the generator's own pass
// without the fault and without noise, gear by gear at the same time in the gear,
// a signal that the log has, or that follows from one it has, is off by more than
// the truth's threshold for it (several standard deviations of its sensor) for
// half a second on end. A torque must be off by 4 %. Knocks are pulses and need
// not last.
func (t *truth) shown() bool {
	if t == nil || len(t.Passes) == 0 || len(t.Passes[0].Faults) == 0 {
		return false
	}
	f := t.Passes[0].Faults[0]
	if f.Kind == string(demo.SensorFault) {
		return f.Visible
	}
	has := func(prefix ...string) bool {
		for _, c := range t.Channels {
			for _, p := range prefix {
				if strings.HasPrefix(c.Quantity, p) {
					return true
				}
			}
		}
		return false
	}
	for k, e := range f.Effects {
		if e.Held < heldLeast && k != "knock_1" {
			continue
		}
		switch k {
		case "n2o_flow":
			continue
		case "egt_b1", "egt_b2":
			k = "egt"
		case "lambda_1", "lambda_2":
			k = "lambda"
		case "ignition_angle_deg":
			k = "ignition_angle"
		case "knock_1":
			k = "knock"
		case "accel_long":
			continue
		case "hub_torque":
			if math.Abs(e.Share) > torqueLeast && has("accel_long") && has("map") {
				return true
			}
			continue
		case "clutch_slip_rpm":
			k = "rpm"
		case "tyre_radius":
			k = "wheel"
		}
		if has(k) {
			return true
		}
	}
	return false
}

// moved tells what a fault moves in the log, how far in SI units, for how long on end, and
// since when; launch is in seconds of the log's clock.
func (t *truth) moved(given *demo.Fault, launch float64) string {
	f := t.Passes[0].Faults[0]
	var parts []string
	for _, k := range slices.Sorted(maps.Keys(f.Effects)) {
		if e := f.Effects[k]; e.Held >= heldLeast {
			parts = append(parts, fmt.Sprintf("%s %.3g (%.0f %%) %.1f s", k, e.Largest, 100*e.Share, e.Held))
		}
	}
	seen := math.NaN()
	if f.TObservable != nil {
		seen = *f.TObservable - launch
	}
	return fmt.Sprintf("%s; %.3g %s, always %v, seen from %.1f s after the launch, over %.1f s; logged: %s",
		strings.Join(parts, ", "), given.Severity, given.Unit, given.Always, seen, given.Ramp, strings.Join(f.ChannelsHere, " "))
}

// options draws a pass's settings and weather as a crew and a season would.
func (g *garage) options(r *rand.Rand, id string) demo.PassOptions {
	set := g.car.Usual()
	f := 0.88 + 0.14*r.Float64()
	for i := range set.Boost {
		set.Boost[i] = math.Round(set.Boost[i]*f/1e3) * 1e3
	}
	for i := range set.ShiftSpeed {
		set.ShiftSpeed[i] += float64(r.IntN(4)-2) * 50 * math.Pi / 30
	}
	if r.Float64() < 0.25 {
		set.ColdPressure *= 0.85 + 0.2*r.Float64()
	}
	set.Nitrous = r.Float64() < 0.5
	strips := append([]demo.Strip{demo.HomeStrip()}, demo.OtherStrips()...)
	st := strips[0]
	if r.Float64() < 0.3 {
		st = strips[1+r.IntN(2)]
	}
	w := demo.DrawWeather(st, r.Uint64())
	o := demo.PassOptions{ID: id, When: "2033-06-11 10:20", Settings: &set, Weather: &w, Strip: &st, DaySeed: g.rig, Sensors: g.sensors}
	switch r.IntN(10) {
	case 0:
		o.Driver.Pedal = true
	case 1:
		o.Driver.MissShift = 2
	case 2, 3:
		o.Driver.Creep = true
	case 4:
		o.Driver.LiftAt = 500 + 200*r.Float64()
	case 5:
		o.Driver.Burnout = true
	}
	switch r.IntN(10) {
	case 0:
		o.Quirks = append(o.Quirks, demo.Quirk{Kind: "dropout", Channel: "gps", From: 5, To: 8.5})
	case 1:
		o.Quirks = append(o.Quirks, demo.Quirk{Kind: "rows_missing", From: 10, To: 10.3})
	case 2:
		o.Quirks = append(o.Quirks, demo.Quirk{Kind: "duplicated_stamps", Share: 0.005})
	}
	return o
}

// pass makes a pass and reads it as the program does.
func (g *garage) pass(o demo.PassOptions, seed uint64) (health.Record, *truth, error) {
	o.NoTruth = o.Fault == nil
	rec := demo.Generate(g.car, o, seed)
	var tr *truth
	if rec.Truth != nil {
		tr = &truth{}
		if err := json.Unmarshal(rec.Truth, tr); err != nil {
			return health.Record{}, nil, err
		}
	}
	log, err := logfile.Read(rec.Name+".csv", rec.CSV)
	if err != nil {
		return health.Record{}, tr, err
	}
	notes, err := car.ParseNotes("notes.toml", rec.NoteTOML)
	if err != nil {
		return health.Record{}, tr, err
	}
	given := dictionary.Options{MixtureScale: g.sheet.LambdaScale}
	if n := notes.For(rec.Name+".csv", 0); n != nil && n.Weather.Pressure > 0 {
		given.Barometer = n.Weather.Pressure
	}
	set, err := dictionary.Identify(log, given)
	if err != nil {
		return health.Record{}, tr, err
	}
	res, err := reconstruct.Passes(set, g.sheet, notes, reconstruct.Options{File: rec.Name + ".csv"})
	if err != nil {
		return health.Record{}, tr, err
	}
	if len(res.Passes) == 0 {
		return health.Record{}, tr, fmt.Errorf("%s: no pass found", rec.Name)
	}
	return health.Record{Name: o.ID, Set: set, Pass: res.Passes[len(res.Passes)-1], Note: notes.For(rec.Name+".csv", 0), Clear: true}, tr, nil
}

// garages readies every car with the channel sets it is tried with.
func (b *bench) garages() ([]*garage, error) {
	var out []*garage
	cars := demo.Cars()
	if b.random > 0 {
		cars = nil
	}
	for i := range b.random {
		cars = append(cars, demo.RandomCar(xrand.Sub(b.seed, fmt.Sprintf("car/%d", i))))
	}
	for k, c := range cars {
		if !wanted(b.cars, c.ID) {
			continue
		}
		for i, s := range []string{"full", "medium", "poor"} {
			if !wanted(b.sets, s) || b.random > 0 && i != k%3 {
				continue
			}
			sheet, err := car.ParseSheet(c.ID+".toml", c.SheetTOML())
			if err != nil {
				return nil, err
			}
			if b.random > 0 {
				sheet.Limits = car.Limits{} // drawn cars are run over them at their usual settings
			}
			out = append(out, &garage{car: c, sheet: sheet, sensors: s, rig: xrand.Sub(b.seed, fmt.Sprintf("rig/%s/%d", c.ID, i))})
		}
	}
	return out, nil
}

func wanted(list []string, s string) bool {
	if len(list) == 0 {
		return true
	}
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}

// remember runs the garage's earlier, healthy passes.
func (g *garage) remember(cache string, seed uint64, n int) error {
	for i := range n {
		id := fmt.Sprintf("h%02d", i)
		r := xrand.Stream(seed, fmt.Sprintf("history/%s/%s/%d", g.car.ID, g.sensors, i))
		rec, _, err := g.recall(cache, fmt.Sprintf("%d-%s-%s-history-%d", seed, g.car.ID, g.sensors, i), g.options(r, id), r.Uint64())
		if err != nil {
			return err
		}
		g.past = append(g.past, health.Summarise(rec, g.sheet))
	}
	return nil
}

// changedGarage is the garage and its earlier passes as a change leaves them.
func (b *bench) changedGarage(g *garage, c change) (*garage, []health.Summary, error) {
	past := g.past
	if c.past != nil && !b.first {
		past = nil
		n := history
		if b.past > 0 {
			n = min(n, b.past)
		}
		for i := range n {
			id := fmt.Sprintf("h%02d", i)
			r := xrand.Stream(b.seed, fmt.Sprintf("history/%s/%s/%d", g.car.ID, g.sensors, i))
			o := g.options(r, id)
			c.past(g, i, &o)
			rec, _, err := g.recall(b.cache, strings.ReplaceAll(fmt.Sprintf("%d-%s-%s-%s-history-%d", b.seed, g.car.ID, g.sensors, c.name, i), "/", " per "), o, r.Uint64())
			if err != nil {
				return nil, nil, err
			}
			past = append(past, health.Summarise(rec, g.sheet))
		}
	}
	if c.refit == nil {
		return g, past, nil
	}
	out := *g
	out.car = g.car.Refitted(*c.refit)
	if !c.silent {
		var err error
		if out.sheet, err = car.ParseSheet(g.car.ID+".toml", out.car.SheetTOML()); err != nil {
			return nil, nil, err
		}
	}
	return &out, past, nil
}
