package logfile_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"golang.org/x/text/encoding/unicode/utf32"

	"traplight/internal/logfile"
)

const orderHeader = "Time [s],RPM [rpm],Boost [kPa],Oil [kPa],Coolant [C],Gear,Fuel [kPa]\n"

func orderRows() []string {
	var rows []string
	for i := range 400 {
		rows = append(rows, fmt.Sprintf("%.2f,%d,%d,%d,80,1,300", 5+float64(i)/100, 900+i, i%90, 400+i%7))
	}
	return rows
}

// TestRowsOutOfOrder: however the rows stand in the file, they come out in order of
// time; a clock that was set back, and a second recording, stay as they are.
func TestRowsOutOfOrder(t *testing.T) {
	mixed := rand.New(rand.NewPCG(1, 2))
	for _, c := range []struct {
		name  string
		place func(rows []string) []string
	}{
		{"as they are", func(r []string) []string { return r }},
		{"falling", func(r []string) []string { slices.Reverse(r); return r }},
		{"shuffled", func(r []string) []string {
			mixed.Shuffle(len(r), func(i, j int) { r[i], r[j] = r[j], r[i] })
			return r
		}},
		{"neighbours exchanged", func(r []string) []string {
			for i := 10; i < len(r); i += 37 {
				r[i], r[i-1] = r[i-1], r[i]
			}
			return r
		}},
		{"round and round", func(r []string) []string { return append(slices.Clone(r[150:]), r[:150]...) }},
		{"lines of extremes first", func(r []string) []string {
			return append([]string{"0,0,0,0,0,0,0", "9999,9999,9999,9999,9999,9999,9999"}, r...)
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			log, err := logfile.Read("order.csv", []byte(orderHeader+strings.Join(c.place(orderRows()), "\n")+"\n"))
			if err != nil {
				t.Fatal(err)
			}
			if len(log.RowTime) != 400 || len(log.Parts) != 1 {
				t.Fatalf("%d rows in %d parts, want 400 in 1; notes %q", len(log.RowTime), len(log.Parts), log.Notes)
			}
			for i, x := range log.RowTime {
				if at := log.Clock.Log(x); math.Abs(at-5-float64(i)/100) > 1e-6 || log.Columns[0].Values[i] != float64(900+i) {
					t.Fatalf("row %d is at %v s with %v rpm; notes %q", i, at, log.Columns[0].Values[i], log.Notes)
				}
			}
		})
	}
	t.Run("set back", func(t *testing.T) {
		rows := orderRows()
		for i := 200; i < 400; i++ {
			_, rest, _ := strings.Cut(rows[i], ",")
			rows[i] = fmt.Sprintf("%.2f,%s", 5.3+float64(i)/100-1.4, rest)
		}
		log, err := logfile.Read("order.csv", []byte(orderHeader+strings.Join(rows, "\n")+"\n"))
		if err != nil {
			t.Fatal(err)
		}
		for i, v := range log.Columns[0].Values {
			if v != float64(900+i) {
				t.Fatalf("row %d was moved; notes %q", i, log.Notes)
			}
		}
	})
}

// TestWholeSeconds: a clock that shows whole seconds over many even rows still gives
// their spacing; rows held unevenly are refused.
func TestWholeSeconds(t *testing.T) {
	write := func(rows func(second int) int) []byte {
		var b strings.Builder
		b.WriteString("Time,RPM\n")
		for s := range 12 {
			for k := range rows(s) {
				fmt.Fprintf(&b, "14:00:%02d,%d\n", s, 900+k)
			}
		}
		return []byte(b.String())
	}
	log, err := logfile.Read("seconds.csv", write(func(s int) int {
		if s == 0 {
			return 37
		}
		return 100
	}))
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(log.RowStep-0.01) > 1e-4 || math.Abs(log.RowTime[1000]-log.RowTime[500]-5) > 0.02 {
		t.Errorf("step %v s; 500 rows last %v s; notes %q", log.RowStep, log.RowTime[1000]-log.RowTime[500], log.Notes)
	}
	if _, err := logfile.Read("seconds.csv", write(func(s int) int { return 60 + 37*(s%3) })); err == nil {
		t.Error("rows held for uneven times were taken for even ones")
	}
}

// TestUTF32 reads the widest code of text, with its mark and without.
func TestUTF32(t *testing.T) {
	text := orderHeader + strings.Join(orderRows()[:30], "\n") + "\n"
	for _, c := range []struct {
		end  utf32.Endianness
		mark utf32.BOMPolicy
	}{{utf32.LittleEndian, utf32.UseBOM}, {utf32.BigEndian, utf32.UseBOM}, {utf32.LittleEndian, utf32.IgnoreBOM}, {utf32.BigEndian, utf32.IgnoreBOM}} {
		wide, err := utf32.UTF32(c.end, c.mark).NewEncoder().String(text)
		if err != nil {
			t.Fatal(err)
		}
		log, err := logfile.Read("wide.csv", []byte(wide))
		if err != nil {
			t.Errorf("%v %v: %v", c.end, c.mark, err)
		} else if len(log.RowTime) != 30 || log.Columns[0].Name != "RPM" || log.Columns[0].Unit != "rpm" {
			t.Errorf("%v %v: %d rows, first column %q", c.end, c.mark, len(log.RowTime), log.Columns[0].Name)
		}
	}
}
