package main

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"

	"traplight/internal/car"
	"traplight/internal/demo"
	"traplight/internal/logfile"
	"traplight/internal/num/xrand"
)

// special is a pass that is not as passes usually are.
type special struct {
	name, what string
	set        func(o *demo.PassOptions, u *demo.Settings)
	// cut keeps the rows between two moments of the log's own clock; nil keeps all.
	cut func(p *TruthPass) (from, to float64)
	// fault acts from the launch on, with this grade; "" none.
	fault demo.Kind
	grade demo.Grade
}

func strip(change func(*demo.Strip)) *demo.Strip {
	s := demo.HomeStrip()
	s.ID = "special"
	change(&s)
	return &s
}

func windy(head, cross float64) *demo.Weather {
	return &demo.Weather{AirTemp: 293, Pressure: 99600, Humidity: 0.5, Headwind: head, Gust: 0.12*math.Abs(head) + 0.1*math.Abs(cross) + 0.4, Crosswind: cross}
}

// specials are asked for with -special.
var specials = []special{
	{name: "usual", what: "nothing special", set: func(o *demo.PassOptions, u *demo.Settings) {}},
	{name: "feather", what: "the foot is off for 0.5 s in the middle of the pass", set: func(o *demo.PassOptions, u *demo.Settings) {
		o.Driver.FeatherAt, o.Driver.FeatherFor = 430, 0.5
	}},
	{name: "early-feather", what: "the foot is off for 0.25 s at 60 m", set: func(o *demo.PassOptions, u *demo.Settings) {
		o.Driver.FeatherAt, o.Driver.FeatherFor = 60, 0.25
	}},
	{name: "missed", what: "a shift missed at first", set: func(o *demo.PassOptions, u *demo.Settings) { o.Driver.MissShift = 3 }},
	{name: "limiter", what: "shifts so late that the limiter is touched", set: func(o *demo.PassOptions, u *demo.Settings) {
		for i := range u.ShiftSpeed {
			u.ShiftSpeed[i] *= 1.03
		}
	}},
	{name: "early-shifts", what: "shifts a fifth early", set: func(o *demo.PassOptions, u *demo.Settings) {
		for i := range u.ShiftSpeed {
			u.ShiftSpeed[i] *= 0.8
		}
	}},
	{name: "aborted", what: "given up at 300 m, coasting on past the line", set: func(o *demo.PassOptions, u *demo.Settings) {
		o.Driver.LiftAt, o.Driver.CoastFor = 300, 40
	}},
	{name: "aborted-early", what: "given up at 80 m", set: func(o *demo.PassOptions, u *demo.Settings) { o.Driver.LiftAt, o.Driver.CoastFor = 80, 12 }},
	{name: "lift-at-trap", what: "given up 15 m before the line", set: func(o *demo.PassOptions, u *demo.Settings) { o.Driver.LiftAt = 790 }},
	{name: "burnout", what: "tyres spun warm, then a creep to the line", set: func(o *demo.PassOptions, u *demo.Settings) { o.Driver.Burnout = true }},
	{name: "two", what: "two passes in one log, with the drive back", set: func(o *demo.PassOptions, u *demo.Settings) {
		o.Driver.ReturnDrive = true
		o.Then = []demo.PassOptions{{Strip: o.Strip, Settings: u, Driver: demo.DriverEvents{Creep: true}}}
	}},
	{name: "false-start", what: "rolls off, is called back, starts again", set: func(o *demo.PassOptions, u *demo.Settings) { o.Driver.FalseStart = true }},
	{name: "warm-up", what: "a slow stretch and a stop, then staging", set: func(o *demo.PassOptions, u *demo.Settings) { o.Driver.WarmUp = true }},
	{name: "long-idle", what: "three minutes of idling on either side", set: func(o *demo.PassOptions, u *demo.Settings) {
		o.Driver.IdleBefore, o.Driver.IdleAfter, o.Driver.Creep = 180, 180, true
	}},
	{name: "mile", what: "a standing mile", set: func(o *demo.PassOptions, u *demo.Settings) {
		o.Strip = strip(func(s *demo.Strip) { s.Length = 1609.344 })
	}},
	{name: "kilometre", what: "a standing kilometre", set: func(o *demo.PassOptions, u *demo.Settings) {
		o.Strip = strip(func(s *demo.Strip) { s.Length = 1000 })
	}},
	{name: "quarter", what: "a quarter mile", set: func(o *demo.PassOptions, u *demo.Settings) {
		o.Strip = strip(func(s *demo.Strip) { s.Length = 402.336 })
	}},
	{name: "eighth", what: "an eighth mile", set: func(o *demo.PassOptions, u *demo.Settings) {
		o.Strip = strip(func(s *demo.Strip) { s.Length = 201.168 })
	}},
	{name: "head-wind", what: "9 m/s from ahead", set: func(o *demo.PassOptions, u *demo.Settings) { o.Weather = windy(9, 2) }},
	{name: "tail-wind", what: "9 m/s from behind", set: func(o *demo.PassOptions, u *demo.Settings) { o.Weather = windy(-9, 2) }},
	{name: "cross-wind", what: "10 m/s from the side", set: func(o *demo.PassOptions, u *demo.Settings) { o.Weather = windy(0, 10) }},
	{name: "uphill", what: "a grade of 1.5 %", set: func(o *demo.PassOptions, u *demo.Settings) {
		o.Strip = strip(func(s *demo.Strip) { s.Grade = 0.015 })
	}},
	{name: "downhill", what: "a fall of 1.5 %", set: func(o *demo.PassOptions, u *demo.Settings) {
		o.Strip = strip(func(s *demo.Strip) { s.Grade = -0.015 })
	}},
	{name: "altitude", what: "1700 m above the sea, hot", set: func(o *demo.PassOptions, u *demo.Settings) {
		o.Strip = strip(func(s *demo.Strip) { s.Elevation = 1700 })
		o.Weather = &demo.Weather{AirTemp: 308, Pressure: 82500, Humidity: 0.2, Gust: 0.5}
	}},
	{name: "wet", what: "a fifth less grip", set: func(o *demo.PassOptions, u *demo.Settings) {
		o.Strip = strip(func(s *demo.Strip) { s.Grip = 0.8 })
	}},
	{name: "weak-clutch", what: "a clutch that slips in the upper gears", set: func(o *demo.PassOptions, u *demo.Settings) {}, fault: demo.ClutchSlip, grade: demo.Gross},
	{name: "late-log", what: "the log starts 0.6 s after the launch", set: func(o *demo.PassOptions, u *demo.Settings) {},
		cut: func(p *TruthPass) (float64, float64) { return p.Launch + 0.6, math.Inf(1) }},
	{name: "short-before", what: "the log starts 0.3 s before the launch", set: func(o *demo.PassOptions, u *demo.Settings) {},
		cut: func(p *TruthPass) (float64, float64) { return p.Launch - 0.3, math.Inf(1) }},
	{name: "ends-at-line", what: "the log ends 20 ms past the line", set: func(o *demo.PassOptions, u *demo.Settings) {},
		cut: func(p *TruthPass) (float64, float64) { return math.Inf(-1), p.lineAt() + 0.02 }},
	{name: "ends-before", what: "the log ends 0.5 s before the line", set: func(o *demo.PassOptions, u *demo.Settings) {},
		cut: func(p *TruthPass) (float64, float64) { return math.Inf(-1), p.lineAt() - 0.5 }},
}

