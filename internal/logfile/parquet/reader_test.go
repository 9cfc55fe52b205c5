package parquet_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"traplight/internal/logfile"
	"traplight/internal/logfile/logfiletest"
	"traplight/internal/logfile/parquet"
	"traplight/internal/logfile/table"
	"traplight/internal/reftest"
)

func read(t *testing.T, path string) (*table.Table, error) {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Skip(err)
	}
	return parquet.Read(filepath.Base(path), bytes.NewReader(data), int64(len(data)))
}

type expectation struct {
	Rows      int                          `json:"rows"`
	Codec     string                       `json:"codec"`
	FirstRows []map[string]json.RawMessage `json:"first_rows"`
	LastRow   map[string]json.RawMessage   `json:"last_row"`
}

// TestSamples holds sixteen files of many encodings (apache/parquet-testing)
// against what an independent reader made of them.
func TestSamples(t *testing.T) {
	dir := reftest.Path(t, "data", "parquet-samples")
	data, err := os.ReadFile(filepath.Join(dir, "expected.json"))
	if err != nil {
		t.Skip(err)
	}
	var all map[string]expectation
	if err := json.Unmarshal(data, &all); err != nil {
		t.Fatal(err)
	}
	cells := 0
	for file, want := range all {
		got, err := read(t, filepath.Join(dir, file))
		if want.Codec == "LZ4" {
			if !errors.Is(err, table.ErrForeign) || !strings.Contains(err.Error(), "LZ4") {
				t.Errorf("%s: %v, want a refusal that names LZ4", file, err)
			}
			continue
		}
		if err != nil {
			t.Error(err)
			continue
		}
		if got.Rows != want.Rows {
			t.Errorf("%s: %d rows, want %d", file, got.Rows, want.Rows)
			continue
		}
		for i, row := range want.FirstRows {
			cells += compareRow(t, file, got, i, row)
		}
		cells += compareRow(t, file, got, got.Rows-1, want.LastRow)
	}
	t.Logf("%d cells in %d files", cells, len(all))
	if cells < 500 {
		t.Errorf("only %d cells compared", cells)
	}
}

// compareRow compares the columns that both have and returns how many.
func compareRow(t *testing.T, file string, got *table.Table, row int, want map[string]json.RawMessage) int {
	t.Helper()
	n := 0
	for name, raw := range want {
		for i := range got.Columns {
			c := &got.Columns[i]
			if c.Name != name {
				continue
			}
			n++
			if !sameCell(c, row, raw) {
				t.Errorf("%s: %s in row %d is %v, want %s", file, name, row, cellText(c, row), raw)
			}
		}
	}
	return n
}

func cellText(c *table.Column, row int) string {
	if c.Kind == table.Words {
		return c.Text[row]
	}
	return strconv.FormatFloat(c.Values[row], 'g', -1, 64) + " of kind " + strconv.Itoa(int(c.Kind)) + " day " + strconv.FormatInt(c.Day, 10)
}

func sameCell(c *table.Column, row int, raw json.RawMessage) bool {
	text := strings.Trim(string(raw), `"`)
	if c.Kind == table.Words {
		var s string
		if json.Unmarshal(raw, &s) != nil {
			return string(raw) == "null" && c.Text[row] == ""
		}
		// The independent reader shows bytes without a text type in its own way.
		return strings.TrimSpace(s) == strings.TrimSpace(c.Text[row])
	}
	v := c.Values[row]
	switch text {
	case "null", "NaN":
		return v != v
	case "true":
		return v == 1
	case "false":
		return v == 0
	}
	if c.Kind == table.Date {
		at, err := time.Parse("01/02/06", text)
		return err == nil && float64(at.Unix()) == float64(c.Day)*86400+v
	}
	if c.Kind == table.DateTime {
		if strings.HasPrefix(text, "-") { // a year before Christ
			return v < -1e11
		}
		at, err := time.Parse(time.RFC3339Nano, text)
		if err != nil {
			return false
		}
		seconds := float64(at.Unix()-c.Day*86400) + float64(at.Nanosecond())/1e9
		return math.Abs(seconds-v) < 1e-3
	}
	if want, err := strconv.ParseFloat(text, 64); err == nil {
		return v == want || math.Abs(v-want) <= 1e-12*math.Abs(want)
	}
	return false
}

func TestSuite(t *testing.T) {
	logfiletest.Run(t, "sample.parquet", logfiletest.Format{AnyOrder: true}, func(s logfiletest.Sample) []byte { return logfiletest.Parquet(t, s) })
}

func FuzzRead(f *testing.F) {
	for _, s := range logfiletest.Samples() {
		f.Add(logfiletest.Parquet(f, s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) < 12 || string(data[:4]) != parquet.Magic {
			data = append([]byte(parquet.Magic), data...)
		}
		logfiletest.Read(t, "fuzz.parquet", data)
	})
}

// TestSameAsCSV: two measured files that exist as CSV and, written by a
// general-purpose writer, as Parquet must read the same.
func TestSameAsCSV(t *testing.T) {
	for _, c := range []struct {
		path      string
		tolerance float64 // relative; one file holds single precision
	}{
		{"turbo-diesel-obd/accelerations-2018-02-23", 0},
		{"highway-wheel-speeds/wheel_speeds", 6e-8},
	} {
		base := reftest.Path(t, "data", filepath.FromSlash(c.path))
		a, err := logfile.Open(base + ".csv")
		if err != nil {
			t.Fatal(err)
		}
		b, err := logfile.Open(base + ".parquet")
		if err != nil {
			t.Fatal(err)
		}
		if len(a.RowTime) != len(b.RowTime) || len(a.Columns) != len(b.Columns) {
			t.Fatalf("%s: %d rows of %d columns, as CSV %d of %d", c.path, len(b.RowTime), len(b.Columns), len(a.RowTime), len(a.Columns))
		}
		for i := range a.RowTime {
			if math.Abs(a.RowTime[i]-b.RowTime[i]) > 1e-9 {
				t.Fatalf("%s: row %d at %v s, as CSV %v", c.path, i, b.RowTime[i], a.RowTime[i])
			}
		}
		for k := range a.Columns {
			x, y := a.Columns[k], b.Columns[k]
			if x.Name != y.Name || x.Unit != y.Unit {
				t.Errorf("%s: column %q in %q, as CSV %q in %q", c.path, y.Name, y.Unit, x.Name, x.Unit)
			}
			for i := range x.Values {
				if v, w := x.Values[i], y.Values[i]; (v != v) != (w != w) || v == v && math.Abs(v-w) > c.tolerance*math.Abs(v) {
					t.Fatalf("%s: %q row %d is %v, as CSV %v", c.path, x.Name, i, w, v)
				}
			}
		}
	}
}
