package dictionary_test

import (
	"encoding/binary"
	"math"
	"testing"

	"traplight/internal/dictionary"
	"traplight/internal/logfile"
	"traplight/internal/logfile/logfiletest"
	"traplight/internal/trace"
)

// FuzzIdentify gives two columns any names, units and readings, and one of them
// any correction. Whatever comes out must be a trace that rises in time, of
// finite readings, with a confidence between 0 and 1.
func FuzzIdentify(f *testing.F) {
	f.Add("Engine speed", "rpm", "Latitude", "deg", "", []byte{1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12}, byte(0))
	f.Add("Saugrohrdruck", "bar(a)", "Raddrehzahl HL", "km/h", "wheel_speed_rl km/h", []byte("0123456789abcdefghijklmnopqrstuvwxyz"), byte(1))
	f.Add("車輪速 左前", "", "Analog 7", "V", "none", []byte{255, 0, 255, 0, 1, 1, 1, 1, 200, 3}, byte(2))
	f.Add("EGT_c", "", "speed2", "mph", "exhaust_pressure[2] psi gauge", []byte{9, 9, 9, 9, 9, 9, 9, 9}, byte(3))
	f.Fuzz(func(t *testing.T, name, unit, name2, unit2, correction string, data []byte, kind byte) {
		if len(data) == 0 || len(data) > 1<<12 || len(name)+len(name2) > 1<<10 {
			return
		}
		log := &logfile.Log{File: "fuzz", RowStep: 0.01}
		a := logfile.Column{Name: name, Unit: unit}
		b := logfile.Column{Name: name2, Unit: unit2}
		for i := range data {
			log.RowTime = append(log.RowTime, float64(i)/100)
			a.Values = append(a.Values, value(data, i, kind))
			b.Values = append(b.Values, value(data, len(data)-1-i, kind/3))
		}
		log.Parts = []int{0}
		log.Columns = []logfile.Column{a, b}
		if kind&64 != 0 {
			log.Clock.Segments = []trace.Segment{{FromRun: 0, Offset: 3600}}
		}
		opts := dictionary.Options{}
		if correction != "" {
			opts.Corrections = map[string]string{name: correction}
		}
		var set *dictionary.Set
		var err error
		logfiletest.Bounded(t, 32*len(data)+len(name)+len(name2), func() { set, err = dictionary.Identify(log, opts) })
		if err != nil {
			if err.Error() == "" {
				t.Fatal("an error without a reason")
			}
			return
		}
		for i := range set.Channels {
			c := &set.Channels[i]
			if !(c.Confidence >= 0 && c.Confidence <= 1) || math.IsInf(c.RateHz, 0) || !(c.RateHz >= 0) || len(c.Trace.T) != len(c.Trace.V) {
				t.Fatalf("%q: confidence %v, %v Hz, %d times of %d readings", c.Name, c.Confidence, c.RateHz, len(c.Trace.T), len(c.Trace.V))
			}
			for k, x := range c.Trace.V {
				if x != x || math.IsInf(x, 0) && math.Abs(log.Columns[i].Values[k]) < 1e300 || k > 0 && c.Trace.T[k] <= c.Trace.T[k-1] {
					t.Fatalf("%q: reading %d is %v at %v", c.Name, k, x, c.Trace.T[k])
				}
			}
		}
	})
}

// value makes a reading of some sort from the bytes.
func value(data []byte, i int, kind byte) float64 {
	d := float64(data[i])
	switch kind % 7 {
	case 0:
		return d
	case 1:
		return (d - 128) / 8
	case 2: // blanks between
		if data[i]%3 != 0 {
			return math.NaN()
		}
		return d * 37
	case 3: // held
		return float64(data[i/5*5]) * 20
	case 4: // any bits
		var w [8]byte
		for k := range w {
			w[k] = data[(i+k)%len(data)]
		}
		v := math.Float64frombits(binary.LittleEndian.Uint64(w[:]))
		if math.IsInf(v, 0) {
			return math.NaN()
		}
		return v
	case 5:
		return float64(i) * d * 1e-7
	}
	return 0
}
