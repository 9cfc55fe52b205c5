package dictionary

import (
	"fmt"
	"math"

	"traplight/internal/quantity"
)

// receiverAlone takes a speed whose name does not say whose it is for the satellite
// receiver's, where it stands beside positions and the log holds nothing that only the
// car itself could tell; and one told in knots (NMEA 0183 gives speed over ground in
// them) always. One that is read at the moments of the positions, and of nothing else, is
// the receiver's too, whatever else the log holds.
func receiverAlone(cands []*candidate, set *Set) {
	var speeds []*candidate
	var lat, lon *candidate
	car, receiver := false, false
	for _, c := range cands {
		if c.score < unsure {
			continue
		}
		switch c.best.q {
		case quantity.VehicleSpeed:
			if !c.forced {
				speeds = append(speeds, c)
			}
		case quantity.Latitude:
			lat = c
		case quantity.Longitude:
			lon = c
		case quantity.GPSSpeed:
			receiver = true
		case quantity.Altitude, quantity.Heading, quantity.AccelerationLong, quantity.AccelerationLat, quantity.YawRate,
			quantity.BarometricPressure, quantity.AmbientTemperature, quantity.Humidity, quantity.BatteryVoltage, quantity.Unknown:
		default:
			car = true
		}
	}
	if len(speeds) != 1 || lat == nil || lon == nil || receiver {
		return
	}
	c := speeds[0]
	switch {
	case !car:
		set.Notes = append(set.Notes, fmt.Sprintf("channel %q is taken for the satellite speed: the log has positions and nothing of the car itself", c.col.Name))
	case c.known && c.unit.Symbol == "kn":
		set.Notes = append(set.Notes, fmt.Sprintf("channel %q is taken for the satellite speed, since it is in knots", c.col.Name))
	case readTogether(c, lat, lon):
		set.Notes = append(set.Notes, fmt.Sprintf("channel %q is taken for the satellite speed, since it is read at the moments of the positions", c.col.Name))
	default:
		return
	}
	c.best.q = quantity.GPSSpeed
}

const (
	// seldom is the share of rows in which a receiver's speed may change to have moments of
	// its own.
	seldom = 0.55
	// together is the least share of a speed's changes that fall on those of the positions.
	together = 0.97
	// fewChanges is the least number of them.
	fewChanges = 60
)

// readTogether says whether a speed changes only in rows in which the positions do, which
// are far from all rows.
func readTogether(speed, lat, lon *candidate) bool {
	changed := func(c *candidate) []bool {
		out := make([]bool, len(c.col.Values))
		prev := math.NaN()
		for i, v := range c.col.Values {
			if v != v {
				continue
			}
			out[i] = v != prev && prev == prev
			prev = v
		}
		return out
	}
	v, x, y := changed(speed), changed(lat), changed(lon)
	n, with, moments := 0, 0, 0
	for i := range v {
		at := x[i] || y[i]
		if at {
			moments++
		}
		if v[i] {
			n++
			if at {
				with++
			}
		}
	}
	return n >= fewChanges && float64(moments) < seldom*float64(len(v)) && float64(with) > together*float64(n)
}
