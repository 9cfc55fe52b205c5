package dictionary

import (
	"math"
	"testing"

	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// Positions at 40 m/s, ten a second, along a heading, their longitude frozen half-way.
func TestFrozenCoordinateTellsNoSpeed(t *testing.T) {
	for name, c := range map[string]struct {
		heading float64 // rad
		frozen  bool
		last    float64 // s, until when a speed is told
	}{"north-east": {0.8, false, 19}, "north-east, frozen": {0.8, true, 10}, "due north": {0, true, 19}} {
		var lat, lon trace.Trace
		for i := range 200 {
			s := float64(i) / 10
			x, y := 40*s*math.Sin(c.heading), 40*s*math.Cos(c.heading)
			if c.frozen && s > 10 {
				x = 400 * math.Sin(c.heading)
			}
			lat.T, lat.V = append(lat.T, s), append(lat.V, 0.8+y/earthRadius)
			lon.T, lon.V = append(lon.T, s), append(lon.V, 0.1+x/(earthRadius*math.Cos(0.8)))
		}
		set := &Set{Channels: []Channel{{Name: "lat", Quantity: quantity.Latitude, Trace: lat}, {Name: "lon", Quantity: quantity.Longitude, Trace: lon}}}
		way := positionSpeed(set)
		for k, v := range way.V {
			if math.Abs(v-40) > 0.5 && math.Abs(way.T[k]-10) > 0.5 {
				t.Errorf("%s: %.1f m/s at %.1f s, want 40", name, v, way.T[k])
				break
			}
		}
		if end := way.T[way.Len()-1]; math.Abs(end-c.last) > 1 {
			t.Errorf("%s: told until %.1f s, want %.1f", name, end, c.last)
		}
	}
}
