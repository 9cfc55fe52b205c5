package car

import (
	"fmt"
	"math"

	"traplight/internal/physics/air"
)

// How far a stated headwind may be off over a pass: the mast stands somewhere else
// and higher than the car, and the wind changes within minutes. Common practice,
// no source.
const (
	windSD      = 0.7 // m/s
	windSDShare = 0.2 // 1, of the wind speed
	// The same of a pass to come. What is stated there is the wind that the pass is foretold
	// for, no mast's reading: what is left are gusts that last as long as a pass, half or so of
	// the usual half to one metre a second, and what the strip has of its own.
	windSDPlanned, windSDSharePlanned = 0.5, 0.05
	// gustShare is what of the gust's excess over the mean remains, as a
	// standard deviation, in the mean over a pass: gusts are the peaks, about
	// 2.5 to 3 standard deviations out.
	gustShare = 1.0 / 3 // 1
	// Two statements of one thing that differ by more than this contradict each other.
	humidityConflict = 0.12 // 1
	windConflict     = 2.0  // m/s
)

// UnknownWeather has nothing measured.
func UnknownWeather() Weather {
	n := math.NaN()
	return Weather{AirTemp: n, Pressure: n, Humidity: n, Headwind: n, HeadwindS: n, Crosswind: n, Gust: n}
}

// weather brings every note's weather to one form.
func (b *notesReader) weather() {
	for i := range b.n.Passes {
		p := &b.n.Passes[i]
		strip, known := b.n.stripFor(p.Strip, p.Event)
		p.Weather = b.resolve(b.passAir[i], strip, known, windSD, windSDShare, fmt.Sprintf("%s line %d", b.r.doc.name, p.Line))
		p.Slip.atLine(strip.Length)
	}
	for i := range b.n.Planned {
		p := &b.n.Planned[i]
		strip, known := b.n.stripOfPlan(p)
		p.Weather = b.resolve(b.planAir[i], strip, known, windSDPlanned, windSDSharePlanned, fmt.Sprintf("%s line %d", b.r.doc.name, p.Line))
	}
}

// resolve works out station pressure, humidity and the wind along the strip, which may be off
// by off, m/s, and a share of the wind's speed. at begins its sentences.
func (b *notesReader) resolve(a *airText, s Strip, known bool, off, offShare float64, at string) Weather {
	w := UnknownWeather()
	w.AirTemp, w.Pressure, w.Gust = a.temp, a.pressure, a.gust
	if have(a.altimeter) {
		station := math.NaN()
		if have(s.Elevation) {
			station = air.StationPressure(a.altimeter, s.Elevation)
		}
		switch {
		case have(w.Pressure) && have(station) && math.Abs(w.Pressure-station) > 300:
			b.r.note("%s: station pressure %.1f hPa and altimeter setting %.1f hPa at %.0f m contradict each other by %.1f hPa; the station pressure is used.",
				at, w.Pressure/100, a.altimeter/100, s.Elevation, math.Abs(w.Pressure-station)/100)
		case have(w.Pressure):
		case have(station):
			w.Pressure = station
		case !known:
			b.r.note("%s: the altimeter setting needs a [[strip]] with elevation_m; the air pressure is not known.", at)
		default:
			b.r.note("%s: the altimeter setting needs elevation_m of strip %q; the air pressure is not known.", at, s.ID)
		}
	}
	w.Humidity = a.humidity
	if have(a.dew) {
		switch {
		case have(w.Humidity):
			if rh := air.HumidityFromDewPoint(a.temp, a.dew); have(a.temp) && math.Abs(rh-w.Humidity) > humidityConflict {
				b.r.note("%s: humidity %.0f %% and a dew point of %.1f °C, which is %.0f %% at that temperature, contradict each other; the humidity is used.",
					at, 100*w.Humidity, a.dew-celsius, 100*rh)
				break
			}
			b.r.note("%s: humidity is used, the dew point is not.", at)
		case !have(a.temp):
			b.r.note("%s: the dew point needs air_temp; the humidity is not known.", at)
		default:
			rh := air.HumidityFromDewPoint(a.temp, a.dew)
			if rh > 1.05 {
				b.r.note("%s: the dew point lies above the air temperature; the humidity is not known.", at)
				break
			}
			w.Humidity = math.Min(rh, 1)
		}
	}
	b.wind(&w, a, s, off, offShare, at)
	return w
}

// wind splits the wind along and across the strip; off and offShare as in resolve.
func (b *notesReader) wind(w *Weather, a *airText, s Strip, off, offShare float64, at string) {
	w.Headwind, w.Crosswind = a.headwind, a.crs
	speed := math.Abs(a.headwind)
	if have(a.wind) {
		speed = a.wind
		switch {
		case have(w.Headwind):
			if along := a.wind * math.Cos(a.from-s.Heading); have(along) && math.Abs(along-w.Headwind) > windConflict {
				b.r.note("%s: a headwind of %.1f m/s and the wind with its direction, %.1f m/s along the strip, contradict each other; the headwind is used.",
					at, w.Headwind, along)
				break
			}
			b.r.note("%s: headwind is used, wind with its direction is not.", at)
		case a.wind == 0:
			w.Headwind, w.Crosswind = 0, 0
		case !have(a.from):
			b.r.note("%s: the wind needs wind_from_deg; the headwind is not known, only that it is below %.1f m/s.", at, a.wind)
		case !have(s.Heading):
			b.r.note("%s: the wind needs the strip's heading_deg; the headwind is not known, only that it is below %.1f m/s.", at, a.wind)
		default:
			// from is where the wind comes from: straight ahead is a headwind.
			w.Headwind = a.wind * math.Cos(a.from-s.Heading)
			w.Crosswind = a.wind * math.Sin(a.from-s.Heading)
		}
	}
	if !have(w.Headwind) {
		return
	}
	w.HeadwindS = math.Hypot(off, offShare*speed) // the mast and its place err apart from one another
	if have(a.gust) && a.gust > speed {
		w.HeadwindS = math.Hypot(w.HeadwindS, gustShare*(a.gust-speed))
	}
	if have(a.headwindSD) {
		w.HeadwindS = a.headwindSD
	}
}

func have(x float64) bool { return !math.IsNaN(x) }

// atLine takes the speed at the mark where the strip ends for the trap speed, when the
// slip names no other.
func (s *Slip) atLine(length float64) {
	for mark, x := range map[string]float64{"1/8 mile": 201.168, "1/4 mile": 402.336, "1/2 mile": 804.672, "1 km": 1000, "1 mile": 1609.344} {
		if v, ok := s.Speed[mark]; ok && !have(s.Trap) && math.Abs(length/x-1) < 0.005 {
			s.Trap = v
		}
	}
}
