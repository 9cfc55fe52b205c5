// Package logfiletest is the suite that every reader of logs passes: samples are
// written in the reader's format and must come back as they were.
package logfiletest

import (
	"errors"
	"math"
	"strings"
	"testing"

	"traplight/internal/logfile"
)

// Column is a channel of a sample.
type Column struct {
	Name, Unit string
	Values     []float64 // in Unit; NaN blank
	Text       []string  // words instead of numbers
}

// Sample is a log to write.
type Sample struct {
	Name    string
	Time    []float64 // s
	Columns []Column
}

// Samples are logs with one difficulty each.
func Samples() []Sample {
	ramp := func(n int, f func(int) float64) []float64 {
		v := make([]float64, n)
		for i := range v {
			v[i] = f(i)
		}
		return v
	}
	const n = 60
	nan := math.NaN()
	every := func(k, phase int, f func(int) float64) func(int) float64 {
		return func(i int) float64 {
			if i%k != phase {
				return nan
			}
			return f(i)
		}
	}
	words := make([]string, n)
	for i := range words {
		words[i] = []string{"launch", "run", "coast"}[i*3/n]
	}
	time := ramp(n, func(i int) float64 { return float64(36000+i) / 100 })
	return []Sample{
		{"plain", time, []Column{
			{"Engine speed", "rpm", ramp(n, func(i int) float64 { return float64(1000 + 37*i%6000) }), nil},
			{"Oil pressure", "kPa", ramp(n, func(i int) float64 { return float64(2000+i*i) / 10 }), nil},
			{"Coolant temp", "°C", ramp(n, func(i int) float64 { return -1.25 + float64(i)/8 }), nil},
		}},
		{"sparse", time, []Column{
			{"Engine speed", "rpm", ramp(n, func(i int) float64 { return float64(3000 + i*11%400) }), nil},
			{"Fuel pressure", "bar", ramp(n, every(5, 1, func(i int) float64 { return 3 + float64(i)/256 })), nil},
			{"Battery", "V", ramp(n, every(10, 3, func(i int) float64 { return 13.5 - float64(i)/1000 })), nil},
			{"Gear", "", ramp(n, every(4, 0, func(i int) float64 { return float64(i / 15) })), nil},
		}},
		{"extremes", time, []Column{
			{"Engine speed", "rpm", ramp(n, func(i int) float64 { return float64(900 + i*i%5000) }), nil},
			{"Latitude", "deg", ramp(n, func(i int) float64 { return 46.8133829 + float64(i)*1e-7 }), nil},
			{"Long digits", "V", ramp(n, func(i int) float64 { return math.Pi * math.Pow(-1.5, float64(i%20)) }), nil},
			{"Never", "bar", ramp(n, func(i int) float64 { return nan }), nil},
		}},
		{"words", time, []Column{
			{"Engine speed", "rpm", ramp(n, func(i int) float64 { return float64(1200 + 13*i) }), nil},
			{"Vehicle speed", "km/h", ramp(n, func(i int) float64 { return float64(i) * 2.5 }), nil},
			{"Phase", "", nil, words},
		}},
	}
}

// Format is what a format can carry, so that the suite asks for no more.
type Format struct {
	NoUnits, NoWords, NoBlanks bool
	// Underscores stand for the blanks in names.
	Underscores bool
	// UnitsInCells: a column without readings has no unit.
	UnitsInCells bool
	// AnyOrder: columns come in the format's own order.
	AnyOrder bool
	// TimeStep is the step in which the format keeps times, s.
	TimeStep float64
	// Rounded says that numbers come back rounded by this relative error, 1.
	Rounded float64
}

// Run writes every sample with encode and reads it back.
func Run(t *testing.T, name string, f Format, encode func(Sample) []byte) {
	t.Helper()
	for _, s := range Samples() {
		t.Run(s.Name, func(t *testing.T) {
			log, err := logfile.Read(name, encode(s))
			if err != nil {
				t.Fatal(err)
			}
			Compare(t, s, log, f)
		})
	}
}

// Compare holds a log against the sample it was written from.
func Compare(t *testing.T, s Sample, log *logfile.Log, f Format) {
	t.Helper()
	if len(log.RowTime) != len(s.Time) {
		t.Fatalf("%d rows, want %d; notes %q", len(log.RowTime), len(s.Time), log.Notes)
	}
	for i := range s.Time {
		if d := math.Abs((log.RowTime[i] - log.RowTime[0]) - (s.Time[i] - s.Time[0])); d > f.TimeStep+1e-9 {
			t.Fatalf("row %d is at %v, want %v", i, log.RowTime[i], s.Time[i])
		}
		if i > 0 && log.RowTime[i] <= log.RowTime[i-1] {
			t.Fatalf("time does not rise at row %d", i)
		}
	}
	at := 0
	for _, want := range s.Columns {
		if want.Text != nil && f.NoWords {
			continue
		}
		if f.AnyOrder {
			for at = 0; at < len(log.Columns) && log.Columns[at].Name != want.Name; at++ {
			}
		}
		if at >= len(log.Columns) {
			t.Fatalf("no column for %q among %d", want.Name, len(log.Columns))
		}
		got := log.Columns[at]
		at++
		name := want.Name
		if f.Underscores {
			name = strings.ReplaceAll(name, " ", "_")
		}
		if got.Name != name {
			t.Errorf("column is called %q, want %q", got.Name, name)
		}
		if !f.NoUnits && got.Unit != want.Unit && !(f.UnitsInCells && want.Name == "Never") {
			t.Errorf("%q is in %q, want %q", want.Name, got.Unit, want.Unit)
		}
		for i := range s.Time {
			if want.Text != nil {
				if i >= len(got.Text) || got.Text[i] != want.Text[i] {
					t.Fatalf("%q row %d: word missing, want %q", want.Name, i, want.Text[i])
				}
				continue
			}
			g, w := got.Values[i], want.Values[i]
			if f.NoBlanks && w != w {
				continue
			}
			if (g != g) != (w != w) || g == g && math.Abs(g-w) > f.Rounded*math.Abs(w) {
				t.Fatalf("%q row %d is %v, want %v", want.Name, i, g, w)
			}
		}
	}
}

// Check holds whatever a reader made of some bytes against what every log
// promises, or wants a typed error.
func Check(t *testing.T, data []byte, log *logfile.Log, err error) {
	t.Helper()
	if err != nil {
		var typed *logfile.Error
		if !errors.As(err, &typed) || typed.Err == nil || err.Error() == "" {
			t.Fatalf("an error without a reason: %v", err)
		}
		return
	}
	for i, x := range log.RowTime {
		if math.IsNaN(x) || math.IsInf(x, 0) || i > 0 && x <= log.RowTime[i-1] {
			t.Fatalf("row %d at %v", i, x)
		}
	}
	cells := 0
	for _, c := range log.Columns {
		want := len(log.RowTime)
		if c.Times != nil {
			want = len(c.Times)
		}
		if c.Text == nil && len(c.Values) != want || c.Text != nil && len(c.Text) != want {
			t.Fatalf("column %q has %d values and %d words for %d rows", c.Name, len(c.Values), len(c.Text), want)
		}
		cells += len(c.Values) + 2*len(c.Text)
	}
	if limit := 1024*len(data) + 256<<20; 8*cells > limit {
		t.Fatalf("%d cells from %d bytes", cells, len(data))
	}
	if log.SHA256 == "" || log.Format == "" {
		t.Fatal("no hash or format")
	}
}
