package health

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"traplight/internal/logfile"
)

// One channel of a healthy pass goes wrong by itself: its sensor is named and no fault of
// the engine. The launch of the log is at 9.74 s.
func TestSensorsOwnFaults(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 9))
	from := func(s, at float64) float64 { return max(0, s-at) }
	late := func(log *logfile.Log, name string, rows int) {
		for i := range log.Columns {
			if c := &log.Columns[i]; c.Name == name {
				c.Values = append(make([]float64, rows), c.Values[:len(c.Values)-rows]...)
				for k := range rows {
					c.Values[k] = math.NaN()
				}
			}
		}
	}
	for _, c := range []struct {
		name, channel string
		odd           func(log *logfile.Log)
	}{
		{"driven wheel drifts", "Wheel speed front left", func(l *logfile.Log) {
			alterColumn(t, l, "Wheel speed front left", func(v, s float64) float64 { return v + 6*from(s, 15) })
		}},
		{"undriven wheel drifts", "Wheel speed rear right", func(l *logfile.Log) {
			alterColumn(t, l, "Wheel speed rear right", func(v, s float64) float64 { return v + 6*from(s, 15) })
		}},
		{"undriven wheel late", "Wheel speed rear left", func(l *logfile.Log) { late(l, "Wheel speed rear left", 50) }},
		{"wheel steps", "Wheel speed front right", func(l *logfile.Log) {
			alterColumn(t, l, "Wheel speed front right", func(v, s float64) float64 { return v * pick(s > 15, 1.1, 1) })
		}},
		{"engine speed scatters", "Engine speed", func(l *logfile.Log) {
			alterColumn(t, l, "Engine speed", func(v, s float64) float64 { return v + 600*pick(s > 15, 1, 0)*r.NormFloat64() })
		}},
		{"fuel pressure late", "Fuel rail pressure", func(l *logfile.Log) { late(l, "Fuel rail pressure", 50) }},
		{"manifold pressure late", "Manifold pressure", func(l *logfile.Log) { late(l, "Manifold pressure", 50) }},
		{"coolant steps", "Coolant temp", func(l *logfile.Log) {
			alterColumn(t, l, "Coolant temp", func(v, s float64) float64 { return v * pick(s > 16, 1.1, 1) })
		}},
		{"exhaust of a bank drifts", "Exhaust temp bank 2", func(l *logfile.Log) {
			alterColumn(t, l, "Exhaust temp bank 2", func(v, s float64) float64 { return v + 20*from(s, 16) })
		}},
	} {
		log, sheet := opened(t, "a01_marlin", "marlin")
		c.odd(log)
		res, ok := screened(t, log, sheet)
		if !ok {
			t.Errorf("%s: no pass", c.name)
			continue
		}
		named := false
		for _, f := range res.Findings {
			if f.Kind != Sensor {
				t.Errorf("%s: %s: %s", c.name, f.Kind, f.Evidence)
			}
			named = named || slices.Contains(f.Channels, c.channel)
		}
		if !named {
			t.Errorf("%s: sensor not named: %+v", c.name, res.Findings)
		}
	}
}

// A wheel that spins by itself takes from the other what it gains: the engine, which turns
// their mean, says that both read right.
func TestLoneSpinIsNoSensor(t *testing.T) {
	log, sheet := opened(t, "a01_marlin", "marlin")
	for name, sign := range map[string]float64{"Wheel speed front left": 1, "Wheel speed front right": -1} {
		alterColumn(t, log, name, func(v, s float64) float64 { return v * (1 + sign*0.1*min(1, max(0, s-18))) })
	}
	res, ok := screened(t, log, sheet)
	if !ok {
		t.Fatal("no pass")
	}
	found := false
	for _, f := range res.Findings {
		if f.Kind == Sensor {
			t.Errorf("sensor: %s", f.Evidence)
		}
		found = found || f.Kind == Driveline || f.Kind == Tyre
	}
	if !found {
		t.Errorf("neither driveline nor tyre: %+v", res.Findings)
	}
}

// Channels that fall silent together are the recorder's, one alone is its sensor's.
func TestFellSilent(t *testing.T) {
	for n := 1; n <= 6; n++ {
		var bs []broken
		for i := range n {
			bs = append(bs, broken{channel: &channel{Name: string(rune('a' + i))}, mode: silently, from: 12 + 0.1*float64(i)})
		}
		bs = append(bs, broken{channel: &channel{Name: "z"}, mode: "stuck", from: 12})
		j := &judge{}
		rest := j.fellSilent(10, bs)
		if want := map[bool]int{true: 1, false: n + 1}[n >= togetherLeast]; len(rest) != want || (len(j.doubts) > 0) != (want == 1) {
			t.Errorf("%d silent: %d left, told %q", n, len(rest), j.doubts)
		}
	}
}

func pick(on bool, a, b float64) float64 {
	if on {
		return a
	}
	return b
}
