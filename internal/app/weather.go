package app

import (
	"fmt"
	"math"
	"strings"

	"traplight/internal/car"
	"traplight/internal/forecast"
	"traplight/internal/physics/air"
	"traplight/internal/quantity"
)

// AirState is the air at the strip with the wind, all SI; what nobody stated is null.
type AirState struct {
	Temperature     *float64 `json:"temperature_k"`      // K
	Pressure        *float64 `json:"pressure_pa"`        // Pa absolute, at the place
	Humidity        *float64 `json:"humidity"`           // 0–1
	Density         *float64 `json:"density_kgpm3"`      // kg/m³
	DensityAltitude *float64 `json:"density_altitude_m"` // m
	Headwind        *float64 `json:"headwind_mps"`       // m/s, against the car positive
	Crosswind       *float64 `json:"crosswind_mps"`      // m/s, from the right positive
	Gust            *float64 `json:"gust_mps"`           // m/s
	Notes           []string `json:"notes"`
}

// readAir is how closely the density of the air is known that people read off instruments, a
// share: by some 0.3 K, 1 hPa and 3 % of humidity (common practice, no source).
const readAir = 0.0015

func stated(x float64) *float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil
	}
	return &x
}

// AirOf is the state of the air by what was stated. Without a humidity 50 % is taken for
// the density.
func AirOf(w car.Weather) *AirState {
	a := &AirState{Temperature: stated(w.AirTemp), Pressure: stated(w.Pressure), Humidity: stated(w.Humidity),
		Headwind: stated(w.Headwind), Crosswind: stated(w.Crosswind), Gust: stated(w.Gust), Notes: []string{}}
	rh := 0.5
	if a.Humidity != nil {
		rh = w.Humidity
	}
	if rho, ok := air.Density(w.AirTemp, w.Pressure, rh); ok {
		a.Density, a.DensityAltitude = &rho, stated(air.DensityAltitude(rho))
		if a.Humidity == nil {
			a.Notes = append(a.Notes, "the humidity is not stated: 50 % was taken for the density")
		}
	}
	return a
}

// airOf is the air for which a pass to come was worked out: what was stated, and for the
// rest that of the pass before.
func airOf(n *forecast.Next, w car.Weather) *AirState {
	w.AirTemp, w.Pressure = n.Air.Temperature, n.Air.Pressure
	a := AirOf(w)
	a.Density, a.DensityAltitude = stated(n.Air.Density), stated(air.DensityAltitude(n.Air.Density))
	return a
}

// ReadWeather reads weather as an entry of the notes states it, at the strip of an event.
// notes are the text of all notes: they know the strip's heading and elevation.
func ReadWeather(notes []byte, event, entry string) (*AirState, error) {
	n, err := car.ParseNotes("the weather", fmt.Appendf(nil, "%s\n[[planned]]\nid = %q\nevent = %q\n%s", notes, weatherID, event, entry))
	if err != nil {
		return nil, err
	}
	p := n.PlannedByID(weatherID)
	for _, u := range n.Unread {
		if u.Line >= p.Line {
			return nil, fmt.Errorf("the weather has %s, which is not understood", u.Key)
		}
	}
	a := AirOf(p.Weather)
	for _, s := range n.Notes {
		if _, said, ok := strings.Cut(s, fmt.Sprintf("the weather line %d: ", p.Line)); ok {
			a.Notes = append(a.Notes, strings.TrimSuffix(said, "."))
		}
	}
	return a, nil
}

const weatherID = "weather now"

// StandardPressure is the pressure, Pa, at an altitude, m, in the standard atmosphere, for
// want of a barometer.
func StandardPressure(altitude float64) float64 {
	_, p, _ := air.Standard(altitude)
	return p
}

// Words tell the air in the units of w, the most important first; "" nothing is known.
func (a *AirState) Words(w quantity.World) string {
	if a == nil {
		return ""
	}
	var out []string
	if a.DensityAltitude != nil {
		out = append(out, "density altitude "+w.Rounded(quantity.DimLength, *a.DensityAltitude, air.AltitudeSD(readAir)))
	}
	if a.Density != nil {
		out = append(out, fmt.Sprintf("%.3f kg/m³", *a.Density))
	}
	if a.Temperature != nil {
		out = append(out, whole(w, quantity.DimTemperature, *a.Temperature))
	}
	if a.Pressure != nil {
		out = append(out, w.Barometer(*a.Pressure))
	}
	if a.Humidity != nil {
		out = append(out, fmt.Sprintf("%.0f %% humidity", 100**a.Humidity))
	}
	return strings.Join(out, ", ")
}

// WindWords tell the wind along and across the strip; "" when none is known.
func (a *AirState) WindWords(w quantity.World) string {
	if a == nil {
		return ""
	}
	var out []string
	told := func(v *float64) bool { // more than nothing in whole units
		return v != nil && math.Round(w.Of(quantity.DimSpeed, math.Abs(*v))) > 0
	}
	if v := a.Headwind; told(v) {
		if *v < 0 {
			out = append(out, whole(w, quantity.DimSpeed, -*v)+" from behind")
		} else {
			out = append(out, whole(w, quantity.DimSpeed, *v)+" against the car")
		}
	} else if v != nil {
		out = append(out, "none along the strip")
	}
	if v := a.Crosswind; told(v) {
		side := "right"
		if *v < 0 {
			side = "left"
		}
		out = append(out, whole(w, quantity.DimSpeed, math.Abs(*v))+" across it from the "+side)
	}
	if v := a.Gust; told(v) {
		out = append(out, "gusts to "+whole(w, quantity.DimSpeed, *v))
	}
	if len(out) == 0 {
		return ""
	}
	return "wind: " + strings.Join(out, ", ")
}

// whole prints without decimals what no one reads closer.
func whole(w quantity.World, d quantity.Dimension, x float64) string {
	return fmt.Sprintf("%.0f %s", w.Of(d, x), w.Unit(d).Symbol)
}
