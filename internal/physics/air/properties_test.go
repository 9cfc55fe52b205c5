package air

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func weather(t *rapid.T) State {
	return State{
		Temperature: rapid.Float64Range(260, 318).Draw(t, "temperature"),
		Pressure:    rapid.Float64Range(75e3, 108e3).Draw(t, "pressure"),
		Humidity:    rapid.Float64Range(0.01, 1).Draw(t, "humidity"),
	}
}

func TestProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := weather(t)
		rho, ok := s.Density()
		if !ok {
			t.Fatalf("%+v is not taken for weather", s)
		}
		// Damp, warm and thin air is lighter.
		if d := density(s.Temperature, s.Pressure, s.Humidity*0.9); d <= rho {
			t.Fatal("drier air is not denser")
		}
		if d := density(s.Temperature+1, s.Pressure, s.Humidity); d >= rho {
			t.Fatal("warmer air is not lighter")
		}
		// Standard and DensityAltitude are inverse.
		_, _, back := Standard(DensityAltitude(rho))
		if math.Abs(back/rho-1) > 1e-9 {
			t.Fatalf("density %g came back as %g", rho, back)
		}
		// So are dew point and humidity.
		td := DewPoint(s.Temperature, s.Humidity)
		if rh := HumidityFromDewPoint(s.Temperature, td); math.Abs(rh-s.Humidity) > 1e-9 {
			t.Fatalf("humidity %g came back as %g", s.Humidity, rh)
		}
		// The spread grows with each reading's own.
		one := s.DensityEstimate(Spread{Temperature: 1})
		two := s.DensityEstimate(Spread{Temperature: 1, Pressure: 100, Humidity: 0.1})
		if !(two.SD > one.SD && one.SD > 0) {
			t.Fatal("more doubt does not widen the spread")
		}
	})
}

func TestImpossibleStates(t *testing.T) {
	for _, s := range []State{{0, 1e5, 0.5}, {293, 0, 0.5}, {-5, -5, 0}, {math.NaN(), 1e5, 0.5}, {293, math.Inf(1), 0.5}} {
		if rho, ok := s.Density(); ok || !math.IsNaN(rho) {
			t.Errorf("density of %+v = %g, %v", s, rho, ok)
		}
	}
	if _, ok := Density(293, 1e5, 1.2); ok {
		t.Error("humidity of 120 % passed for weather")
	}
	for _, v := range []float64{DensityAltitude(0), PressureAltitude(-1), StationPressure(0, 0), StationPressure(1e5, 1e6), DewPoint(290, 0), SaturationPressure(700)} {
		if !math.IsNaN(v) {
			t.Errorf("an impossible question was answered with %g", v)
		}
	}
	if _, p, _ := Standard(20000); !math.IsNaN(p) {
		t.Error("the model was used above 11 km")
	}
}

// Of dry air the density is pressure over temperature: their relative errors add as squares.
func TestSpreadOfDryAir(t *testing.T) {
	s := State{Temperature: 290, Pressure: 99e3}
	for _, sd := range []Spread{{Temperature: 2}, {Pressure: 300}, {Temperature: 2, Pressure: 300}} {
		e := s.DensityEstimate(sd)
		want := e.Value * math.Hypot(sd.Temperature/s.Temperature, sd.Pressure/s.Pressure)
		if math.Abs(e.SD/want-1) > 0.005 {
			t.Errorf("%+v: sd %.6f, want %.6f", sd, e.SD, want)
		}
	}
}
