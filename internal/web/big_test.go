package web_test

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"
)

// bigLog makes of an invented log one of 60 s at 200 Hz with 80 channels: 960,000
// samples. Its own channels come first, drawn out over the rows in between; the rest
// repeats them under names that mean nothing.
func bigLog(tb testing.TB, from, to string) {
	tb.Helper()
	const channels, rate, seconds = 80, 200, 60
	data, err := os.ReadFile(from)
	if err != nil {
		tb.Fatal(err)
	}
	at := bytes.Index(data, []byte("\"Time of day\""))
	if at < 0 {
		tb.Fatal("the invented log has another form than this test knows")
	}
	rows, err := csv.NewReader(bytes.NewReader(data[at:])).ReadAll()
	if err != nil {
		tb.Fatal(err)
	}
	head, rows := rows[0], rows[1:]
	clock := func(s string) float64 {
		t, err := time.Parse("15:04:05.999999", s)
		if err != nil {
			tb.Fatal(err)
		}
		return t.Sub(t.Truncate(24 * time.Hour)).Seconds()
	}
	own := len(head) - 1
	var b strings.Builder
	b.WriteString(`"Time (s)"`)
	for c := range channels {
		name := head[1+c%own]
		if c >= own {
			name = fmt.Sprintf("Spare %d", c)
		}
		fmt.Fprintf(&b, ",%q", name)
	}
	b.WriteByte('\n')
	t0 := clock(rows[0][0])
	values := make([][]float64, own)
	times := make([]float64, len(rows))
	for i, r := range rows {
		times[i] = clock(r[0]) - t0
		for c := range own {
			v, err := strconv.ParseFloat(r[1+c], 64)
			if err != nil && i > 0 {
				v = values[c][i-1]
			}
			values[c] = append(values[c], v)
		}
	}
	k := 0
	for i := range rate * seconds {
		t := float64(i) / rate
		for k+2 < len(times) && times[k+1] < t {
			k++
		}
		f := max(0, min(1, (t-times[k])/(times[k+1]-times[k])))
		b.WriteString(strconv.FormatFloat(t, 'f', 3, 64))
		for c := range channels {
			v := values[c%own]
			b.WriteByte(',')
			b.WriteString(strconv.FormatFloat(v[k]+f*(v[k+1]-v[k]), 'f', 4, 64))
		}
		b.WriteByte('\n')
	}
	if err := os.WriteFile(to, []byte(b.String()), 0o600); err != nil {
		tb.Fatal(err)
	}
}

// bigShop is a server with such a log in it.
func bigShop(tb testing.TB) (http.Handler, string) {
	tb.Helper()
	dir, logs := demoShop(tb)
	path := filepath.Join(tb.TempDir(), filepath.Base(logs[5]))
	bigLog(tb, logs[5], path)
	s := serve(tb, filepath.Join(tb.TempDir(), "store"))
	began := time.Now()
	j := add(tb, s, filepath.Join(dir, "passes.toml"), filepath.Join(dir, "car_marl.toml"), path)
	if j.Error != "" {
		tb.Fatal(j.Error)
	}
	if info, err := os.Stat(path); err == nil {
		tb.Logf("taken in after %.1f s, %d MB", time.Since(began).Seconds(), info.Size()>>20)
	}
	return s, strings.TrimPrefix(j.Goto, "/passes/")
}

func benchBig(b *testing.B, path string) {
	s, name := bigShop(b)
	at := strings.ReplaceAll(path, "NAME", name)
	w := ask(s, "GET", at, nil)
	if w.Code != http.StatusOK {
		b.Fatal(w.Code)
	}
	b.ReportMetric(float64(w.Body.Len())/1e3, "kB")
	for b.Loop() {
		ask(s, "GET", at, nil)
	}
}

func BenchmarkBigPassPage(b *testing.B)   { benchBig(b, "/passes/NAME") }
func BenchmarkBigTraces(b *testing.B)     { benchBig(b, "/passes/NAME/traces?points=2000") }
func BenchmarkBigCloserLook(b *testing.B) { benchBig(b, "/passes/NAME/traces?points=2000&from=4&to=6") }
