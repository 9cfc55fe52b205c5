package main

import (
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"strings"

	"traplight/internal/car"
	"traplight/internal/demo"
	"traplight/internal/health"
	"traplight/internal/num/stats"
	"traplight/internal/quantity"
)

// change is something that was changed before a pass and is no fault.
type change struct {
	name string
	// apply changes the options; false where the car cannot have the change.
	apply func(g *garage, o *demo.PassOptions, r *rand.Rand) bool
	// after changes what the program is told of the pass; nil nothing.
	after func(rec *health.Record, o *demo.PassOptions)
	// sheet changes what the sheet says of the car for this pass; nil leaves it.
	sheet func(s *car.Sheet)
	// refit changes the car; nil leaves it.
	refit *demo.Refit
	// silent leaves the sheet as it was before the refit.
	silent bool
	// past changes the n-th earlier pass, 0-based; nil: the car's ordinary history.
	past func(g *garage, n int, o *demo.PassOptions)
}

// always is a change that every car can have.
func always(f func(g *garage, o *demo.PassOptions, r *rand.Rand)) func(*garage, *demo.PassOptions, *rand.Rand) bool {
	return func(g *garage, o *demo.PassOptions, r *rand.Rand) bool {
		f(g, o, r)
		return true
	}
}

// changed are healthy passes after something was changed that is no fault.
var changed = []change{
	{name: "boost raised by 12 %", apply: always(func(_ *garage, o *demo.PassOptions, _ *rand.Rand) {
		for i, v := range o.Settings.Boost {
			o.Settings.Boost[i] = math.Round(v*1.12/1e3) * 1e3
		}
	})},
	{name: "shifts 300 rpm earlier", apply: always(func(_ *garage, o *demo.PassOptions, _ *rand.Rand) {
		for i := range o.Settings.ShiftSpeed {
			o.Settings.ShiftSpeed[i] -= 300 * math.Pi / 30
		}
	})},
	{name: "a hot day, 38 °C", apply: always(func(_ *garage, o *demo.PassOptions, _ *rand.Rand) { o.Weather.AirTemp = 311 })},
	{name: "a cold day, 4 °C", apply: always(func(_ *garage, o *demo.PassOptions, _ *rand.Rand) { o.Weather.AirTemp = 277 })},
	{name: "every sensor new", apply: always(func(g *garage, o *demo.PassOptions, r *rand.Rand) { o.DaySeed = g.rig + 1 + uint64(r.IntN(1000)) })},
	{name: "another recorder", apply: always(func(_ *garage, o *demo.PassOptions, r *rand.Rand) {
		d := demo.Dialects()[r.IntN(len(demo.Dialects()))]
		o.Dialect = &d
	})},
	{name: "25 kg more on board", apply: always(func(_ *garage, o *demo.PassOptions, _ *rand.Rand) { o.Settings.MassAdd = 25 })},
	{name: "a foot off for 0.5 s", apply: always(func(_ *garage, o *demo.PassOptions, _ *rand.Rand) {
		o.Driver = demo.DriverEvents{FeatherAt: 300, FeatherFor: 0.5}
	})},
	{name: "a fifth less grip", apply: always(func(_ *garage, o *demo.PassOptions, _ *rand.Rand) {
		st := *o.Strip
		st.Grip *= 0.8
		o.Strip = &st
	})},
	{name: "shifts so late that it limits", apply: always(func(g *garage, o *demo.PassOptions, _ *rand.Rand) {
		for i := range o.Settings.ShiftSpeed {
			o.Settings.ShiftSpeed[i] += 500 * math.Pi / 30
		}
	})},
	{name: "given up at 300 m", apply: always(func(_ *garage, o *demo.PassOptions, _ *rand.Rand) {
		o.Driver = demo.DriverEvents{LiftAt: 300, CoastFor: 12}
	})},
	{name: "a cold engine", apply: always(func(_ *garage, o *demo.PassOptions, _ *rand.Rand) {
		o.Start = &demo.Heat{Coolant: 335, Oil: 330, Charge: o.Weather.AirTemp, Tread: 300, Bottle: 6e6}
	})},
	{name: "a false start, a warm-up", apply: always(func(_ *garage, o *demo.PassOptions, _ *rand.Rand) {
		o.Driver = demo.DriverEvents{FalseStart: true, WarmUp: true}
	})},
	{name: "9 m/s from ahead", apply: always(func(_ *garage, o *demo.PassOptions, _ *rand.Rand) { o.Weather.Headwind = 9 })},
	{name: "1700 m above the sea", apply: always(func(_ *garage, o *demo.PassOptions, _ *rand.Rand) { o.Weather.Pressure = 82.5e3 })},
	{name: "a day of frost, 0 °C", apply: always(func(_ *garage, o *demo.PassOptions, _ *rand.Rand) { o.Weather.AirTemp, o.Weather.Humidity = 273, 0.8 })},
	{name: "a very hot day, 41 °C", apply: always(func(_ *garage, o *demo.PassOptions, _ *rand.Rand) { o.Weather.AirTemp, o.Weather.Humidity = 314, 0.3 })},
	{name: "hot and 1800 m up", apply: always(func(_ *garage, o *demo.PassOptions, _ *rand.Rand) {
		o.Weather.AirTemp, o.Weather.Pressure, o.Weather.Humidity = 308, 81.4e3, 0.25
	})},
	{name: "a wet strip", apply: always(func(_ *garage, o *demo.PassOptions, _ *rand.Rand) {
		st := *o.Strip
		st.Grip *= 0.6
		o.Strip = &st
	})},
	{name: "boost up 40 kPa", apply: always(func(g *garage, o *demo.PassOptions, _ *rand.Rand) {
		for i, v := range o.Settings.Boost {
			o.Settings.Boost[i] = max(v, min(v+40e3, 0.93*g.car.Limits().Boost))
		}
	})},
	{name: "nitrous for the first time", apply: func(g *garage, o *demo.PassOptions, _ *rand.Rand) bool {
		o.Settings.Nitrous = true
		return g.sheet.Nitrous.Flow > 0
	}, past: func(_ *garage, _ int, o *demo.PassOptions) { o.Settings.Nitrous = false }},
	{name: "nitrous left off for the first time", apply: func(g *garage, o *demo.PassOptions, _ *rand.Rand) bool {
		o.Settings.Nitrous = false
		return g.sheet.Nitrous.Flow > 0
	}, past: func(_ *garage, _ int, o *demo.PassOptions) { o.Settings.Nitrous = true }},
	{name: "a shorter final drive, in the sheet", apply: always(func(_ *garage, _ *demo.PassOptions, _ *rand.Rand) {}), refit: &demo.Refit{FinalDrive: 1.08}},
	{name: "taller tyres, in sheet and logger", apply: always(func(_ *garage, _ *demo.PassOptions, _ *rand.Rand) {}), refit: &demo.Refit{TyreRadius: 1.04}},
	{name: "taller tyres, in the sheet alone", apply: always(func(_ *garage, _ *demo.PassOptions, _ *rand.Rand) {}), refit: &demo.Refit{TyreRadius: 1.04, Untold: true}},
	{name: "taller tyres that nobody entered", apply: always(func(_ *garage, _ *demo.PassOptions, _ *rand.Rand) {}), refit: &demo.Refit{TyreRadius: 1.025, Untold: true}, silent: true},
	{name: "logged at 25 rows/s", apply: always(func(g *garage, o *demo.PassOptions, _ *rand.Rand) { o.Dialect = rated(g, 25) })},
	{name: "logged at 20 rows/s after faster ones", apply: always(func(g *garage, o *demo.PassOptions, _ *rand.Rand) { o.Dialect = rated(g, 20) })},
	{name: "logged at 10 rows/s, as ever", apply: always(func(g *garage, o *demo.PassOptions, _ *rand.Rand) { o.Dialect = rated(g, 10) }),
		past: func(g *garage, _ int, o *demo.PassOptions) { o.Dialect = rated(g, 10) }},
	{name: "logged at 500 rows/s after 20", apply: always(func(g *garage, o *demo.PassOptions, _ *rand.Rand) { o.Dialect = rated(g, 500) }),
		past: func(g *garage, _ int, o *demo.PassOptions) { o.Dialect = rated(g, 20) }},
	{name: "half of the history by another recorder", apply: always(func(_ *garage, _ *demo.PassOptions, _ *rand.Rand) {}),
		past: func(g *garage, n int, o *demo.PassOptions) {
			if n < 4 {
				d := demo.Dialects()[(len(g.car.ID)+n/4)%len(demo.Dialects())]
				o.Dialect = &d
			}
		}},
	{name: "half of the history with fewer channels", apply: always(func(_ *garage, _ *demo.PassOptions, _ *rand.Rand) {}),
		past: func(g *garage, n int, o *demo.PassOptions) {
			if n < 4 {
				o.Sensors = fewer[g.sensors]
			}
		}},
	{name: "a second pass, all of it hot", apply: always(func(_ *garage, o *demo.PassOptions, _ *rand.Rand) {
		o.Start = &demo.Heat{Coolant: 365, Oil: 382, Charge: o.Weather.AirTemp + 26, Tread: 345, Bottle: 5.4e6}
	})},
	{name: "burnout, creep, missed shift, lift", apply: always(func(_ *garage, o *demo.PassOptions, r *rand.Rand) {
		o.Driver = demo.DriverEvents{Burnout: true, Creep: true, MissShift: 2 + r.IntN(2), Pedal: true, LiftAt: 450 + 200*r.Float64()}
	})},
	{name: "tyres down by a fifth for grip", apply: always(func(_ *garage, o *demo.PassOptions, _ *rand.Rand) { o.Settings.ColdPressure *= 0.8 })},
	{name: "another blend, noted", apply: blend, after: func(rec *health.Record, o *demo.PassOptions) {
		if rec.Note != nil {
			rec.Note.Ethanol = *o.Ethanol
		}
	}},
	{name: "gasoline for the first time, noted", apply: func(g *garage, o *demo.PassOptions, r *rand.Rand) bool {
		o.Ethanol = new(float64)
		return blend(g, &demo.PassOptions{}, r) && g.sheet.Fuel != "gasoline 100"
	}, after: func(rec *health.Record, o *demo.PassOptions) {
		if rec.Note != nil {
			rec.Note.Ethanol = *o.Ethanol
		}
	}},
	{name: "another blend, not noted", apply: blend, after: func(rec *health.Record, _ *demo.PassOptions) {
		set := *rec.Set
		set.Channels = nil
		for _, c := range rec.Set.Channels {
			if c.Quantity != quantity.EthanolFraction {
				set.Channels = append(set.Channels, c)
			}
		}
		rec.Set = &set
	}},
	{name: "every sensor new, and the sheet says so", apply: always(func(g *garage, o *demo.PassOptions, r *rand.Rand) { o.DaySeed = g.rig + 1 + uint64(r.IntN(1000)) }),
		sheet: func(s *car.Sheet) {
			s.Sensors = "engine speed: B; manifold pressure: B; wheel speeds: B; motion: B; throttle: B; lambda: B; exhaust temperature: B; exhaust pressure: B; turbo speed: B; fuel pressure: B; oil pressure: B; coolant pressure: B; coolant temperature: B; crankcase pressure: B; charge temperature: B; knock: B; ignition angle: B; battery voltage: B; injector duty: B; fuel flow: B; tyre pressure: B; bottle pressure: B; compressor inlet pressure: B; compressor outlet pressure: B; compressor outlet temperature: B; cooler water temperature: B; acceleration long: B; wastegate duty: B"
		}},
}

