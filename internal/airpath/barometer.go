package airpath

import (
	"fmt"
	"math"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/num/stats"
	"traplight/internal/physics/air"
	"traplight/internal/quantity"
)

// Spreads of the sources of a pass's barometer, Pa, standard deviations. Common
// practice, no source: a barometer chip is specified to 1–2 hPa, people round to
// 1 hPa and read some minutes before or after.
const (
	barometerSensorSD = 120.0
	barometerNotesSD  = 150.0
	manifoldAtRestSD  = 1000.0
	altitudeSD        = 1500.0 // weather about the standard atmosphere, and the receiver
	barometerGuessSD  = 2500.0
	// Two sources that differ by more than this contradict each other, Pa.
	barometerConflict = 600.0
)

// Barometer is the air pressure of the pass, Pa absolute, from the best of what
// there is: the log's own barometer and the notes' station pressure, weighed;
// without both the manifold sensor while the engine stands still, the satellite
// altitude, at last a guess. It tells the source and what had to be assumed, a
// sentence each.
func Barometer(set *dictionary.Set, note *car.PassNote) (p quantity.Estimate, source string, notes []string) {
	var log, written quantity.Estimate
	if c := set.First(quantity.BarometricPressure); c != nil {
		if v := stats.Median(c.Trace.V); v > 50e3 && v < 112e3 {
			log = quantity.Estimate{Value: v, SD: math.Hypot(barometerSensorSD, c.Resolution/3)}
		}
	}
	if note != nil && note.Weather.Pressure > 50e3 && note.Weather.Pressure < 112e3 {
		written = quantity.Estimate{Value: note.Weather.Pressure, SD: barometerNotesSD}
	}
	switch {
	case log.Value > 0 && written.Value > 0:
		if d := written.Value - log.Value; math.Abs(d) > barometerConflict {
			return log, "log", []string{fmt.Sprintf("air pressure: the notes say %.1f kPa, the log's barometer %.1f kPa; the log's is used (is the figure in the notes reduced to sea level?)",
				written.Value/1e3, log.Value/1e3)}
		}
		return weigh(log, written), "log and notes", nil
	case log.Value > 0:
		return log, "log", nil
	case written.Value > 0:
		return written, "notes", nil
	}
	if e, ok := manifoldAtRest(set); ok {
		return e, "engine off", []string{fmt.Sprintf("air pressure: %.1f kPa from the manifold sensor with the engine standing; no barometer in log or notes", e.Value/1e3)}
	}
	if c := set.First(quantity.Altitude); c != nil {
		if h := stats.Median(c.Trace.V); h > -500 && h < 5000 {
			_, pressure, _ := air.Standard(h)
			return quantity.Estimate{Value: pressure, SD: altitudeSD}, "altitude",
				[]string{fmt.Sprintf("air pressure: %.1f kPa (± %.1f) taken from the satellite altitude of %.0f m; no barometer in log or notes", pressure/1e3, altitudeSD/1e3, h)}
		}
	}
	return quantity.Estimate{Value: 101325 - 1000, SD: barometerGuessSD}, "assumed",
		[]string{fmt.Sprintf("air pressure: assumed 100.3 kPa (± %.1f); a barometer channel or the station pressure in the notes would give it", barometerGuessSD/1e3)}
}

// manifoldAtRest reads the manifold sensor where engine speed is nought.
func manifoldAtRest(set *dictionary.Set) (quantity.Estimate, bool) {
	rpm, man := set.First(quantity.EngineSpeed), set.First(quantity.ManifoldPressure)
	if rpm == nil || man == nil || man.Gauge {
		return quantity.Estimate{}, false
	}
	var v []float64
	for i, t := range man.Trace.T {
		if n, ok := rpm.Trace.At(t); ok && n < 1 {
			v = append(v, man.Trace.V[i])
		}
	}
	if len(v) < 20 {
		return quantity.Estimate{}, false
	}
	m := stats.Median(v)
	return quantity.Estimate{Value: m, SD: manifoldAtRestSD}, m > 60e3 && m < 112e3
}

// weigh joins two independent estimates of one thing.
func weigh(a, b quantity.Estimate) quantity.Estimate {
	wa, wb := 1/(a.SD*a.SD), 1/(b.SD*b.SD)
	return quantity.Estimate{Value: (a.Value*wa + b.Value*wb) / (wa + wb), SD: math.Sqrt(1 / (wa + wb))}
}
