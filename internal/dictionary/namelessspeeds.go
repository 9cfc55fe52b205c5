package dictionary

import (
	"sort"

	"traplight/internal/quantity"
)

const (
	fastest   = 0.85  // of the median top speed: less is no speed of this car
	spinAhead = 1.004 // mean speed of wheels that spin for a while over that of the car
)

// namelessSpeeds tells speeds whose names say nothing apart: wheels that spin under power
// have run further than the car when all is over.
func namelessSpeeds(cands []*candidate, taken map[quantity.Name]bool) {
	for q := range taken {
		if isSpeed(q) {
			return
		}
	}
	var list []*candidate
	var tops []float64
	for _, c := range cands {
		if c.score < unsure && !c.forced && c.elsewhere == "" && c.b.n >= 50 && c.saysNothing() && c.known && c.unit.Dim == quantity.DimSpeed && c.unit.SI(c.b.q99) > 8 && c.b.q01 > -0.5 {
			list = append(list, c)
			tops = append(tops, c.unit.SI(c.b.q99))
		}
	}
	if len(list) < 2 {
		return
	}
	sort.Float64s(tops)
	median := tops[len(tops)/2]
	mean := func(c *candidate) float64 {
		sum, n := 0.0, 0
		for _, v := range c.col.Values {
			if v == v {
				sum, n = sum+c.unit.SI(v), n+1
			}
		}
		return sum / float64(max(n, 1))
	}
	var slow, quick *candidate
	for _, c := range list {
		if c.unit.SI(c.b.q99) < fastest*median {
			continue
		}
		if slow == nil || mean(c) < mean(slow) {
			slow = c
		}
		if quick == nil || mean(c) > mean(quick) {
			quick = c
		}
	}
	if slow == nil || slow == quick || mean(quick) < spinAhead*mean(slow) {
		return
	}
	name := func(c *candidate, q quantity.Name, why string) {
		c.best, c.score, c.index = reading{q: q, unit: c.unit, fit: 1, told: true}, byUnit, 0
		c.notes = []string{"the name says nothing; " + string(q) + " is taken, since " + why}
		taken[q] = true
	}
	name(slow, slow.speedItself(), "it runs least of the speeds")
	name(quick, quantity.DrivenSpeed, "it runs ahead of the other speeds")
}

const (
	crawl     = 1.0 // m/s, below which a car stands or nearly
	restless  = 0.5 // share of readings there that are not zero: a receiver's noise
	leastRest = 20  // readings there
)

// speedItself says whether a speed without a name is a receiver's, which is never quite at
// rest, or that of something that turns and reads zero when it does not.
func (c *candidate) speedItself() quantity.Name {
	slow, off := 0, 0
	for _, v := range c.col.Values {
		if v != v || c.unit.SI(v) > crawl {
			continue
		}
		slow++
		if v != 0 {
			off++
		}
	}
	if slow >= leastRest && float64(off) > restless*float64(slow) {
		return quantity.GPSSpeed
	}
	return quantity.VehicleSpeed
}
