package car

import "math"

// slipMarks are the marks a timing slip may give, by the stem of their keys, with examples
// such as one car might show there.
var slipMarks = []struct{ stem, mark, time, speed string }{
	{"60ft", "60 ft", "2.105", "33.2"}, {"330ft", "330 ft", "5.391", "84.5"}, {"eighth", "1/8 mile", "7.702", "115.8"}, {"660ft", "1/8 mile", "7.702", "115.8"},
	{"1000ft", "1000 ft", "9.524", "137.1"}, {"quarter", "1/4 mile", "11.021", "152.6"}, {"1320ft", "1/4 mile", "11.021", "152.6"}, {"half", "1/2 mile", "16.133", "196.4"},
	{"2640ft", "1/2 mile", "16.133", "196.4"}, {"km", "1 km", "18.322", "207.5"}, {"1km", "1 km", "18.322", "207.5"}, {"mile", "1 mile", "24.841", "228.3"},
}

// air is the weather as people write it, before it is brought to one form.
type airText struct {
	temp, pressure, altimeter, humidity, dew    float64 // K, Pa, Pa, 0–1, K
	headwind, headwindSD, wind, from, gust, crs float64 // m/s, m/s, m/s, rad, m/s, m/s
}

func noAir() *airText {
	n := math.NaN()
	return &airText{n, n, n, n, n, n, n, n, n, n, n}
}

// weatherFields are the keys of the weather, for passes and plans alike.
func weatherFields(a *airText) []field {
	return []field{
		{stems: []string{"air_temp"}, dim: dimTemp, dst: &a.temp, limits: between(celsius-60, celsius+60), likely: between(celsius-15, celsius+48), example: "18.5", doc: "air temperature in the shade", basic: true},
		{stems: []string{"station_pressure", "air_pressure", "qfe"}, dim: dimBarometer, dst: &a.pressure, limits: between(40e3, 120e3), likely: between(75e3, 106e3), example: "1008.3", doc: "air pressure at the strip itself, not brought to sea level", basic: true},
		{stems: []string{"altimeter", "qnh"}, dim: dimBarometer, dst: &a.altimeter, limits: between(80e3, 120e3), likely: between(95e3, 106e3), example: "1013.2", doc: "altimeter setting as airfields give it; needs the strip's elevation"},
		{stems: []string{"humidity"}, dim: share100, dst: &a.humidity, limits: between(0, 1), example: "55", doc: "relative humidity", basic: true},
		{stems: []string{"dew_point"}, dim: dimTemp, dst: &a.dew, limits: between(celsius-70, celsius+40), example: "9.0", doc: "dew point, instead of humidity"},
		{stems: []string{"headwind"}, dim: dimSpeed, dst: &a.headwind, limits: between(-60, 60), likely: between(-25, 25), example: "0.6", doc: "wind against the car; a tail wind is negative", basic: true},
		{stems: []string{"headwind_sd"}, dim: dimSpeed, dst: &a.headwindSD, limits: between(0, 60), example: "1.0", doc: "how far headwind may be off, a standard deviation"},
		{stems: []string{"crosswind"}, dim: dimSpeed, dst: &a.crs, limits: between(-60, 60), likely: between(-25, 25), example: "1.0", doc: "wind across the strip, from the right positive"},
		{stems: []string{"wind"}, dim: dimSpeed, dst: &a.wind, limits: between(0, 60), likely: between(0, 25), example: "3.0", doc: "wind speed, instead of headwind; with wind_from_deg and the strip's heading_deg"},
		{stems: []string{"wind_from"}, dim: dimAngle, dst: &a.from, limits: between(-2*math.Pi, 4*math.Pi), example: "240", doc: "where the wind comes from, clockwise from north"},
		{stems: []string{"gust"}, dim: dimSpeed, dst: &a.gust, limits: between(0, 70), likely: between(0, 30), example: "5.0", doc: "speed of the gusts"},
	}
}

