package logfile_test

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"traplight/internal/logfile"
)

// TestOddFiles reads small files that are odd in one way each: the times, s, of
// the rows and one column's values must come out.
func TestOddFiles(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		name, text string
		times      []float64 // s, log's own clock
		column     string    // name|unit
		values     []float64
	}{
		{"commented header", "# Time [s],RPM [rpm]\n0.0,900\n0.1,950\n0.2,980\n0.3,990\n", []float64{0, .1, .2, .3}, "RPM|rpm", []float64{900, 950, 980, 990}},
		{"no header", "0.0,900\n0.1,950\n0.2,980\n0.3,990\n", []float64{0, .1, .2, .3}, "column 2|", []float64{900, 950, 980, 990}},
		{"separator told", "sep=;\nTime;RPM;Boost\n0,0;900;-0,5\n0,1;950;-0,4\n0,2;980;0,1\n", []float64{0, .1, .2}, "Boost|", []float64{-.5, -.4, .1}},
		{"group row above the names", ",Engine,,Speeds\nTime,RPM,Boost,GPS\ns,rpm,bar,km/h\n0.0,900,0.1,0\n0.1,901,0.2,1\n0.2,902,0.3,2\n", []float64{0, .1, .2}, "Boost|bar", []float64{.1, .2, .3}},
		{"blank lines between", "Time (s),RPM\n\n0.0,900\n\n0.1,950\n\n0.2,980\n", []float64{0, .1, .2}, "RPM|", []float64{900, 950, 980}},
		{"names over two lines in one cell", "\"Time\n[s]\",\"Engine\nspeed [rpm]\"\n0.0,900\n0.1,950\n0.2,980\n", []float64{0, .1, .2}, "Engine speed|rpm", []float64{900, 950, 980}},
		{"words first", "Car,Time,RPM\nred,0.0,900\nred,0.1,950\nred,0.2,980\n", []float64{0, .1, .2}, "RPM|", []float64{900, 950, 980}},
		{"thousands marks", "Time,Turbo [rpm]\n0.0,\"98,500\"\n0.1,\"101,250\"\n0.2,\"99,000\"\n", []float64{0, .1, .2}, "Turbo|rpm", []float64{98500, 101250, 99000}},
		{"minutes and seconds", "Lap time;RPM\n01:58.5;900\n01:59.5;901\n02:00.5;902\n02:01.5;903\n", []float64{118.5, 119.5, 120.5, 121.5}, "RPM|", []float64{900, 901, 902, 903}},
		{"afternoon", "Time,RPM\n11:59:59 AM,900\n12:00:00 PM,901\n12:00:01 PM,902\n", []float64{43199, 43200, 43201}, "RPM|", []float64{900, 901, 902}},
		{"letters", "Time,RPM\n10h21m03.0s,900\n10h21m03.1s,901\n10h21m03.2s,902\n", []float64{37263, 37263.1, 37263.2}, "RPM|", []float64{900, 901, 902}},
		{"past midnight", "Time,RPM\n23:59:59.8,900\n23:59:59.9,901\n00:00:00.0,902\n00:00:00.1,903\n", []float64{86399.8, 86399.9, 86400, 86400.1}, "RPM|", []float64{900, 901, 902, 903}},
		{"date in words", "Stamp,RPM\n17 May 2031 10:00:00,900\n17 May 2031 10:00:01,901\n17 May 2031 10:00:02,902\n", []float64{36000, 36001, 36002}, "RPM|", []float64{900, 901, 902}},
		{"zoned", "Stamp,RPM\n2031-05-17T10:00:00.5+02:00,900\n2031-05-17T10:00:01.5+02:00,901\n2031-05-17T10:00:02.5+02:00,902\n", []float64{36000.5, 36001.5, 36002.5}, "RPM|", []float64{900, 901, 902}},
		{"hours as hhmmss", "utc,speed [kn]\n100058.0,1\n100059.0,2\n100100.0,3\n100101.0,4\n", []float64{36058, 36059, 36060, 36061}, "speed|kn", []float64{1, 2, 3, 4}},
		{"rows too long", "Time,RPM\n0.0,900,7\n0.1,950\n0.2,980\n0.3,990\n", []float64{0, .1, .2, .3}, "RPM|", []float64{900, 950, 980, 990}},
		{"rows too short", "Time,RPM,Boost\n0.0,900,1\n0.1\n0.2,980,2\n0.3,990,3\n", []float64{0, .1, .2, .3}, "Boost|", []float64{1, nan, 2, 3}},
		{"remark among rows", "Time,RPM\n0.0,900\n# lap 2\n0.1,950\n0.2,980\n", []float64{0, .1, .2}, "RPM|", []float64{900, 950, 980}},
		{"end marks", "Time,RPM\n0.0,900\n0.1,950\n0.2,980\n\x1a", []float64{0, .1, .2}, "RPM|", []float64{900, 950, 980}},
		{"padded with zeros", "Time,RPM\n0.0,900\n0.1,950\n0.2,980\n" + strings.Repeat("\x00", 4096), []float64{0, .1, .2}, "RPM|", []float64{900, 950, 980}},
		{"no line end at last", "Time,RPM\n0.0,900\n0.1,950\n0.2,980", []float64{0, .1, .2}, "RPM|", []float64{900, 950, 980}},
		{"cut last line", "Time,RPM,Boost\n0.0,900,1\n0.1,950,2\n0.2,980,3\n0.3,99", []float64{0, .1, .2}, "RPM|", []float64{900, 950, 980}},
		{"a quote that is an inch", "Time,Baro [\"Hg]\n0.0,29.9\n0.1,29.8\n0.2,29.7\n", []float64{0, .1, .2}, "Baro|\"Hg", []float64{29.9, 29.8, 29.7}},
		{"another header later", "Time,RPM\n0.0,900\n0.1,950\n0.2,960\nTime,Boost,RPM,Gear\n5.0,1,970,2\n5.1,2,980,2\n", []float64{0, .1, .2, 5, 5.1}, "RPM|", []float64{900, 950, 960, 970, 980}},
		{"not numbers", "Time,RPM\n0.0,900\n0.1,--\n0.2,n/a\n0.3,#DIV/0!\n0.4,950\n", []float64{0, .1, .2, .3, .4}, "RPM|", []float64{900, nan, nan, nan, 950}},
		{"a word of its own for blanks", "Time,RPM,Boost\n0.0,900,open\n0.1,open,0.2\n0.2,open,open\n0.3,960,0.3\n0.4,open,open\n0.5,970,0.4\n0.6,980,open\n", []float64{0, .1, .2, .3, .4, .5, .6}, "RPM|", []float64{900, nan, nan, 960, nan, 970, 980}},
		{"minus signs of their own", "Time,G\n0.0,\u22120.5\n0.1,0.5\n0.2,\u22121.5\n", []float64{0, .1, .2}, "G|", []float64{-.5, .5, -1.5}},
		{"negative in parentheses", "Time,G\n0.0,(0.5)\n0.1,0.5\n0.2,(1.5)\n", []float64{0, .1, .2}, "G|", []float64{-.5, .5, -1.5}},
		{"blanks between thousands", "Zeit;Lader [1/min]\n0,0;98 500,5\n0,1;101\u00a0250,0\n0,2;99\u202f000\n0,3;9\u2009000\n", []float64{0, .1, .2, .3}, "Lader|1/min", []float64{98500.5, 101250, 99000, 9000}},
		{"formulas for text", "Time,RPM\n=\"0.0\",=\"900\"\n=\"0.1\",=\"950\"\n=\"0.2\",=\"980\"\n", []float64{0, .1, .2}, "RPM|", []float64{900, 950, 980}},
		{"a line of sorts of numbers", "Time,RPM\ns,rpm\nfloat,int\n0.0,900\n0.1,950\n0.2,980\n", []float64{0, .1, .2}, "RPM|rpm", []float64{900, 950, 980}},
		{"numbers that stand for none", "Time,RPM,Coolant\n0.0,900,-9999\n0.1,-9999,80.5\n0.2,950,-9999\n0.3,960,81\n0.4,-9999,81.5\n0.5,970,82\n0.6,980,82.5\n", []float64{0, .1, .2, .3, .4, .5, .6}, "RPM|", []float64{900, nan, 950, 960, nan, 970, 980}},
		{"nines of one column", "Time,RPM,Coolant\n0.0,900,-9999\n0.1,940,80.5\n0.2,950,-9999\n0.3,960,81\n0.4,940,81.5\n0.5,970,82\n0.6,980,82.5\n", []float64{0, .1, .2, .3, .4, .5, .6}, "Coolant|", []float64{-9999, 80.5, -9999, 81, 81.5, 82, 82.5}},
		{"plus signs and bare points", "Time,G\n0.0,+.5\n0.1,-.5\n0.2,5.\n", []float64{0, .1, .2}, "G|", []float64{.5, -.5, 5}},
		{"microseconds", "t_us,RPM\n1000000,900\n1010000,950\n1020000,980\n", []float64{1, 1.01, 1.02}, "RPM|", []float64{900, 950, 980}},
		{"units in brackets before the names", "[s] Time,[rpm] RPM,[bar] Boost\n0.0,900,0.1\n0.1,950,0.2\n0.2,980,0.3\n", []float64{0, .1, .2}, "Boost|bar", []float64{.1, .2, .3}},
		{"a rate told instead of times", "# sample rate: 10 Hz\nRPM,Boost\n900,0.1\n850,0.3\n980,0.2\n", []float64{0, .1, .2}, "Boost|", []float64{.1, .3, .2}},
		{"an interval told instead of times", "# interval = 100 ms\nRPM,Boost\n900,0.1\n850,0.3\n980,0.2\n", []float64{0, .1, .2}, "Boost|", []float64{.1, .3, .2}},
		{"a remark behind the unit", "Time [s],RPM [rpm] {100 Hz},Boost [bar] {100 Hz}\n0.0,900,0.1\n0.1,950,0.2\n0.2,980,0.3\n", []float64{0, .1, .2}, "Boost|bar", []float64{.1, .2, .3}},
		{"one word in every cell of a line", "Time,RPM,A,B,C,Boost\ns,rpm,V,V,V,bar\nlive,live,live,live,live,live\n0.0,900,1,1,1,0.1\n0.1,950,1,1,1,0.2\n0.2,980,1,1,1,0.3\n", []float64{0, .1, .2}, "Boost|bar", []float64{.1, .2, .3}},
		{"a switch in words", "Time,RPM,Nitrous\n0.0,900,OFF\n0.1,950,ON\n0.2,980,ON\n", []float64{0, .1, .2}, "Nitrous|", []float64{0, 1, 1}},
		{"gears in words", "Time,RPM,Gear\n0.0,900,N\n0.1,950,G1\n0.2,980,G2\n", []float64{0, .1, .2}, "Gear|", []float64{0, 1, 2}},
		{"where each channel comes from below the names", "Time,RPM,Oil,Fuel,Boost,GPS speed\ns,rpm,bar,bar,bar,km/h\n,CAN,ECU,ECU,CAN,GPS\n0.0,900,1,3,0.1,0\n0.1,950,1,3,0.2,0\n0.2,980,1,3,0.3,1\n", []float64{0, .1, .2}, "Boost|bar", []float64{.1, .2, .3}},
		{"the lines about the names come again", "Time,RPM,Oil,Fuel,Boost\n,CAN,ECU,ECU,CAN\n0.0,900,1,3,0.1\n0.1,950,1,3,0.2\n0.2,980,1,3,0.3\nTime,RPM,Oil,Fuel,Boost\n,CAN,ECU,ECU,CAN\n0.3,990,1,3,0.4\n", []float64{0, .1, .2, .3}, "Boost|", []float64{.1, .2, .3, .4}},
		{"groups come again", ",Engine,Engine,Engine,Car\nTime,RPM,Oil,Fuel,Speed\n0.0,900,1,3,0\n0.1,950,1,3,1\n0.2,980,1,3,2\n,Engine,Engine,Engine,Car\nTime,RPM,Oil,Fuel,Speed\n0.3,990,1,3,4\n", []float64{0, .1, .2, .3}, "Speed|", []float64{0, 1, 2, 4}},
		{"columns numbered above the names", "0;1;2;3\nTime [s];RPM [rpm];Boost [bar];Gear\n0.0;900;0.1;1\n0.1;950;0.2;1\n0.2;980;0.3;1\n", []float64{0, .1, .2}, "Boost|bar", []float64{.1, .2, .3}},
		{"numbered columns come again", "0;1;2;3\nTime [s];RPM [rpm];Boost [bar];Gear\n0.0;900;0.1;1\n0.1;950;0.2;1\n0.2;980;0.3;1\n0;1;2;3\nTime [s];RPM [rpm];Boost [bar];Gear\n0.3;990;0.4;1\n", []float64{0, .1, .2, .3}, "Boost|bar", []float64{.1, .2, .3, .4}},
		{"a pressure of two signs with its zero in brackets", "Time, s;RPM, rpm;Boost, lb/in2(a)\n0.0;900;15\n0.1;950;16\n0.2;980;17\n", []float64{0, .1, .2}, "Boost|lb/in2(a)", []float64{15, 16, 17}},
		{"units behind colons, of two words", "Time: s,Boost: bar abs,Oil: bar,RPM: rpm\n0.0,1.1,3,900\n0.1,1.2,3,910\n0.2,1.3,3,920\n", []float64{0, .1, .2}, "Boost|bar abs", []float64{1.1, 1.2, 1.3}},
		{"ticks of a tenth of a millisecond", "Time [1/10 ms],RPM\n0,900\n1000,950\n2000,980\n", []float64{0, .1, .2}, "RPM|", []float64{900, 950, 980}},
		{"ticks of ten microseconds", "Time [10 us],RPM\n0,900\n10000,950\n20000,980\n", []float64{0, .1, .2}, "RPM|", []float64{900, 950, 980}},
		{"the first column is no clock", "RPM,Time\n900,0.0\n950,0.1\n980,0.2\n", []float64{0, .1, .2}, "RPM|", []float64{900, 950, 980}},
	} {
		t.Run(c.name, func(t *testing.T) {
			log, err := logfile.Read("odd.csv", []byte(c.text))
			if err != nil {
				t.Fatal(err)
			}
			if len(log.RowTime) != len(c.times) {
				t.Fatalf("%d rows, want %d; notes %q", len(log.RowTime), len(c.times), log.Notes)
			}
			for i, want := range c.times {
				if got := log.Clock.Log(log.RowTime[i]); math.Abs(got-want) > 1e-6 {
					t.Errorf("row %d is at %v s, want %v; notes %q", i, got, want, log.Notes)
				}
			}
			for _, col := range log.Columns {
				if col.Name+"|"+col.Unit != c.column {
					continue
				}
				for i, want := range c.values {
					if got := col.Values[i]; got != want && !(got != got && want != want) {
						t.Errorf("row %d of %s is %v, want %v", i, c.column, got, want)
					}
				}
				return
			}
			t.Errorf("no column %s among %v", c.column, names(log))
		})
	}
}

