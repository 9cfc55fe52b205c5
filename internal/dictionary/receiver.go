package dictionary

import (
	"fmt"

	"traplight/internal/quantity"
)

// receiverAlone takes a speed whose name does not say whose it is for the satellite
// receiver's, where it stands beside positions and the log holds nothing that only the
// car itself could tell; and one told in knots (NMEA 0183 gives speed over ground in
// them) always.
func receiverAlone(cands []*candidate, set *Set) {
	var speeds []*candidate
	lat, lon, car := false, false, false
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
			lat = true
		case quantity.Longitude:
			lon = true
		case quantity.Altitude, quantity.Heading, quantity.AccelerationLong, quantity.AccelerationLat, quantity.YawRate,
			quantity.BarometricPressure, quantity.AmbientTemperature, quantity.Humidity, quantity.BatteryVoltage, quantity.Unknown:
		default:
			car = true
		}
	}
	if len(speeds) != 1 || !lat || !lon {
		return
	}
	c := speeds[0]
	switch {
	case !car:
		set.Notes = append(set.Notes, fmt.Sprintf("channel %q is taken for the satellite speed: the log has positions and nothing of the car itself", c.col.Name))
	case c.known && c.unit.Symbol == "kn":
		set.Notes = append(set.Notes, fmt.Sprintf("channel %q is taken for the satellite speed, since it is in knots", c.col.Name))
	default:
		return
	}
	c.best.q = quantity.GPSSpeed
}
