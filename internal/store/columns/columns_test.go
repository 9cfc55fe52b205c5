package columns_test

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/parquet-go/parquet-go"
	"pgregory.net/rapid"

	"traplight/internal/logfile"
	"traplight/internal/store/columns"
)

var nan = math.NaN()

// sameBits compares floats by their bits, all NaN alike.
var sameBits = cmp.Comparer(func(a, b float64) bool {
	return math.Float64bits(a) == math.Float64bits(b) || math.IsNaN(a) && math.IsNaN(b)
})

// drawValues draws a column of one of the kinds that logs have.
func drawValues(t *rapid.T, n int) []float64 {
	scale := rapid.SampledFrom([]float64{1, 10, 100, 1000, 1e7}).Draw(t, "scale")
	kind := rapid.SampledFrom([]string{"decimal", "wide decimal", "any", "odd"}).Draw(t, "kind")
	blanks := rapid.Bool().Draw(t, "blanks")
	out := make([]float64, n)
	for i := range out {
		switch kind {
		case "decimal":
			out[i] = float64(rapid.IntRange(-999_999, 999_999).Draw(t, "n")) / scale
		case "wide decimal":
			out[i] = float64(rapid.Int64Range(-1<<50, 1<<50).Draw(t, "n")) / scale
		case "any":
			out[i] = rapid.Float64().Draw(t, "x")
		default:
			out[i] = rapid.SampledFrom([]float64{0, math.Copysign(0, -1), math.Inf(1), math.MaxFloat64, 5e-324, 1 << 53, 0.1, 1.0 / 3, 1e9, 2.5e-9}).Draw(t, "x")
		}
		if blanks && rapid.IntRange(0, 3).Draw(t, "blank") == 0 {
			out[i] = nan
		}
	}
	return out
}

func drawTable(t *rapid.T) columns.Table {
	n := rapid.IntRange(0, 60).Draw(t, "rows")
	table := columns.Table{Time: make([]float64, n), Meta: map[string]string{"file": "x.csv"}}
	for i := range table.Time {
		table.Time[i] = float64(i) / 100
	}
	for range rapid.IntRange(0, 4).Draw(t, "columns") {
		table.Columns = append(table.Columns, columns.Column{
			Name:     rapid.SampledFrom([]string{"rpm", "Zündung", "", "a.b", "x, \"y\"", "MAP"}).Draw(t, "name"),
			Unit:     rapid.SampledFrom([]string{"", "kPa", "°C"}).Draw(t, "unit"),
			Quantity: "engine_speed", Values: drawValues(t, n),
		})
	}
	return table
}

func TestParquetThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		table := drawTable(t)
		var b bytes.Buffer
		if err := columns.WriteParquet(&b, table); err != nil {
			t.Fatal(err)
		}
		got, err := readParquet(bytes.NewReader(b.Bytes()), int64(b.Len()))
		if err != nil {
			t.Fatal(err)
		}
		if len(table.Time) == 0 { // no pages, no slices
			got.Time, table.Time = nil, nil
			for i := range table.Columns {
				got.Columns[i].Values, table.Columns[i].Values = nil, nil
			}
		}
		if d := cmp.Diff(table, got, sameBits); d != "" {
			t.Error(d)
		}
	})
}

// TestCSVThereAndBack reads what was written with the standard library.
func TestCSVThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		table := drawTable(t)
		o := columns.CSV{DecimalComma: rapid.Bool().Draw(t, "comma")}
		var b bytes.Buffer
		if err := o.Write(&b, table); err != nil {
			t.Fatal(err)
		}
		r := csv.NewReader(&b)
		if o.DecimalComma {
			r.Comma = ';'
		}
		lines, err := r.ReadAll()
		if err != nil || len(lines) != 1+len(table.Time) {
			t.Fatalf("%d lines for %d rows, %v", len(lines), len(table.Time), err)
		}
		for i, line := range lines[1:] {
			for j, c := range table.Columns {
				cell := strings.Replace(line[j+1], ",", ".", 1)
				x, err := strconv.ParseFloat(cell, 64)
				if cell == "" {
					x, err = nan, nil
				}
				if err != nil || !cmp.Equal(x, c.Values[i], sameBits) {
					t.Fatalf("row %d column %d: %q for %v, %v", i, j, cell, c.Values[i], err)
				}
			}
		}
	})
}

