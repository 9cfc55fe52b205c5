package dictionary

import (
	"math"
	"strings"
	"testing"

	"traplight/internal/logfile"
)

// pulled is a pass through gears of overall ratios g: speed, m/s, and engine speed, rpm, on
// wheels of 2 m round.
func pulled(g []float64) (v, rpm []float64) {
	v = course(0, 75, 0)
	rpm = make([]float64, len(v))
	gear := 0
	for i := range v {
		turns := v[i] / 2 * 60
		for gear < len(g)-1 && turns*g[gear] > 7500 {
			gear++
		}
		rpm[i] = max(1000, turns*g[gear])
	}
	return v, rpm
}

// TestSpeedByGears finds the unit of a speed that nobody tells from engine speed and the gears,
// of a gearbox with steps as small as 18 %.
func TestSpeedByGears(t *testing.T) {
	g := []float64{9.51, 7.75, 6.45, 5.41, 4.56, 3.86, 3.27}
	v, rpm := pulled(g)
	for unit, per := range map[string]float64{"km/h": 3.6, "mph": 1 / 0.44704, "m/s": 1} {
		speed := make([]float64, len(v))
		for i := range v {
			speed[i] = v[i] * per
		}
		l := shop(logfile.Column{Name: "Tach", Values: rpm}, logfile.Column{Name: "Front speed", Values: speed})
		set, err := Identify(l, Options{Circumference: 2.05, Overall: g})
		if err != nil {
			t.Fatal(err)
		}
		if c := &set.Channels[1]; c.Unit != unit || math.Abs(c.Trace.V[c.Trace.Len()-1]-75) > 0.1 {
			t.Errorf("%s is read in %s, ends at %.4g m/s", unit, c.Unit, c.Trace.V[c.Trace.Len()-1])
		}
		if notes := strings.Join(set.Notes, "\n"); !strings.Contains(notes, "is in "+unit+" by") || unit != "km/h" && strings.Contains(notes, "km/h is taken") {
			t.Errorf("%s: notes contradict each other: %q", unit, set.Notes)
		}
	}
}

// TestMilesWithFahrenheit reads speeds in mph where the log's temperatures are in °F.
func TestMilesWithFahrenheit(t *testing.T) {
	speed := logfile.Column{Name: "Front speed", Values: course(0, 160, 0)}
	for _, c := range []struct {
		unit, want string
		from, to   float64
	}{{"F", "mph", 170, 190}, {"", "mph", 170, 190}, {"C", "km/h", 77, 88}} {
		set := identified(t, shop(logfile.Column{Name: "Water temp", Unit: c.unit, Values: course(c.from, c.to, 0.1)}, speed))
		if got := set.Channels[1].Unit; got != c.want {
			t.Errorf("water in %q (%s): speed in %s, want %s", c.unit, set.Channels[0].Unit, got, c.want)
		}
	}
}