// blend fills the tank with up to 25 points more or less of ethanol than the
// sheet's fuel has, as far as injectors and pump have reserve.
func blend(g *garage, o *demo.PassOptions, r *rand.Rand) bool {
	const least, most = 0.10, 0.25
	own, ok := map[string]float64{"gasoline 100": 0, "E40": 0.40, "E60": 0.60}[g.sheet.Fuel]
	if !ok {
		return false // methanol
	}
	e := own + (least + (most-least)*r.Float64())
	if own > 0.3 && r.IntN(2) == 0 {
		e = own - (least + (most-least)*r.Float64())
	}
	o.Ethanol = &e
	return true
}

// rated is the car's own logger at another rate, rows per second.
func rated(g *garage, rate float64) *demo.Dialect {
	d := g.car.Dialect()
	d.Rate = rate
	return &d
}

// fewer is the set of channels next poorer.
var fewer = map[string]string{"full": "medium", "medium": "poor", "poor": "poor"}

// changesTable prints how often a healthy pass after a change is not clear, and how
// many of the faults on such passes are found and rightly named.
func (b *bench) changesTable(w io.Writer) {
	if b.changes == 0 && b.ill == 0 {
		return
	}
	fmt.Fprintln(w, "after a change: healthy passes not clear and how the first finding was named; faults found and rightly named")
	for _, with := range []bool{true, false} {
		if with && b.first {
			continue
		}
		fmt.Fprintln(w, map[bool]string{true: "with history", false: "first pass, no history"}[with])
		all, ill := [2]int{}, [3]int{}
		for _, c := range changed {
			n, bad, supposed, faults, found, right := 0, 0, 0, 0, 0, 0
			named := map[string]int{}
			for _, o := range b.outcomes {
				if o.change != c.name {
					continue
				}
				v := o.without
				if with {
					v = o.with
				}
				if o.kind != "" {
					if !o.visible {
						continue
					}
					faults++
					if v.found {
						found++
					}
					if v.named {
						right++
					}
					continue
				}
				n++
				for _, s := range v.res.NotJudged {
					if strings.HasPrefix(s, "quantity of fuel") {
						supposed++
					}
				}
				if v.res.Verdict == health.Inspect || v.res.Verdict == health.StandDown {
					bad++
					named[string(v.res.Findings[0].Kind)]++
				}
			}
			if n+faults == 0 {
				continue
			}
			all[0], all[1] = all[0]+bad, all[1]+n
			ill[0], ill[1], ill[2] = ill[0]+faults, ill[1]+found, ill[2]+right
			fmt.Fprintf(w, "  %-40s", c.name)
			if n > 0 {
				p := stats.Binomial(bad, n)
				fmt.Fprintf(w, " %d of %d (95 %%: %.1f to %.1f %%) %v", bad, n, 100*p.Low, 100*p.High, named)
			}
			if supposed > 0 {
				fmt.Fprintf(w, "; another blend supposed in %d", supposed)
			}
			if faults > 0 {
				fmt.Fprintf(w, "; of %d faults %d found, %d named", faults, found, right)
			}
			fmt.Fprintln(w)
		}
		p, q := stats.Binomial(all[0], all[1]), stats.Binomial(ill[1], ill[0])
		fmt.Fprintf(w, "  %-40s %d of %d (95 %%: %.1f to %.1f %%); of %d faults %d found (%.0f to %.0f %%), %d named\n", "all", all[0], all[1], 100*p.Low, 100*p.High, ill[0], ill[1], 100*q.Low, 100*q.High, ill[2])
	}
	fmt.Fprintln(w)
}