// TestPacking looks at the file with the library's own eyes: decimals lie in
// integers, in the order of the columns.
func TestPacking(t *testing.T) {
	table := columns.Table{Time: []float64{0, 0.01, 0.02}, Columns: []columns.Column{
		{Name: "speed", Unit: "km/h", Values: []float64{0.1, 0.25, -3}},
		{Name: "latitude", Values: []float64{51.12345678, nan, 51.12345679}},
		{Name: "noise", Values: []float64{math.Pi, 0, 1}},
		{Name: "count", Values: []float64{7, 8, 9}},
		{Name: "speed", Unit: "km/h", Values: []float64{1, nan, nan}},
	}}
	var b bytes.Buffer
	if err := columns.WriteParquet(&b, table); err != nil {
		t.Fatal(err)
	}
	f, err := parquet.OpenFile(bytes.NewReader(b.Bytes()), int64(b.Len()))
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, field := range f.Schema().Fields() {
		got = append(got, fmt.Sprintf("%s|%v|%v|%v|%v", field.Name(), field.Type().Kind(), field.Type(), field.Optional(), field.Encoding()))
	}
	want := []string{
		"time [s]|INT32|DECIMAL(9,2)|false|DELTA_BINARY_PACKED",
		"speed [km/h]|INT32|DECIMAL(9,2)|false|DELTA_BINARY_PACKED",
		"latitude|INT64|DECIMAL(18,8)|true|DELTA_BINARY_PACKED",
		"noise|DOUBLE|DOUBLE|false|PLAIN",
		"count|INT32|DECIMAL(9,0)|false|DELTA_BINARY_PACKED",
		"speed [km/h] (2)|INT32|DECIMAL(9,0)|true|DELTA_BINARY_PACKED",
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
}

func TestOneClock(t *testing.T) {
	table := columns.Table{Time: []float64{0, 1, 2}, Columns: []columns.Column{
		{Name: "a", Values: []float64{10, 11, 12}},
		{Name: "b", Times: []float64{0.5, 1, 1}, Values: []float64{5, 6, 7}},
	}}
	got := table.OneClock()
	want := columns.Table{Time: []float64{0, 0.5, 1, 1, 2}, Columns: []columns.Column{
		{Name: "a", Values: []float64{10, nan, 11, nan, 12}},
		{Name: "b", Values: []float64{nan, 5, 6, 7, nan}},
	}}
	if d := cmp.Diff(want, got, sameBits); d != "" {
		t.Error(d)
	}
}

// TestOwnReaderReads lets the program read its own export as a log: the same
// numbers under the same names and units.
func TestOwnReaderReads(t *testing.T) {
	table := columns.Table{}
	for i := range 300 {
		table.Time = append(table.Time, float64(i)/100)
	}
	for _, name := range []string{"Engine Speed", "Boost"} {
		c := columns.Column{Name: name, Unit: "kPa"}
		for i := range table.Time {
			c.Values = append(c.Values, math.Round(100*math.Sin(float64(i)/20))/4)
		}
		table.Columns = append(table.Columns, c)
	}
	table.Columns[0].Values[7] = nan
	for name, write := range map[string]func(io.Writer, columns.Table) error{
		"x.csv": columns.CSV{}.Write, "comma.csv": columns.CSV{DecimalComma: true}.Write, "x.parquet": columns.WriteParquet,
	} {
		var b bytes.Buffer
		if err := write(&b, table); err != nil {
			t.Fatal(err)
		}
		log, err := logfile.Read(name, b.Bytes())
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if len(log.Columns) != 2 {
			t.Errorf("%s: %d columns", name, len(log.Columns))
			continue
		}
		for i, c := range log.Columns {
			want := table.Columns[i]
			if c.Name != want.Name || c.Unit != want.Unit {
				t.Errorf("%s: column %q in %q", name, c.Name, c.Unit)
			}
			if d := cmp.Diff(want.Values, c.Values, sameBits); d != "" {
				t.Errorf("%s: %s: %s", name, c.Name, d)
			}
		}
		if d := cmp.Diff(table.Time, log.RowTime, sameBits); d != "" {
			t.Errorf("%s: times: %s", name, d)
		}
	}
}

func TestForeignParquetIsRefused(t *testing.T) {
	var b bytes.Buffer
	w := parquet.NewGenericWriter[struct{ X float64 }](&b)
	w.Write([]struct{ X float64 }{{1}})
	w.Close()
	if _, err := readParquet(bytes.NewReader(b.Bytes()), int64(b.Len())); err == nil {
		t.Error("another program's file was read")
	}
}
