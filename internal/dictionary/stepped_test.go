package dictionary

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"traplight/internal/logfile"
	"traplight/internal/quantity"
	"traplight/internal/reftest"
	"traplight/internal/trace"
)

// A wheel of a car that gains 8 m/s² shifts by a tenth at once: left out from there on,
// and only until it shifts back. The same shift with a lag, a lone spike, a wheel that
// spins up and a sensor that wakes up from its dead zone are left alone.
func TestStepped(t *testing.T) {
	const launch = 2.0
	smooth := func(s, from, lag float64) float64 { return 1 - math.Exp(-max(s-from, 0)/lag) }
	for _, c := range []struct {
		name     string
		q        quantity.Name
		course   func(s float64) float64
		from, to float64 // s, left out; 0 nothing
	}{
		{"tenth at once", quantity.WheelSpeedFL, func(s float64) float64 { return 8 * max(s-launch, 0) * pick(s >= 8, 1.1, 1) }, 8, 20},
		{"and back", quantity.WheelSpeedFL, func(s float64) float64 { return 8 * max(s-launch, 0) * pick(s >= 8 && s < 11, 1.1, 1) }, 8, 11},
		{"gone to nought", quantity.WheelSpeedFL, func(s float64) float64 { return 8 * max(s-launch, 0) * pick(s >= 8, 0, 1) }, 8, 20},
		{"spins up", quantity.WheelSpeedFL, func(s float64) float64 { return 8 * max(s-launch, 0) * (1 + 0.8*smooth(s, 6, 0.08)) }, 0, 0},
		{"dead zone", quantity.WheelSpeedFL, func(s float64) float64 { return pick(8*(s-launch) > 3, 8*(s-launch), 0) }, 0, 0},
		{"coolant at once", quantity.CoolantTemperature, func(s float64) float64 { return 355 + 0.5*s + pick(s >= 9, 9.0, 0) }, 9, 20},
		{"coolant with a lag", quantity.CoolantTemperature, func(s float64) float64 { return 355 + 0.5*s + 9*smooth(s, 9, 1) }, 0, 0},
		{"thermocouple with its lag", quantity.ExhaustTemperature, func(s float64) float64 { return 900 + 400*smooth(s, 5, 0.3) - 500*smooth(s, 15, 0.3) }, 0, 0},
		{"engine drawn to a gear by a dog", quantity.EngineSpeed, func(s float64) float64 { return 500 + 5*s + pick(s >= 9, 200.0, 0) }, 0, 0},
		{"pressure may", quantity.FuelPressure, func(s float64) float64 { return 4e5 + pick(s >= 9, -1e5, 0) }, 0, 0},
	} {
		r := rand.New(rand.NewPCG(4, 4))
		ch := Channel{Quantity: c.q, RateHz: 50, Resolution: 0.01}
		for i := range 1000 {
			s := float64(i) / 50
			ch.Trace.T = append(ch.Trace.T, s)
			ch.Trace.V = append(ch.Trace.V, c.course(s)+0.02*r.NormFloat64())
		}
		ch.stepped(trace.Clock{}, func(s float64) bool { return s > launch })
		kept := ch.Trace.Len()
		if want := 1000 - int(math.Round(50*(c.to-c.from))); kept != want || (len(ch.Stepped) > 0) != (c.to > 0) {
			t.Errorf("%s: %d samples kept, want %d; stepped %v", c.name, kept, want, ch.Stepped)
		}
		if c.to > 0 && math.Abs(ch.Stepped[0].From-c.from) > 1e-9 {
			t.Errorf("%s: from %.2f s, want %.2f", c.name, ch.Stepped[0].From, c.from)
		}
	}
}

func pick(on bool, a, b float64) float64 {
	if on {
		return a
	}
	return b
}

// A coordinate that stands still from mid-pass on makes a slower car of the positions, by
// what mph are over km/h on a strip that lies so. Units that the file tells stay.
func TestFrozenCoordinateLeavesUnitsAlone(t *testing.T) {
	log, err := logfile.Open(reftest.Path(t, "logs/d01_wren_clock.csv"))
	if err != nil {
		t.Fatal(err)
	}
	units := func() (out []string) {
		set, err := Identify(log, Options{})
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range set.Channels {
			if isSpeed(c.Quantity) {
				out = append(out, c.Name+" "+c.Unit)
			}
		}
		return out
	}
	was := strings.Join(units(), ", ")
	for i := range log.Columns {
		c := &log.Columns[i]
		if !strings.Contains(strings.ToLower(c.Name), "lon") {
			continue
		}
		held := math.NaN()
		for k := range c.Values {
			if log.RowTime[k] > 16 && !math.IsNaN(c.Values[k]) {
				if math.IsNaN(held) {
					held = c.Values[k]
				}
				c.Values[k] = held
			}
		}
		if math.IsNaN(held) {
			t.Fatalf("%s: no reading after 16 s", c.Name)
		}
	}
	if got := strings.Join(units(), ", "); got != was {
		t.Errorf("units %s, were %s", got, was)
	}
}
