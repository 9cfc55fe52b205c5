package app

import (
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"traplight/internal/physics/air"
	"traplight/internal/quantity"
	"traplight/internal/report"
)

// AirRequest is the weather as people have it: each value with its unit, as
// typed ("21.5C", "29.92inHg", "45%"); "" when not known.
type AirRequest struct {
	Temp      string // air temperature
	Station   string // pressure where the car stands
	Altimeter string // pressure set to sea level, as weather services give it; needs Elevation
	Elevation string // of the place
	Humidity  string // relative
	DewPoint  string
}

// AirAnswer is the air's state, all SI.
type AirAnswer struct {
	Temperature     float64 `json:"temperature_k"`       // K
	Pressure        float64 `json:"pressure_pa"`         // Pa absolute, at the place
	Humidity        float64 `json:"humidity"`            // 0–1
	DewPoint        float64 `json:"dew_point_k"`         // K
	Density         float64 `json:"density_kgpm3"`       // kg/m³
	DensityAltitude float64 `json:"density_altitude_m"`  // m
	PressureAlt     float64 `json:"pressure_altitude_m"` // m
	// Corrections of full-load power, 1, for comparison.
	J1349        float64  `json:"correction_sae_j1349"`
	ISO1585      float64  `json:"correction_iso_1585"`
	J607         float64  `json:"correction_sae_j607"`
	DIN70020     float64  `json:"correction_din_70020"`
	SpeedOfSound float64  `json:"speed_of_sound_mps"` // m/s
	Notes        []string `json:"notes"`
}

// Air works out the state of the air.
func Air(q AirRequest) (*AirAnswer, error) {
	a := &AirAnswer{Notes: []string{}}
	var err error
	if a.Temperature, err = typed("temperature", q.Temp, quantity.DimTemperature, "21.5C or 70F"); err != nil {
		return nil, err
	}
	if a.Pressure, err = stationPressure(q); err != nil {
		return nil, err
	}
	if err := humidity(q, a); err != nil {
		return nil, err
	}
	rho, ok := air.Density(a.Temperature, a.Pressure, a.Humidity)
	if !ok {
		return nil, fmt.Errorf("%.1f °C, %.1f kPa and %.0f %% humidity are not a weather that happens: is a unit wrong?",
			a.Temperature-273.15, a.Pressure/1000, 100*a.Humidity)
	}
	a.Density = rho
	a.DensityAltitude = air.DensityAltitude(rho)
	a.PressureAlt = air.PressureAltitude(a.Pressure)
	var sae, iso bool
	a.J1349, sae = air.CorrectionJ1349(a.Temperature, a.Pressure, a.Humidity)
	a.ISO1585, iso = air.CorrectionISO1585(a.Temperature, a.Pressure, a.Humidity)
	a.J607 = air.CorrectionJ607(a.Temperature, a.Pressure, a.Humidity)
	a.DIN70020 = air.CorrectionDIN70020(a.Temperature, a.Pressure)
	a.Notes = append(a.Notes, "corrections of power are shown for comparison: made for engines that breathe freely, they overstate for a boost-controlled one.")
	for _, c := range []struct {
		name   string
		within bool
	}{{"SAE J1349", sae}, {"ISO 1585", iso}} {
		if !c.within {
			a.Notes = append(a.Notes, "the correction lies outside the range for which "+c.name+" was made, 0.93 to 1.07.")
		}
	}
	a.SpeedOfSound = air.SpeedOfSound(a.Temperature)
	return a, nil
}

func stationPressure(q AirRequest) (float64, error) {
	switch {
	case q.Station != "" && q.Altimeter != "":
		return 0, errors.New("give the pressure at the place or the one set to sea level, not both")
	case q.Station != "":
		return typed("pressure", q.Station, quantity.DimPressure, "1008hPa or 29.77inHg")
	case q.Altimeter != "":
		p, err := typed("altimeter", q.Altimeter, quantity.DimPressure, "1013hPa or 29.92inHg")
		if err != nil {
			return 0, err
		}
		if q.Elevation == "" {
			return 0, errors.New("a pressure set to sea level needs the elevation of the place")
		}
		h, err := typed("elevation", q.Elevation, quantity.DimLength, "210m or 690ft")
		return air.StationPressure(p, h), err
	}
	return 0, errors.New("the pressure is missing: give it as read at the place (--pressure 1008hPa), or as set to sea level together with the elevation (--altimeter 29.92inHg --elevation 690ft)")
}

