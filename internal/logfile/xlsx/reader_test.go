package xlsx_test

import (
	"archive/zip"
	"bytes"
	"math"
	"os"
	"path/filepath"
	"testing"

	"traplight/internal/logfile"
	"traplight/internal/logfile/logfiletest"
)

// TestWriters reads workbooks that two general-purpose writers made of one
// invented table (XlsxWriter 3.0.2 and openpyxl 3.0.9): plain seconds below
// metadata, date-times by cell format, and times of day with the epoch of 1904,
// a line of units and formulas.
func TestWriters(t *testing.T) {
	for _, c := range []struct {
		file, start string
		first       float64 // s, log's own clock
	}{
		{"seconds.xlsx", "2031-05-17", 0},
		{"dates.xlsx", "2031-05-17T10:21:00", 37260},
		{"clock1904.xlsx", "", 36060},
	} {
		t.Run(c.file, func(t *testing.T) {
			log, err := logfile.Open(filepath.Join("testdata", c.file))
			if err != nil {
				t.Fatal(err)
			}
			if log.Format != "xlsx" || len(log.RowTime) != 60 || log.Start != c.start {
				t.Fatalf("%s, %d rows, start %q; notes %q", log.Format, len(log.RowTime), log.Start, log.Notes)
			}
			want := []struct {
				name, unit string
				value      func(int) float64
			}{
				{"Engine speed", "rpm", func(i int) float64 { return float64(1000 + 37*i%900) }},
				{"Manifold pressure", "kPa", func(i int) float64 { return math.Round((98.5+float64(i)*0.1)*10) / 10 }},
				{"Coolant temp", "°C", func(i int) float64 {
					if i%5 != 0 {
						return math.NaN()
					}
					return 20.25 + float64(i)
				}},
			}
			for i, x := range log.RowTime {
				if got := log.Clock.Log(x); math.Abs(got-c.first-float64(i)/100) > 2e-6 {
					t.Fatalf("row %d at %v s, want %v", i, got, c.first+float64(i)/100)
				}
			}
			for k, w := range want {
				col := log.Columns[k]
				if col.Name != w.name || col.Unit != w.unit {
					t.Errorf("column %q in %q, want %q in %q", col.Name, col.Unit, w.name, w.unit)
				}
				for i := range col.Values {
					if g, v := col.Values[i], w.value(i); g != v && (g == g || v == v) {
						t.Fatalf("%q row %d is %v, want %v", w.name, i, g, v)
					}
				}
			}
			if phase := log.Columns[3]; phase.Text == nil || phase.Text[0] != "launch" || phase.Text[59] != "run" {
				t.Errorf("words are %v", phase.Text)
			}
		})
	}
}

func TestSuite(t *testing.T) {
	logfiletest.Run(t, "sample.xlsx", logfiletest.Format{}, logfiletest.Workbook)
}

func FuzzRead(f *testing.F) {
	for _, s := range logfiletest.Samples() {
		f.Add(logfiletest.Workbook(s))
	}
	files, _ := filepath.Glob("testdata/*.xlsx")
	for _, name := range files {
		if data, err := os.ReadFile(name); err == nil {
			f.Add(data)
		}
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		logfiletest.Read(t, "fuzz.xlsx", data)
	})
}

// FuzzSheet feeds the sheet's own text, which packing hides from the fuzzer.
func FuzzSheet(f *testing.F) {
	f.Add(`<row r="1"><c r="A1" t="inlineStr"><is><t>Time</t></is></c></row><row r="3"><c r="A3"><v>1.5</v></c><c r="C3" s="1"><v>44000.5</v></c></row>`)
	f.Add(`<row><c><v>1</v></c><c><v>2</v></c></row><row><c><v>2</v></c><c><v>2</v></c></row>`)
	f.Fuzz(func(t *testing.T, rows string) {
		var b bytes.Buffer
		z := zip.NewWriter(&b)
		for _, p := range [][2]string{
			{"xl/workbook.xml", `<workbook/>`},
			{"xl/styles.xml", `<styleSheet><cellXfs><xf numFmtId="0"/><xf numFmtId="22"/></cellXfs></styleSheet>`},
			{"xl/worksheets/sheet1.xml", "<worksheet><sheetData>" + rows + "</sheetData></worksheet>"},
		} {
			w, err := z.Create(p[0])
			if err != nil {
				t.Fatal(err)
			}
			if _, err := w.Write([]byte(p[1])); err != nil {
				t.Fatal(err)
			}
		}
		if err := z.Close(); err != nil {
			t.Fatal(err)
		}
		logfiletest.Read(t, "fuzz.xlsx", b.Bytes())
	})
}
