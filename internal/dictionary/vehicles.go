package dictionary

import (
	"fmt"
	"slices"

	"traplight/internal/quantity"
)

// oneVehicle keeps the channels of one vehicle where a file holds several, each
// with a number at the end of its names ("Speed2", "Lat2", "Speed3", "Lat3"). The
// first is taken, openly; a correction can take another.
func oneVehicle(cands []*candidate, set *Set) {
	numbers := map[int]int{} // vehicle → how many of speed, latitude and longitude it has
	for _, c := range cands {
		switch c.best.q {
		case quantity.VehicleSpeed, quantity.GPSSpeed, quantity.Latitude, quantity.Longitude:
			if n := c.lastNumber(); n > 0 && c.score >= unsure && !c.forced {
				numbers[n]++
			}
		}
	}
	var vehicles []int
	for n, k := range numbers {
		if k >= 2 {
			vehicles = append(vehicles, n)
		}
	}
	if len(vehicles) < 2 {
		return
	}
	slices.Sort(vehicles)
	taken := vehicles[0]
	for _, c := range cands {
		if n := c.lastNumber(); n > 0 && n != taken && slices.Contains(vehicles, n) && !c.forced {
			c.best, c.score, c.notes, c.index = reading{}, 0, nil, 0
			c.elsewhere = fmt.Sprintf("of another vehicle, number %d", n)
		}
	}
	set.Notes = append(set.Notes, fmt.Sprintf("the file holds %d vehicles, numbered %v; number %d is taken, and another can be by correcting its channels", len(vehicles), vehicles, taken))
}

// lastNumber is the number at the end of a name, 0 when there is none.
func (c *candidate) lastNumber() int {
	if n := len(c.words); n > 0 && c.words[n-1].number > 0 {
		return c.words[n-1].number
	}
	return 0
}