// TestTimeSinceTheRowBefore: a column of steps alone makes the clock, and a line of means at
// the end is no step.
func TestTimeSinceTheRowBefore(t *testing.T) {
	text := "RPM,Delta T [ms]\n"
	want := []float64{0}
	for i := range 80 {
		text += fmt.Sprintf("%d,10\n", 900+i*7%31)
		if i > 0 {
			want = append(want, float64(i)/100)
		}
	}
	log, err := logfile.Read("steps.csv", []byte(text+"915,\n"))
	if err != nil {
		t.Fatal(err)
	}
	if len(log.RowTime) != len(want) {
		t.Fatalf("%d rows, want %d; notes %q", len(log.RowTime), len(want), log.Notes)
	}
	for i, w := range want {
		if got := log.Clock.Log(log.RowTime[i]); math.Abs(got-w) > 1e-6 {
			t.Fatalf("row %d is at %v s, want %v", i, got, w)
		}
	}
}

func names(log *logfile.Log) []string {
	var out []string
	for _, c := range log.Columns {
		out = append(out, c.Name+"|"+c.Unit)
	}
	return out
}

// TestErrors: one clear sentence each, with the file and, where there is one, the
// line.
func TestErrors(t *testing.T) {
	dir := t.TempDir()
	write := func(name, text string) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	for _, c := range []struct {
		path string
		is   error
		says string
	}{
		{write("empty.csv", ""), logfile.ErrEmpty, "empty.csv: the file is empty"},
		{write("blank.csv", "\n \n\n"), logfile.ErrEmpty, "blank.csv: the file is empty"},
		{write("binary.csv", "\x7fELF\x02\x01\x01\x00\x00\x00\x00\x00\x03\x00\x3e\x00\x01\x00\x00\x00"), logfile.ErrBinary, "binary.csv: the file is not text"},
		{write("header.csv", "# car: Plover\nTime [s],RPM [rpm],Boost [kPa]\n"), logfile.ErrNoRows, "header.csv:2: a header but no rows of samples"},
		{write("prose.txt", "This is a letter.\nIt holds no table, and it never will.\n"), logfile.ErrNoTable, "prose.txt: no table of numbers found"},
		{write("timeless.csv", "RPM,Boost\n900,1\n950,2\n880,3\n870,2\n"), logfile.ErrNoClock, "timeless.csv:1: no column can serve as the clock"},
		{write("broken.csv.gz", "\x1f\x8b\x08\x00nonsense"), logfile.ErrDamaged, "broken.csv.gz"},
		{filepath.Join(dir, "missing.csv"), os.ErrNotExist, "missing.csv: no such file"},
		{dir, logfile.ErrNoTable, "folder"},
	} {
		_, err := logfile.Open(c.path)
		if err == nil {
			t.Errorf("%s: no error", c.path)
			continue
		}
		var typed *logfile.Error
		if !errors.Is(err, c.is) || !errors.As(err, &typed) {
			t.Errorf("%s: %v is not %v", c.path, err, c.is)
		}
		if s := err.Error(); !strings.Contains(s, c.says) || strings.Contains(s, "\n") {
			t.Errorf("%s: says %q, want %q", c.path, s, c.says)
		}
	}
}

