package columns_test

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"traplight/internal/store/columns"
)

// wide is 40 s at 500 Hz of 40 channels with two decimals, as recorders print.
func wide() columns.Table {
	random := rand.New(rand.NewPCG(1, 2))
	var t columns.Table
	for i := range 20000 {
		t.Time = append(t.Time, float64(i)/500)
	}
	for k := range 40 {
		c := columns.Column{Name: fmt.Sprint("channel ", k)}
		level := 50.0
		for range t.Time {
			level += random.NormFloat64()
			c.Values = append(c.Values, math.Round(level*100)/100)
		}
		t.Columns = append(t.Columns, c)
	}
	return t
}

func BenchmarkWriteParquet(b *testing.B) {
	t := wide()
	var out bytes.Buffer
	for b.Loop() {
		out.Reset()
		if err := columns.WriteParquet(&out, t); err != nil {
			b.Fatal(err)
		}
	}
	raw := float64(8 * len(t.Time) * (1 + len(t.Columns)))
	b.SetBytes(int64(raw))
	b.ReportMetric(float64(out.Len())/raw, "size/doubles")
}

func BenchmarkReadBack(b *testing.B) {
	t := wide()
	var out bytes.Buffer
	if err := columns.WriteParquet(&out, t); err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(8 * len(t.Time) * (1 + len(t.Columns))))
	for b.Loop() {
		if _, err := readParquet(bytes.NewReader(out.Bytes()), int64(out.Len())); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkWriteCSV(b *testing.B) {
	t := wide()
	var out bytes.Buffer
	for b.Loop() {
		out.Reset()
		if err := (columns.CSV{}).Write(&out, t); err != nil {
			b.Fatal(err)
		}
	}
	b.SetBytes(int64(out.Len()))
}
