package logfile

import (
	"math"
	"testing"

	"traplight/internal/logfile/table"
)

// filledTable is a log of 100 rows a second whose slow channels hold a number where
// nothing new was read.
func filledTable(fill float64) *table.Table {
	const n = 2000
	time, fast, slow, brake := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	temp := make([]float64, n)
	for i := range n {
		s := float64(i) / 100
		time[i] = s
		fast[i] = math.Round(3000 + 2000*math.Sin(s))
		slow[i], brake[i], temp[i] = fill, fill, fill
		if i%5 == 2 {
			slow[i] = math.Round(10*(60+20*math.Sin(s/3))) / 10
			brake[i] = 0
			if s < 5 {
				brake[i] = 100
			}
		}
		if i%10 == 3 {
			temp[i] = math.Round(10*(80+s)) / 10
		}
	}
	return &table.Table{Rows: n, Clock: -1, Parts: []table.Part{{}}, Columns: []table.Column{{Name: "Time", Values: time}, {Name: "rpm", Values: fast},
		{Name: "Oil pressure", Values: slow}, {Name: "Brake", Values: brake}, {Name: "Coolant temp", Values: temp}}}
}

// TestFills: a number that stands where nothing was read is no reading, but it is one where
// a reading was due.
func TestFills(t *testing.T) {
	for _, fill := range []float64{0, -1, -99} {
		tb := filledTable(fill)
		dropFills(tb, 0, -1)
		count := func(col int, x float64) (n int) {
			for _, v := range tb.Columns[col].Values {
				if v == x || x != x && v != v {
					n++
				}
			}
			return n
		}
		if n := count(2, math.NaN()); n != 1600 {
			t.Errorf("fill %v: %d blanks in a channel of 20 readings a second, want 1600", fill, n)
		}
		if n := count(4, math.NaN()); n != 1800 {
			t.Errorf("fill %v: %d blanks in a channel of 10 readings a second, want 1800", fill, n)
		}
		if fill == 0 {
			if on, off := count(3, 100), count(3, 0); on != 100 || off != 300 {
				t.Errorf("brake read on %d and off %d times, want 100 and 300", on, off)
			}
		}
		if n := count(1, math.NaN()); n != 0 {
			t.Errorf("%d readings of the engine were taken out", n)
		}
	}
}

// TestNoFills: a channel that rests at zero and moves now and then is left as it is.
func TestNoFills(t *testing.T) {
	const n = 2000
	time, a, b := make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range n {
		time[i] = float64(i) / 100
		if i%100 < 10 {
			a[i] = float64(i % 100)
		}
		if i%17 == 0 {
			b[i] = float64(i*7919%13) / 10 // pulses of any height
		}
	}
	tb := &table.Table{Rows: n, Clock: -1, Parts: []table.Part{{}}, Columns: []table.Column{{Name: "Time", Values: time}, {Name: "Cut", Values: a}, {Name: "Knock 1", Values: b}, {Name: "Knock 2", Values: b}}}
	dropFills(tb, 0, -1)
	for _, c := range tb.Columns[1:] {
		for i, v := range c.Values {
			if v != v {
				t.Fatalf("%s: row %d was taken out", c.Name, i)
			}
		}
	}
}

// TestTwoClocks: seconds and milliseconds in columns of their own are one clock; of a
// lap's time and the time of all, the latter.
func TestTwoClocks(t *testing.T) {
	const n = 500
	sec, ms, lap, all := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	rpm := make([]float64, n)
	for i := range n {
		sec[i], ms[i] = float64(100+i/50), float64(i%50*20)
		all[i] = float64(i) / 50
		lap[i] = math.Mod(all[i], 4)
		rpm[i] = 3000 + 100*math.Sin(float64(i))
	}
	log, err := assemble("a", &table.Table{Rows: n, Clock: -1, Parts: []table.Part{{}}, Columns: []table.Column{{Name: "Seconds", Values: sec}, {Name: "Milliseconds", Values: ms}, {Name: "rpm", Values: rpm}}})
	if err != nil {
		t.Fatal(err)
	}
	if got := log.Clock.Log(log.RowTime[n-1]); math.Abs(got-109.98) > 1e-6 || len(log.Columns) != 1 {
		t.Errorf("last row at %v s in %d channels, want 109.98 in one", got, len(log.Columns))
	}
	log, err = assemble("b", &table.Table{Rows: n, Clock: -1, Parts: []table.Part{{}}, Columns: []table.Column{{Name: "Lap time", Unit: "s", Values: lap}, {Name: "Elapsed", Unit: "s", Values: all}, {Name: "rpm", Values: rpm}}})
	if err != nil {
		t.Fatal(err)
	}
	if got := log.Clock.Log(log.RowTime[n-1]); math.Abs(got-9.98) > 1e-6 {
		t.Errorf("last row at %v s, want 9.98: a lap's time was taken for the clock", got)
	}
}
