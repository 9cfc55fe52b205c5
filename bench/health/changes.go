package main

import (
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"strings"

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
	{name: "another blend, noted", apply: blend, after: func(rec *health.Record, o *demo.PassOptions) {
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

// changes prints how often a healthy pass after a change is not clear.
func (b *bench) changesTable(w io.Writer) {
	if b.changes == 0 {
		return
	}
	fmt.Fprintln(w, "healthy passes after a change, with history: not clear, and how the first finding was named")
	for _, c := range changed {
		n, bad, supposed := 0, 0, 0
		named := map[string]int{}
		for _, o := range b.outcomes {
			if o.kind != "" || o.grade != c.name {
				continue
			}
			n++
			for _, s := range o.with.res.NotJudged {
				if strings.HasPrefix(s, "quantity of fuel") {
					supposed++
				}
			}
			if o.with.res.Verdict != health.Clear {
				bad++
				if len(o.with.res.Findings) > 0 {
					named[string(o.with.res.Findings[0].Kind)]++
				}
			}
		}
		if n == 0 {
			continue
		}
		p := stats.Binomial(bad, n)
		fmt.Fprintf(w, "  %-24s %d of %d (95 %%: %.1f to %.1f %%) %v", c.name, bad, n, 100*p.Low, 100*p.High, named)
		if supposed > 0 {
			fmt.Fprintf(w, "; another blend supposed in %d", supposed)
		}
		fmt.Fprintln(w)
	}
	fmt.Fprintln(w)
}
