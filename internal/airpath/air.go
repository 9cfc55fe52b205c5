package airpath

import (
	"fmt"
	"math"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/num/stats"
	"traplight/internal/pass"
	"traplight/internal/physics/air"
	"traplight/internal/quantity"
)

// Spreads of the air's figures by where they come from, standard deviations.
// Common practice, no source.
const (
	tempNotesSD   = 1.0  // K: thermometer in the shade, rounded, some minutes off
	tempChannelSD = 2.5  // K: a sensor on the car sees the engine and the tarmac
	tempSoaked    = 8.0  // K by which an intake thermometer of a waiting car reads high,
	tempSoakedSD  = 7.0  // K and how far that may be off
	tempGuess     = 293  // K
	tempGuessSD   = 9.0  // K
	humidGuess    = 0.55 // 1
	humidGuessSD  = 0.2  // 1
	humidNotesSD  = 0.06 // 1
	// Thermometers that differ by more than this are told, K.
	tempConflict = 7.0
)

// Air is the air of a pass, from the notes, else from the log, else assumed, with
// what had to be assumed or contradicts itself, a sentence each. launch is the
// moment of the launch, s, run clock; the log is read before it. It never returns
// nil: without anything it is a guess with a wide spread.
func Air(set *dictionary.Set, note *car.PassNote, launch float64) (*pass.Air, []string) {
	p, pressureFrom, notes := Barometer(set, note)
	a := &pass.Air{Pressure: p.Value}
	sd := air.Spread{Pressure: p.SD}
	var told []string
	a.Temperature, sd.Temperature, a.Source, told = airTemperature(set, note, launch)
	notes = append(notes, told...)
	if a.Source == "assumed" && pressureFrom != "assumed" {
		a.Source = "log"
		if pressureFrom == "notes" {
			a.Source = "notes"
		}
	}
	a.Humidity, sd.Humidity, told = humidity(set, note)
	notes = append(notes, told...)
	state := air.State{Temperature: a.Temperature, Pressure: a.Pressure, Humidity: a.Humidity}
	a.Density = state.DensityEstimate(sd)
	a.DensityAltitude = state.DensityAltitude()
	if f, within := air.CorrectionJ1349(a.Temperature, a.Pressure, a.Humidity); within {
		a.CorrectionJ1349 = &f
	} else {
		notes = append(notes, fmt.Sprintf("no SAE J1349 correction: the factor %.3f is outside the standard's range of use, 0.93 to 1.07", f))
	}
	return a, notes
}

// airTemperature gives the temperature of the air and its spread, K, and its source.
func airTemperature(set *dictionary.Set, note *car.PassNote, launch float64) (t, sd float64, source string, notes []string) {
	logged := math.NaN()
	if c := set.First(quantity.AmbientTemperature); c != nil {
		if v := stats.Median(c.Trace.V); v > 233 && v < 333 {
			logged = v
		}
	}
	if note != nil && note.Weather.AirTemp > 233 && note.Weather.AirTemp < 333 {
		t = note.Weather.AirTemp
		if d := logged - t; math.Abs(d) > tempConflict {
			notes = append(notes, fmt.Sprintf("air temperature: the notes say %.1f °C, the log %.1f °C; the notes are used", t-273.15, logged-273.15))
		}
		return t, tempNotesSD, "notes", notes
	}
	if !math.IsNaN(logged) {
		return logged, tempChannelSD, "log", nil
	}
	if c := set.First(quantity.IntakeTemperature); c != nil {
		// Waiting warms the sensor; the least it ever showed before the launch is the
		// nearest to the air.
		x := c.Trace.Slice(math.Inf(-1), launch)
		if x.Len() == 0 {
			x = c.Trace
		}
		least := math.Inf(1)
		for i := range x.V {
			if m, _, n := line(x.Slice(x.T[i], x.T[i]+1)); n > 0 {
				least = min(least, m)
			}
		}
		if least > 233 && least < 353 {
			t = least - tempSoaked
			return t, tempSoakedSD, "log", []string{fmt.Sprintf("air temperature: taken as %.0f °C (± %.0f) from the intake thermometer before the launch; air_temp_c in the notes would give it", t-273.15, tempSoakedSD)}
		}
	}
	return tempGuess, tempGuessSD, "assumed", []string{fmt.Sprintf("air temperature: assumed %.0f °C (± %.0f); air_temp_c in the notes would give it", tempGuess-273.15, tempGuessSD)}
}

// humidity gives the relative humidity and its spread, 0–1.
func humidity(set *dictionary.Set, note *car.PassNote) (rh, sd float64, notes []string) {
	if note != nil && note.Weather.Humidity >= 0 && note.Weather.Humidity <= 1 {
		return note.Weather.Humidity, humidNotesSD, nil
	}
	if c := set.First(quantity.Humidity); c != nil {
		if v := stats.Median(c.Trace.V); v >= 0 && v <= 1 {
			return v, humidNotesSD, nil
		}
	}
	return humidGuess, humidGuessSD, []string{fmt.Sprintf("humidity: assumed %.0f %%, which changes the air's density by less than 0.5 %%", 100*humidGuess)}
}