// TestNotesTellLines: what was dropped is told by its line.
func TestNotesTellLines(t *testing.T) {
	var b strings.Builder
	b.WriteString("# a car\nTime [s],RPM\n")
	for i := range 20 {
		fmt.Fprintf(&b, "%.1f,%d\n", float64(i)/10, 900+i)
		if i == 4 {
			b.WriteString("lap marker\n")
		}
	}
	b.WriteString("2.0")
	log, err := logfile.Read("notes.csv", []byte(b.String()))
	if err != nil {
		t.Fatal(err)
	}
	all := strings.Join(log.Notes, "\n")
	for _, want := range []string{"line 8: not a row of samples", "line 24: the last line is cut short (1 of 2 cells)"} {
		if !strings.Contains(all, want) {
			t.Errorf("no note %q in %q", want, all)
		}
	}
}

// TestRaggedRows: rows that end at their last reading, so that most are shorter than the
// names, and numbers grouped by points before a decimal comma, which are no dates.
func TestRaggedRows(t *testing.T) {
	var b strings.Builder
	b.WriteString("Zeit [s];Drehzahl [rpm];Abgastemperatur [°C];Gang;Kupplung [%]\n")
	for i := range 400 {
		fmt.Fprintf(&b, "%d,%02d;%d.%03d", i/100, i%100, 1+i/100, i)
		if i%10 == 0 {
			fmt.Fprintf(&b, ";1.0%02d,5;3", i/10)
		}
		if i%20 == 0 {
			b.WriteString(";100,0")
		}
		b.WriteString("\n")
	}
	log, err := logfile.Read("ragged.csv", []byte(b.String()))
	if err != nil {
		t.Fatal(err)
	}
	if len(log.Columns) != 4 || log.Columns[3].Name != "Kupplung" {
		t.Fatalf("columns %+v, want the four named", len(log.Columns))
	}
	for col, want := range []float64{4390, 1039.5, 3} {
		if got := log.Columns[col].Values[390]; got != want {
			t.Errorf("%s in row 390: %v, want %v", log.Columns[col].Name, got, want)
		}
	}
}

