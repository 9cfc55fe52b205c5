package csv

import (
	"bytes"
	stdcsv "encoding/csv"
	"math"
	"math/rand/v2"
	"strconv"
	"testing"
)

// madeLog is text of about size bytes: a time column and 39 channels of decimals
// such as loggers print. It is invented, for speed only.
func madeLog(size int, quoted bool) []byte {
	r := rand.New(rand.NewPCG(1, 2))
	var b bytes.Buffer
	b.WriteString("Time [s]")
	for i := range 39 {
		b.WriteString(",channel " + strconv.Itoa(i) + " [kPa]")
	}
	b.WriteByte('\n')
	v := make([]float64, 39)
	for row := 0; b.Len() < size; row++ {
		b.WriteString(strconv.FormatFloat(float64(row)/200, 'f', 3, 64))
		for i := range v {
			v[i] = 0.99*v[i] + r.NormFloat64()*10
			b.WriteByte(',')
			if quoted {
				b.WriteByte('"')
			}
			b.Write(strconv.AppendFloat(nil, v[i], 'f', 3, 64))
			if quoted {
				b.WriteByte('"')
			}
		}
		b.WriteByte('\n')
	}
	return b.Bytes()
}

// standard reads with the standard library.
func standard(data []byte) ([][]float64, error) {
	r := stdcsv.NewReader(bytes.NewReader(data))
	r.ReuseRecord = true
	head, err := r.Read()
	if err != nil {
		return nil, err
	}
	cols := make([][]float64, len(head))
	for {
		rec, err := r.Read()
		if err != nil {
			return cols, nil
		}
		for i, s := range rec {
			v := math.NaN()
			if s != "" {
				if v, err = strconv.ParseFloat(s, 64); err != nil {
					return nil, err
				}
			}
			cols[i] = append(cols[i], v)
		}
	}
}

// TestSameAsStandard holds the values against encoding/csv and strconv, bit for
// bit.
func TestSameAsStandard(t *testing.T) {
	for _, quoted := range []bool{false, true} {
		data := madeLog(1<<20, quoted)
		want, err := standard(data)
		if err != nil {
			t.Fatal(err)
		}
		got, err := Read("made.csv", bytes.NewReader(data), int64(len(data)))
		if err != nil {
			t.Fatal(err)
		}
		if len(got.Columns) != len(want) {
			t.Fatalf("%d columns, want %d", len(got.Columns), len(want))
		}
		for c := range want {
			for i := range want[c] {
				if math.Float64bits(got.Columns[c].Values[i]) != math.Float64bits(want[c][i]) {
					t.Fatalf("column %d row %d: %v, want %v", c, i, got.Columns[c].Values[i], want[c][i])
				}
			}
		}
	}
}

const benchSize = 20 << 20

// BenchmarkRead and BenchmarkStandard are to be compared side by side.
func BenchmarkRead(b *testing.B) {
	data := madeLog(benchSize, false)
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Read("made.csv", bytes.NewReader(data), int64(len(data))); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkReadQuoted(b *testing.B) {
	data := madeLog(benchSize, true)
	b.SetBytes(int64(len(data)))
	for b.Loop() {
		if _, err := Read("made.csv", bytes.NewReader(data), int64(len(data))); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkStandard(b *testing.B) {
	data := madeLog(benchSize, false)
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := standard(data); err != nil {
			b.Fatal(err)
		}
	}
}
