package speed

import (
	"bytes"
	"compress/gzip"
	"context"
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"traplight/internal/app"
	"traplight/internal/report"
)

const (
	logSeconds  = 60
	logRate     = 200 // rows a second
	logChannels = 80
)

// makeLog writes a log of 60 s, 80 channels and 200 rows a second: the channels
// of a simulated log, interpolated to that rate and held beyond its end, and
// further invented ones.
func makeLog(tb testing.TB) (log, sheet string) {
	tb.Helper()
	data := filepath.Join("..", "accuracy", "testdata")
	f, err := os.Open(filepath.Join(data, "a03_marlin.csv.gz"))
	if err != nil {
		tb.Fatal(err)
	}
	defer f.Close()
	z, err := gzip.NewReader(f)
	if err != nil {
		tb.Fatal(err)
	}
	text, err := io.ReadAll(z)
	if err != nil {
		tb.Fatal(err)
	}
	names, cols := columns(tb, string(text))
	var b bytes.Buffer
	b.WriteString(names[0])
	for c := 1; c < logChannels+1; c++ {
		if c < len(names) {
			b.WriteString("," + names[c])
		} else {
			fmt.Fprintf(&b, ",Spare input %d [V]", c)
		}
	}
	b.WriteString("\n")
	at := make([]int, len(cols))
	for row := range logSeconds * logRate {
		t := float64(row) / logRate
		b.WriteString(strconv.FormatFloat(t, 'f', 3, 64))
		for c := 1; c < logChannels+1; c++ {
			b.WriteByte(',')
			if c >= len(names) {
				b.WriteString(strconv.FormatFloat(2.5+2*math.Sin(t*float64(c)/10), 'f', 3, 64))
				continue
			}
			col := cols[c]
			for at[c]+1 < len(col.t) && col.t[at[c]+1] <= t {
				at[c]++
			}
			b.WriteString(col.text(at[c], t))
		}
		b.WriteString("\n")
	}
	log = filepath.Join(tb.TempDir(), "made.csv")
	if err := os.WriteFile(log, b.Bytes(), 0o644); err != nil {
		tb.Fatal(err)
	}
	return log, filepath.Join(data, "car_marlin.toml")
}

type column struct {
	t, v     []float64
	decimals int
}

// text is the value at t, s, between samples i and i+1, as it would be printed.
func (c *column) text(i int, t float64) string {
	if len(c.t) == 0 {
		return "0"
	}
	v := c.v[i]
	if i+1 < len(c.t) && t > c.t[i] {
		v += (c.v[i+1] - v) * (t - c.t[i]) / (c.t[i+1] - c.t[i])
	}
	return strconv.FormatFloat(v, 'f', c.decimals, 64)
}

func columns(tb testing.TB, text string) (names []string, cols []*column) {
	r := csv.NewReader(strings.NewReader(text))
	r.Comment = '#'
	r.FieldsPerRecord = -1
	rows, err := r.ReadAll()
	if err != nil {
		tb.Fatal(err)
	}
	names = rows[0]
	for range names {
		cols = append(cols, &column{})
	}
	for _, row := range rows[1:] {
		t, err := strconv.ParseFloat(row[0], 64)
		if err != nil {
			continue
		}
		for c := 1; c < len(row) && c < len(names); c++ {
			v, err := strconv.ParseFloat(row[c], 64)
			if err != nil {
				continue
			}
			cols[c].t, cols[c].v = append(cols[c].t, t), append(cols[c].v, v)
			if _, frac, ok := strings.Cut(row[c], "."); ok {
				cols[c].decimals = max(cols[c].decimals, len(frac))
			}
		}
	}
	return names, cols
}

func reportBytes(tb testing.TB, log, sheet string, without ...string) []byte {
	r, err := app.Report(context.Background(), app.ReportRequest{Logs: []string{log}, Cars: []string{sheet}, Without: without})
	if err != nil {
		tb.Fatal(err)
	}
	var b bytes.Buffer
	if err := report.WriteJSON(&b, r); err != nil {
		tb.Fatal(err)
	}
	return b.Bytes()
}

// BenchmarkReport60s80ch200Hz is from the file to the report's JSON: without the
// ledger, as a user sees it first, and with the car model fitted for the ledger.
func BenchmarkReport60s80ch200Hz(b *testing.B) {
	log, sheet := makeLog(b)
	info, err := os.Stat(log)
	if err != nil {
		b.Fatal(err)
	}
	for _, c := range []struct {
		name    string
		without []string
	}{{"first", []string{"ledger"}}, {"with-ledger", nil}} {
		b.Run(c.name, func(b *testing.B) {
			b.SetBytes(info.Size())
			b.ReportAllocs()
			n, from := 0, processorTime()
			for b.Loop() {
				reportBytes(b, log, sheet, c.without...)
				n++
			}
			b.ReportMetric(1000*(processorTime()-from)/float64(n), "cpu-ms/op")
		})
	}
}

// BenchmarkReadLog is the reading of the same file alone.
func BenchmarkReadLog(b *testing.B) {
	log, _ := makeLog(b)
	info, err := os.Stat(log)
	if err != nil {
		b.Fatal(err)
	}
	b.SetBytes(info.Size())
	b.ReportAllocs()
	for b.Loop() {
		if _, err := app.OpenLog(log); err != nil {
			b.Fatal(err)
		}
	}
}

// TestSameBytes runs the report twice: the same input gives the same bytes.
func TestSameBytes(t *testing.T) {
	log, sheet := makeLog(t)
	a, b := reportBytes(t, log, sheet), reportBytes(t, log, sheet)
	if !bytes.Equal(a, b) {
		t.Error("two reports of one log differ")
	}
	if len(a) < 2000 || !bytes.Contains(a, []byte(`"trap"`)) {
		t.Errorf("the made log gives a report of %d bytes", len(a))
	}
}