func passFields(p *PassNote, a *airText) []field {
	f := []field{
		{stems: []string{"id"}, dst: &p.ID, example: `"a01"`, doc: "what you call the pass", basic: true},
		{stems: []string{"file"}, dst: &p.File, example: `"a01.csv"`, doc: "its log", basic: true},
		{stems: []string{"index"}, dst: &p.Index, limits: between(0, 1000), example: "0", doc: "which pass of the file, from 0 in time order", basic: true},
		{stems: []string{"car"}, dst: &p.Car, example: `"my car"`, doc: "which car", basic: true},
		{stems: []string{"event"}, dst: &p.Event, example: `"north"`, doc: "the [[event]] it belongs to", basic: true},
		{stems: []string{"strip"}, dst: &p.Strip, example: `"north"`, doc: "the [[strip]] it was run on, when that is not the event's"},
		{stems: []string{"when"}, dst: &p.When, example: `"2031-05-17 10:21"`, doc: "local date and time", basic: true},
		{stems: []string{"boost_target"}, tail: "_by_gear", dim: dimGauge, dst: &p.BoostTarget, limits: between(-1e5, 10e5), likely: between(-0.5e5, 6e5), example: "[55, 95, 150, 205, 205]", doc: "boost targets as set, gauge", basic: true},
		{stems: []string{"shift"}, tail: "_aim", dim: dimRev, dst: &p.ShiftAim, limits: above(0), likely: between(2500*rpm, 15000*rpm), example: "[7500, 7550, 7600, 7600]", doc: "aimed shift speeds", basic: true},
		{stems: []string{"tyre_cold", "tyre_cold_pressure"}, dim: dimTyre, dst: &p.ColdPressure, limits: between(0.1e5, 10e5), likely: between(0.4e5, 5e5), example: "1.60", doc: "cold pressure of the driven tyres, gauge", basic: true},
		{stems: []string{"nitrous"}, dst: &p.Nitrous, example: "false", doc: "whether nitrous was armed", basic: true},
		{stems: []string{"launch"}, dim: dimRev, dst: &p.LaunchSpeed, limits: above(0), likely: between(1000*rpm, 11000*rpm), example: "4500", doc: "launch engine speed as set"},
		{stems: []string{"mass_add"}, dim: dimMass, dst: &p.MassAdd, limits: between(-1500, 3000), likely: between(-300, 300), example: "15", doc: "what the car weighed more than its sheet says"},
		{stems: []string{"driver"}, dst: &p.Driver, example: `"the owner"`, doc: "who drove"},
		{stems: []string{"lane"}, dst: &p.Lane, example: `"left"`, doc: "lane"},
		{stems: []string{"ethanol"}, dim: share100, dst: &p.Ethanol, limits: between(0, 1), example: "83", doc: "ethanol by volume as measured in the fuel of this pass"},
		{stems: []string{"track_temp"}, dim: dimTemp, dst: &p.TrackTemp, limits: between(celsius-40, celsius+90), likely: between(celsius, celsius+75), example: "35", doc: "temperature of the surface"},
		{stems: []string{"inspected"}, dst: &p.Inspected, example: `"plugs and leak-down, all well"`, doc: "what was inspected after this pass and found"},
		{stems: []string{"good"}, dst: &p.Good, example: "true", doc: "your own word on whether car and pass were well"},
		{stems: []string{"knock_provoked"}, dst: &p.Provoked, example: "false", doc: "true when knock was provoked on purpose with poor fuel, to find its level"},
		{stems: []string{"text", "note"}, dst: &p.Text, example: `"lane was damp"`, doc: "anything else"},
	}
	return append(append(f, weatherFields(a)...), slipFields(&p.Slip)...)
}