func humidity(q AirRequest, a *AirAnswer) (err error) {
	switch {
	case q.Humidity != "" && q.DewPoint != "":
		return errors.New("give the humidity or the dew point, not both")
	case q.Humidity != "":
		a.Humidity, err = typed("humidity", q.Humidity, quantity.DimShare, "45%")
	case q.DewPoint != "":
		if a.DewPoint, err = typed("dew point", q.DewPoint, quantity.DimTemperature, "9C or 48F"); err == nil {
			a.Humidity = air.HumidityFromDewPoint(a.Temperature, a.DewPoint)
		}
	default:
		a.Humidity = 0.5
		a.Notes = append(a.Notes, "the humidity is not known: 50 % was taken; between dry and damp air the density changes by about 1 %.")
	}
	if err != nil {
		return err
	}
	if !(a.Humidity >= 0 && a.Humidity <= 1) {
		return fmt.Errorf("a humidity of %.0f %% is not possible", 100*a.Humidity)
	}
	if a.Humidity > 0 {
		a.DewPoint = air.DewPoint(a.Temperature, a.Humidity)
	}
	return nil
}

// typed reads a number with its unit; a decimal comma is understood.
func typed(what, text string, dim quantity.Dimension, example string) (float64, error) {
	text = strings.TrimSpace(text)
	if text == "" {
		return 0, fmt.Errorf("the %s is missing: give it as in %s", what, example)
	}
	end := strings.LastIndexFunc(text, func(r rune) bool { return r >= '0' && r <= '9' || r == '.' || r == ',' })
	// A unit may hold digits (m/s2): the number is what stands before the first letter.
	if i := strings.IndexFunc(text, func(r rune) bool { return !strings.ContainsRune("0123456789.,+- ", r) }); i >= 0 {
		end = i - 1
	}
	x, err := strconv.ParseFloat(strings.ReplaceAll(strings.TrimSpace(text[:end+1]), ",", "."), 64)
	if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
		return 0, fmt.Errorf("%s: %q is not a number with a unit, as in %s", what, text, example)
	}
	unit := strings.TrimSpace(text[end+1:])
	u, ok := quantity.ParseUnit(unit)
	switch {
	case unit == "":
		return 0, fmt.Errorf("%s: %q needs a unit, as in %s", what, text, example)
	case !ok:
		return 0, fmt.Errorf("%s: %q is not a unit that is known here: give it as in %s", what, unit, example)
	case u.Dim != dim:
		return 0, fmt.Errorf("%s: %q is not a unit of it: give it as in %s", what, unit, example)
	}
	return u.SI(x), nil
}

// WriteText prints the answer in the units of a world: "us", "metric", "si" or
// "auto".
func (a *AirAnswer) WriteText(w io.Writer, units string) error {
	world := report.World(units, "")
	line := func(label, text string) string { return fmt.Sprintf("%-18s %s\n", label, text) }
	out := line("density", world.Rounded(quantity.DimDensity, a.Density, readAir*a.Density)) +
		line("density altitude", world.Rounded(quantity.DimLength, a.DensityAltitude, air.AltitudeSD(readAir))) +
		line("pressure altitude", world.Rounded(quantity.DimLength, a.PressureAlt, 8)) + // 1 hPa
		line("SAE J1349", fmt.Sprintf("%.3f (dry, 99 kPa, 25 °C)", a.J1349)) +
		line("ISO 1585", fmt.Sprintf("%.3f (dry, 99 kPa, 25 °C)", a.ISO1585)) +
		line("SAE J607", fmt.Sprintf("%.3f (dry, 29.92 inHg, 60 °F)", a.J607)) +
		line("DIN 70020", fmt.Sprintf("%.3f (1013 hPa, 20 °C)", a.DIN70020)) +
		line("temperature", world.Temperature(a.Temperature)) +
		line("pressure", fmt.Sprintf("%.1f hPa, %.2f inHg", a.Pressure/100, a.Pressure/3386.38864)) +
		line("humidity", fmt.Sprintf("%.0f %%", 100*a.Humidity))
	if a.DewPoint > 0 {
		out += line("dew point", world.Temperature(a.DewPoint))
	}
	out += line("speed of sound", world.Rounded(quantity.DimSpeed, a.SpeedOfSound, 0.3))
	for _, n := range a.Notes {
		out += "note: " + n + "\n"
	}
	_, err := io.WriteString(w, out)
	return err
}
