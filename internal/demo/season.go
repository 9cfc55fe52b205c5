package demo

import (
	"fmt"

	"traplight/internal/num/xrand"
)

// Event is one car at one strip for some passes: all that a shop would hold.
type Event struct {
	Car        Car
	Strip      Strip
	Sheet      []byte // TOML
	Notes      []byte // TOML: the strip and every pass
	Recordings []Recording
}

// Season returns the demo's shop on one day: its front-driven car, six passes
// with the settings stepped up as the crew dares, one shift missed, and one
// pass planned. It has no truth beside it; Day has.
func Season(seed uint64) Event {
	var car Car
	for _, c := range Cars() {
		if c.ID == "marl" {
			car = c
		}
	}
	// A runway that leaves room to stop from 200 mph: with less there would be no card.
	strip := HomeStrip()
	strip.ShutDown = 1700
	return car.day(seed, strip, "2033-06-11", 6, false)
}

func (c Car) day(seed uint64, st Strip, day string, n int, truth bool) Event {
	e := Event{Car: c, Strip: st, Sheet: c.SheetTOML(), Notes: st.StripTOML()}
	w := DrawWeather(st, xrand.Sub(seed, "day"))
	r := stream(seed, "day")
	usual := c.Usual()
	for i := range n {
		set := usual.clone()
		f := 0.90 + 0.10*float64(min(i, 3))/3
		for g := range set.Boost {
			set.Boost[g] = float64(int(set.Boost[g]*f/1e3)) * 1e3
		}
		air := w
		air.AirTemp += 1.3 * float64(i)
		air.Headwind += 0.5 * r.NormFloat64()
		air.Humidity = clamp(air.Humidity-0.02*float64(i), 0.2, 1)
		o := PassOptions{ID: fmt.Sprintf("%s%02d", c.ID[:1], i+1), When: fmt.Sprintf("%s %02d:%02d", day, 10+i, (17*i)%60),
			Settings: &set, Weather: &air, Strip: &st, DaySeed: xrand.Sub(seed, "rig/"+c.ID), Ideal: truth, NoTruth: !truth}
		o.Driver.Creep = i == 0
		if i == 2 {
			o.Driver.MissShift = 2
		}
		if i == n-1 {
			later := air
			later.AirTemp += 1
			up := make([]float64, len(set.Boost))
			for g := range up {
				if g >= len(up)/2 {
					up[g] = 10e3
				}
			}
			o.Planned = []PlannedPass{{ID: o.ID + "-q1", Text: "upper gears up 10 kPa", MinutesLater: 40, BoostAdd: up, Weather: &later}}
		}
		rec := Generate(c, o, xrand.Sub(seed, fmt.Sprintf("pass/%d", i)))
		e.Recordings = append(e.Recordings, rec)
		e.Notes = append(e.Notes, rec.NoteTOML...)
	}
	return e
}