// slipFields are the keys of the timing slip; marks land in cells of their own and
// are gathered when the entry has been read.
func slipFields(s *Slip) []field {
	f := []field{
		{stems: []string{"slip_trap"}, dim: dimTrapSpeed, dst: &s.Trap, limits: above(0), likely: between(10, 160), example: "181.45", doc: "trap speed", basic: true},
		{stems: []string{"slip_reaction"}, dim: dimTime, dst: &s.Reaction, limits: between(-5, 60), example: "0.512", doc: "reaction time; no part of the elapsed time"},
	}
	for _, m := range slipMarks {
		basic := m.stem == "60ft" || m.stem == "quarter" || m.stem == "half"
		f = append(f,
			field{stems: []string{"slip_" + m.stem}, dim: dimTime, dst: &slipTime{mark: m.mark}, limits: limits{0, 600, true}, example: m.time, doc: "time from the start beam to " + m.mark, basic: basic},
			field{stems: []string{"slip_" + m.stem + "_speed", "slip_" + m.stem}, dim: dimTrapSpeed, dst: &slipSpeed{mark: m.mark}, limits: limits{0, 200, true}, example: m.speed, doc: "speed that the strip gave at " + m.mark})
	}
	return f
}

// slipTime and slipSpeed are cells for one mark of a slip.
type slipTime struct {
	mark string
	v    float64 // s
}
type slipSpeed struct {
	mark string
	v    float64 // m/s
}

func plannedFields(p *Planned, a *airText) []field {
	f := []field{
		{stems: []string{"id"}, dst: &p.ID, example: `"next"`, doc: "what you call the pass to come", basic: true},
		{stems: []string{"after"}, dst: &p.After, example: `"a03"`, doc: "the pass against which the changes count: its id or file", basic: true},
		{stems: []string{"after_index"}, dst: &p.AfterIndex, limits: between(0, 1000), example: "0", doc: "which pass of that file, from 0; the last when not stated"},
		{stems: []string{"event"}, dst: &p.Event, example: `"north"`, doc: "the event, when it is another one"},
		{stems: []string{"strip"}, dst: &p.Strip, example: `"north"`, doc: "the strip, when it is another one"},
		{stems: []string{"minutes_later"}, dim: plain, dst: &p.MinutesLater, limits: between(0, 1e6), example: "40", doc: "how long after it", basic: true},
		{stems: []string{"change", "text", "note"}, dst: &p.Change, example: `"top two gears down 20 kPa"`, doc: "the change in words", basic: true},
		{stems: []string{"boost_add"}, tail: "_by_gear", dim: dimDifference, dst: &p.BoostAdd, limits: between(-6e5, 6e5), likely: between(-1.5e5, 1.5e5), example: "[0, 0, 0, -20, -20]", doc: "boost targets changed by so much", basic: true},
		{stems: []string{"boost_target"}, tail: "_by_gear", dim: dimGauge, dst: &p.BoostTarget, limits: between(-1e5, 10e5), likely: between(-0.5e5, 6e5), example: "[55, 95, 150, 185, 185]", doc: "boost targets set to this, gauge"},
		{stems: []string{"shift"}, tail: "_add", dim: dimRev, dst: &p.ShiftAdd, limits: between(-5000*rpm, 5000*rpm), likely: between(-800*rpm, 800*rpm), example: "150", doc: "all shift speeds changed by so much"},
		{stems: []string{"shift"}, tail: "_aim", dim: dimRev, dst: &p.ShiftAim, limits: above(0), likely: between(2500*rpm, 15000*rpm), example: "[7650, 7700, 7750, 7750]", doc: "shift speeds set to this"},
		{stems: []string{"nitrous"}, dst: &p.Nitrous, example: "true", doc: "nitrous armed or not"},
		{stems: []string{"tyre_cold", "tyre_cold_pressure"}, dim: dimTyre, dst: &p.ColdPressure, limits: between(0.1e5, 10e5), likely: between(0.4e5, 5e5), example: "1.40", doc: "cold tyre pressure set to this, gauge"},
		{stems: []string{"mass_add"}, dim: dimMass, dst: &p.MassAdd, limits: between(-1500, 3000), likely: between(-300, 300), example: "-12", doc: "weight added or taken out"},
		{stems: []string{"cda_add", "drag_area_add"}, dim: dimArea, dst: &p.DragAreaAdd, limits: between(-2, 3), likely: between(-0.2, 0.4), example: "0.03", doc: "drag area added or taken away"},
		{stems: []string{"launch"}, dim: dimRev, dst: &p.LaunchSpeed, limits: above(0), likely: between(1000*rpm, 11000*rpm), example: "4800", doc: "launch engine speed set to this"},
	}
	return append(f, weatherFields(a)...)
}

