package main

import (
	"archive/zip"
	"bytes"
	"compress/gzip"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"traplight/internal/logfile/logfiletest"
)

// sample writes a log's columns in other words and units. barometer, Pa, is what
// gauges count from.
func (f *further) sample(b *baseline, barometer float64) (s logfiletest.Sample, shift float64) {
	log := b.c.log
	s.Name = b.c.truth.ID
	for _, x := range log.RowTime {
		s.Time = append(s.Time, log.Clock.Log(x))
	}
	if f.midnight {
		shift = 86400 - math.Round(s.Time[len(s.Time)/2])
		for i := range s.Time {
			s.Time[i] += shift
		}
	}
	for _, w := range b.columns {
		c := w.Column
		if n, ok := otherNames[f.language][w.quantity]; ok {
			c.Name = n
		}
		c.Unit = truthUnitText(w.unit)
		to, ok := f.units[w.quantity]
		if !ok {
			to, ok = f.units[w.unit]
		}
		if ok && c.Text == nil {
			c.Values = convertColumn(c.Values, w.unit, to, barometer)
			c.Unit = truthUnitText(to)
		}
		s.Columns = append(s.Columns, c)
	}
	if f.phase {
		words, few := make([]string, len(s.Time)), make([]float64, len(s.Time))
		for i := range words {
			words[i] = []string{"armed", "run", "coast"}[i*3/len(words)]
			few[i] = math.NaN()
			if i%97 == 5 {
				few[i] = float64(40 + i%7)
			}
		}
		s.Columns = append(s.Columns, logfiletest.Column{Name: "State of run", Text: words}, logfiletest.Column{Name: "Driver pulse", Unit: "1/min", Values: few})
	}
	if f.reverse {
		slices.Reverse(s.Columns)
	}
	if f.repeats {
		random := rand.New(rand.NewPCG(1, uint64(len(s.Time))))
		for i := 1; i < len(s.Time); i++ {
			if random.Float64() < 0.02 {
				s.Time[i] = s.Time[i-1]
			}
		}
	}
	return s, shift
}

// write puts a sample into a file of the dialect.
func (f *further) write(t *testing.T, s logfiletest.Sample, stem string) string {
	t.Helper()
	var data []byte
	name := stem + ".csv"
	switch f.pack {
	case "xlsx":
		name, data = stem+".xlsx", logfiletest.Workbook(s)
	case "parquet":
		name, data = stem+".parquet", logfiletest.Parquet(t, s)
	default:
		data = f.text.Encode(s)
	}
	var b bytes.Buffer
	var err error
	switch f.pack {
	case "gzip":
		z := gzip.NewWriter(&b)
		_, err = z.Write(data)
		z.Close()
		name, data = stem+".csv.gz", b.Bytes()
	case "zip":
		z := zip.NewWriter(&b)
		w, e := z.Create("export/" + stem + ".csv")
		if err = e; err == nil {
			_, err = w.Write(data)
		}
		z.Close()
		name, data = stem+".zip", b.Bytes()
	}
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, data, 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}
