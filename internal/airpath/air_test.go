package airpath

import (
	"math"
	"strings"
	"testing"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/quantity"
)

func channel(q quantity.Name, values ...float64) dictionary.Channel {
	c := dictionary.Channel{Name: string(q), Quantity: q, Confidence: 1, RateHz: 10}
	for i, v := range values {
		c.Trace.T = append(c.Trace.T, float64(i)*0.1)
		c.Trace.V = append(c.Trace.V, v)
	}
	return c
}

func weatherNote(t, p, rh float64) *car.PassNote {
	return &car.PassNote{Weather: car.Weather{AirTemp: t, Pressure: p, Humidity: rh}}
}

func TestAir(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		name       string
		channels   []dictionary.Channel
		note       *car.PassNote
		density    float64 // kg/m³
		tolerance  float64 // kg/m³
		sdAtMost   float64 // kg/m³
		source     string
		mustBeTold string
	}{
		// Density of CIPM-2007 (Metrologia 45 (2008) 149) for 20 °C, 101325 Pa, 50 %.
		{"notes alone", nil, weatherNote(293.15, 101325, 0.5), 1.199314, 2e-5, 0.006, "notes", ""},
		// CIPM-2007 for 30 °C, 100 kPa, 60 %.
		{"notes and log agree", []dictionary.Channel{channel(quantity.BarometricPressure, 100e3, 100e3, 100e3)},
			weatherNote(303.15, 100e3, 0.6), 1.138443, 2e-5, 0.006, "notes", ""},
		{"notes reduced to sea level", []dictionary.Channel{channel(quantity.BarometricPressure, 95e3, 95e3, 95e3)},
			weatherNote(303.15, 101325, 0.6), 1.0813, 5e-4, 0.006, "notes", "the log's is used"},
		{"intake thermometer of a waiting car", []dictionary.Channel{channel(quantity.BarometricPressure, 100e3, 100e3), channel(quantity.IntakeTemperature, 301.15, 301.15)},
			nil, 1.186, 0.004, 0.05, "log", "from the intake thermometer"},
		{"nothing at all", nil, weatherNote(nan, nan, nan), 1.19, 0.03, 0.09, "assumed", "air pressure: assumed"},
	} {
		set := &dictionary.Set{Channels: c.channels}
		a, notes := Air(set, c.note, 0.05)
		if math.Abs(a.Density.Value-c.density) > c.tolerance {
			t.Errorf("%s: density %.6f, want %.6f ± %g", c.name, a.Density.Value, c.density, c.tolerance)
		}
		if !(a.Density.SD > 0 && a.Density.SD <= c.sdAtMost) {
			t.Errorf("%s: spread %.4f, want up to %g", c.name, a.Density.SD, c.sdAtMost)
		}
		if a.Source != c.source {
			t.Errorf("%s: source %q, want %q", c.name, a.Source, c.source)
		}
		if told := strings.Join(notes, "; "); !strings.Contains(told, c.mustBeTold) {
			t.Errorf("%s: %q is not told in %q", c.name, c.mustBeTold, told)
		}
	}
}

// TestAirOnLogs: the stated spread of the density is honest on the simulated logs.
func TestAirOnLogs(t *testing.T) {
	worst := 0.0
	for _, file := range sharedLogs(t) {
		truth, set := readTruth(t, file)
		for _, p := range truth.Passes {
			a, _ := Air(set, noteOf(p), p.Launch)
			z := (a.Density.Value - p.Env.Density) / a.Density.SD
			worst = max(worst, math.Abs(z))
			b, _ := Air(set, nil, p.Launch)
			zb := (b.Density.Value - p.Env.Density) / b.Density.SD
			worst = max(worst, math.Abs(zb))
			t.Logf("%.4f: with notes %.4f ± %.4f, from the log alone %.4f ± %.4f kg/m³", p.Env.Density, a.Density.Value, a.Density.SD, b.Density.Value, b.Density.SD)
		}
	}
	if worst > 3 {
		t.Errorf("density is off by %.1f of its stated spread", worst)
	}
}

func TestNoChannels(t *testing.T) {
	p := passOf(truthPass{}, &dictionary.Set{})
	notes := strings.Join(Fill(p, &dictionary.Set{}, nil, nil), "; ")
	if !strings.Contains(notes, "no channel for manifold pressure") {
		t.Errorf("not told that there is no manifold pressure: %q", notes)
	}
}