// changeKeys are the fields of a plan that do not state a change.
func (p *Planned) isChange(dst any) bool {
	switch dst {
	case any(&p.ID), any(&p.After), any(&p.AfterIndex), any(&p.Change), any(&p.MinutesLater):
		return false
	}
	return true
}

func stripFields(s *Strip) []field {
	return []field{
		{stems: []string{"id"}, dst: &s.ID, example: `"north"`, doc: "what passes and events call it", basic: true},
		{stems: []string{"name"}, dst: &s.Name, example: `"the north runway"`, doc: "its name"},
		{stems: []string{"text", "note"}, dst: &s.Text, example: `"bump at 600 m"`, doc: "anything else"},
		{stems: []string{"length"}, dim: dimDistance, dst: &s.Length, limits: above(0), likely: between(50, 5000), example: "804.672", doc: "timed distance; half a mile when not stated", basic: true},
		{stems: []string{"trap_window", "trap"}, dim: dimDistance, dst: &s.TrapWindow, limits: above(0), likely: between(3, 250), example: "20.1168", doc: "trap, measured back from the line; 66 ft when not stated", basic: true},
		{stems: []string{"rollout"}, dim: dimDistance, dst: &s.Rollout, limits: between(0, 5), likely: between(0, 1), example: "0.3048", doc: "way from where the car is staged to where the clock starts; a foot when not stated"},
		{stems: []string{"elevation"}, dim: dimDistance, dst: &s.Elevation, limits: between(-500, 6000), likely: between(-100, 3000), example: "120", doc: "height above the sea, for altimeter_hpa", basic: true},
		{stems: []string{"heading"}, dim: dimAngle, dst: &s.Heading, limits: between(-2*math.Pi, 4*math.Pi), example: "265", doc: "direction of the run, clockwise from north, for wind_from_deg", basic: true},
		{stems: []string{"grade"}, dim: share, dst: &s.Grade, limits: between(-0.2, 0.2), likely: between(-0.03, 0.03), example: "0.000", doc: "rise over run, uphill positive"},
		{stems: []string{"shut_down", "shutdown"}, dim: dimDistance, dst: &s.ShutDown, limits: above(0), likely: between(100, 5000), example: "1100", doc: "paved length after the line", help: "whether the runway stops the car", basic: true},
	}
}

func eventFields(e *Event) []field {
	return []field{
		{stems: []string{"id"}, dst: &e.ID, example: `"north"`, doc: "what passes call it", basic: true},
		{stems: []string{"name"}, dst: &e.Name, example: `"spring meeting"`, doc: "its name"},
		{stems: []string{"strip"}, dst: &e.Strip, example: `"north"`, doc: "the [[strip]] it is held on", basic: true},
		{stems: []string{"from", "date", "day"}, dst: &e.From, example: `"2031-05-17"`, doc: "first day"},
		{stems: []string{"to"}, dst: &e.To, example: `"2031-05-18"`, doc: "last day"},
		{stems: []string{"passes_left"}, dst: &e.PassesLeft, limits: between(0, 1000), example: "3", doc: "passes still possible today", help: "the chance of reaching the target today"},
		{stems: []string{"text", "note"}, dst: &e.Text, example: `"new surface"`, doc: "anything else"},
	}
}