// TestStacked: one reading a line becomes a column a channel; a table with a column of
// words stays one.
func TestStacked(t *testing.T) {
	var b strings.Builder
	b.WriteString("Time [s],Channel,Value,Unit\n")
	for i := range 50 {
		fmt.Fprintf(&b, "%.2f,Engine speed,%d,rpm\n", float64(i)/100, 3000+i)
		if i%5 == 2 {
			fmt.Fprintf(&b, "%.2f,Oil pressure,%.1f,kPa\n%.2f,Gear,2,\n", float64(i)/100, 200+float64(i)/10, float64(i)/100)
		}
	}
	log, err := logfile.Read("stacked.csv", []byte(b.String()))
	if err != nil {
		t.Fatal(err)
	}
	if len(log.RowTime) != 50 || len(log.Columns) != 3 || log.Columns[1].Name != "Oil pressure" || log.Columns[1].Unit != "kPa" {
		t.Fatalf("%d rows, %d columns", len(log.RowTime), len(log.Columns))
	}
	if got := log.Columns[1].Values; got[7] != 200.7 || !math.IsNaN(got[8]) {
		t.Errorf("oil pressure %v in row 7 and %v in row 8, want 200.7 and a blank", got[7], got[8])
	}
	b.Reset()
	b.WriteString("Time [s],Signal,Engine speed [rpm],Boost [kPa]\n")
	for i := range 50 {
		fmt.Fprintf(&b, "%.2f,%s,%d,%d\n", float64(i)/100, []string{"red", "green", "off"}[i/20], 3000+i, 100+i)
	}
	if log, err = logfile.Read("words.csv", []byte(b.String())); err != nil || len(log.Columns) != 3 || len(log.RowTime) != 50 {
		t.Errorf("a table with a column of words: %v, %d columns", err, len(log.Columns))
	}
}