func specialNames() string {
	var names []string
	for _, s := range specials {
		names = append(names, s.name)
	}
	return strings.Join(names, ", ")
}

// specialCases makes passes of one special kind, one of each of the shop's cars and
// o.invented − 7 of cars that are drawn.
func specialCases(o options, s special) ([]*logCase, error) {
	var out []*logCase
	cars := demo.Cars()
	for i := range max(o.invented, 1) {
		c := demo.RandomCar(xrand.Sub(o.seed, fmt.Sprintf("car/%d", i)))
		if i < len(cars) {
			c = cars[i]
		}
		u := c.Usual()
		po := demo.PassOptions{ID: fmt.Sprintf("%s-%02d", s.name, i), Settings: &u}
		s.set(&po, &u)
		if s.fault != "" {
			if f, ok := c.MakeFault(s.fault, s.grade, o.seed); ok {
				po.Fault = &f
			}
		}
		rec := demo.Generate(c, po, xrand.Sub(o.seed, fmt.Sprintf("special/%d", i)))
		if o.only != "" && !hasAnyPrefix(c.ID, splitList(o.only)) {
			continue
		}
		notes := rec.NoteTOML
		if po.Strip != nil {
			notes = slices.Concat(po.Strip.StripTOML(), notes)
		} else {
			notes = slices.Concat(demo.HomeStrip().StripTOML(), notes)
		}
		k, err := s.build(c, rec, notes, o)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", rec.Name, err)
		}
		out = append(out, k)
	}
	return out, nil
}

func (s special) build(c demo.Car, rec demo.Recording, notes []byte, o options) (*logCase, error) {
	t := new(Truth)
	if err := json.Unmarshal(rec.Truth, t); err != nil {
		return nil, err
	}
	sheet, err := car.ParseSheet("car_"+c.ID+".toml", c.SheetTOML())
	if err != nil {
		return nil, err
	}
	n, err := car.ParseNotes("passes.toml", notes)
	if err != nil {
		return nil, err
	}
	if !o.withSlip {
		n = withoutSlip(n)
	}
	log, err := logfile.Read(rec.Name+".csv", rec.CSV)
	if err != nil {
		return nil, err
	}
	for i := range t.Passes {
		t.Passes[i].endAt(stripLength(n))
	}
	if s.cut != nil {
		from, to := s.cut(&t.Passes[0])
		log = keepRows(log, from, to)
		t.Passes[0].cutAt(from, to)
	}
	return &logCase{truth: t, log: log, sheet: sheet, notes: n, knowChannels: o.knowChannels}, nil
}
