package main

import (
	"fmt"
	"math"
	"slices"

	"traplight/internal/demo"
	"traplight/internal/num/xrand"
)

// shape is how a variant makes other passes of invented cars than the plain bench.
type shape struct {
	passes func(drawn int) int                                // count of passes before the plan; nil: as drawn
	last   func(c demo.Car, o *demo.PassOptions, seed uint64) // what becomes of the last pass; nil nothing
	strip  *demo.Strip                                        // where all passes are run; nil: as drawn
	next   *demo.Strip                                        // where the planned pass is run; nil: the same
	season bool                                               // passes on days and strips of a season, a plan after the 1st, 3rd, 7th and last
}

// sized is a strip of another length, m, height above the sea, m, and grade.
func sized(name string, length, height, grade float64) *demo.Strip {
	s := demo.HomeStrip()
	s.ID, s.Name, s.Length, s.Elevation, s.Grade, s.Seed = name, name, length, height, grade, s.Seed+uint64(length)
	return &s
}

// fixed is a count of passes whatever was drawn.
func fixed(n int) func(int) int { return func(int) int { return n } }

// ill gives the last pass a fault of moderate or gross size.
func ill(c demo.Car, o *demo.PassOptions, seed uint64) {
	r := xrand.Stream(seed, "bench/forecast/fault")
	kinds := []demo.Kind{demo.CylinderDown, demo.BoostLeak, demo.Underboost, demo.FuelSupply, demo.IgnitionFault, demo.ClutchSlip, demo.ThrottleFault, demo.ChargeHeat}
	for range 20 {
		g := demo.Moderate
		if r.IntN(2) == 0 {
			g = demo.Gross
		}
		if f, ok := c.MakeFault(kinds[r.IntN(len(kinds))], g, r.Uint64()); ok {
			o.Fault = &f
			return
		}
	}
}

// stepped scales the boost of the first gears by f.
func stepped(gears int, f float64) func(demo.Car, *demo.PassOptions, uint64) {
	return func(_ demo.Car, o *demo.PassOptions, _ uint64) {
		s := *o.Settings
		s.Boost = slices.Clone(s.Boost)
		for g := range min(gears, len(s.Boost)) {
			s.Boost[g] = math.Round(s.Boost[g]*f/1e3) * 1e3
		}
		o.Settings = &s
	}
}

// seasonDay makes pass i of a season: three a day, on three strips, boost stepped up with a
// step back now and then.
func seasonDay(seed uint64, usual demo.Settings, i int) (demo.Strip, demo.Weather, demo.Settings, string, uint64) {
	day := i / 3
	st := append([]demo.Strip{demo.HomeStrip()}, demo.OtherStrips()...)[day%3]
	w := demo.DrawWeather(st, xrand.Sub(seed, fmt.Sprintf("season/%d", day)))
	r := xrand.Stream(seed, fmt.Sprintf("bench/forecast/season/%d", i))
	w.Headwind += 0.6 * r.NormFloat64()
	w.AirTemp += 1.5 * float64(i%3)
	f := 0.88 + 0.12*min(1, float64(i)/9) - 0.03*float64(r.IntN(2))
	set := usual
	set.Boost, set.ShiftSpeed = slices.Clone(usual.Boost), slices.Clone(usual.ShiftSpeed)
	for g := range set.Boost {
		set.Boost[g] = math.Round(set.Boost[g]*f/1e3) * 1e3
	}
	return st, w, set, fmt.Sprintf("2033-%02d-11 %02d:20", 4+day, 10+i%3), xrand.Sub(seed, fmt.Sprintf("rig/%d", day))
}

// planAfter tells whether a season has plans after pass i of n.
func planAfter(i, n int) bool { return i == 0 || i == 2 || i == 6 || i == n-1 }
