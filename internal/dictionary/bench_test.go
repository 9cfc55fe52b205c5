package dictionary_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"traplight/internal/dictionary"
	"traplight/internal/logfile"
	"traplight/internal/logfile/logfiletest"
)

// busyLog is a log of 60 s, 80 channels and 200 rows a second, blank or held. It
// is invented, for speed only.
func busyLog(held bool) []byte {
	r := rand.New(rand.NewPCG(3, 4))
	const n = 60 * 200
	s := logfiletest.Sample{Name: "busy"}
	for i := range n {
		s.Time = append(s.Time, float64(i)/200)
	}
	named := [][2]string{{"Engine speed", "rpm"}, {"Throttle", "%"}, {"Manifold pressure", "kPa"}, {"Oil pressure", "kPa"}, {"Fuel pressure", "kPa"},
		{"Coolant temp", "°C"}, {"Intake air temp", "°C"}, {"Lambda 1", ""}, {"Wheel speed FL", "km/h"}, {"Wheel speed FR", "km/h"}, {"Wheel speed RL", "km/h"},
		{"Wheel speed RR", "km/h"}, {"Longitudinal accel", "g"}, {"GPS speed", "km/h"}, {"Latitude", "deg"}, {"Longitude", "deg"}}
	for k := range 80 {
		name, unit := fmt.Sprintf("EGT %d", k), "°C"
		if k < len(named) {
			name, unit = named[k][0], named[k][1]
		}
		every := []int{1, 2, 2, 4, 10, 20}[k%6]
		v := make([]float64, n)
		for i := range v {
			v[i] = math.NaN()
			if i%every == 0 {
				v[i] = math.Round((500+300*math.Sin(float64(i)/900+float64(k))+r.NormFloat64()*3)*10) / 10
			}
		}
		s.Columns = append(s.Columns, logfiletest.Column{Name: name, Unit: unit, Values: v})
	}
	d := logfiletest.Dialect{}
	if held {
		d.Fill = "hold"
	}
	return d.Encode(s)
}

func BenchmarkRead(b *testing.B) {
	data := busyLog(false)
	b.SetBytes(int64(len(data)))
	for b.Loop() {
		if _, err := logfile.Read("busy.csv", data); err != nil {
			b.Fatal(err)
		}
	}
}

func benchmarkIdentify(b *testing.B, held bool) {
	log, err := logfile.Read("busy.csv", busyLog(held))
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := dictionary.Identify(log, dictionary.Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkIdentifyBlank(b *testing.B) { benchmarkIdentify(b, false) }
func BenchmarkIdentifyHeld(b *testing.B)  { benchmarkIdentify(b, true) }
