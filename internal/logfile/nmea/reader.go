// Package nmea reads the sentences of satellite receivers (NMEA 0183, IEC
// 61162-1, from memory): RMC, GGA, VTG, GNS, GLL, ZDA and GST, each with its
// checksum. A row is one instant with a valid fix; sentences without a fix, with a
// wrong checksum or without one are dropped and counted. Speeds stay in knots and
// angles in degrees, as sent.
package nmea

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"

	"traplight/internal/logfile/csv"
	"traplight/internal/logfile/table"
)

// maxLine is how long a line may be, bytes; the standard allows 82.
const maxLine = 64 << 10

// The columns of the table, in order.
const (
	cSpeed = iota
	cLatitude
	cLongitude
	cCourse
	cAltitude
	cSatellites
	cDilution
	cSDLat
	cSDLon
	cSDAlt
	columns
)

var headings = [columns][2]string{
	{"GPS speed", "kn"}, {"GPS latitude", "deg"}, {"GPS longitude", "deg"}, {"GPS course", "deg"}, {"GPS altitude", "m"},
	{"Satellites in use", ""}, {"Horizontal dilution", ""}, {"Position SD north", "m"}, {"Position SD east", "m"}, {"Height SD", "m"},
}

// epoch is what is known of one instant.
type epoch struct {
	clock  float64 // s since midnight; NaN unknown
	day    int64   // days since 1970; 0 unknown
	fix    bool    // some sentence says the fix is valid
	noFix  bool    // some sentence says it is not
	hasRMC bool
	line   int
	cells  [columns]float64
}

func newEpoch(line int) epoch {
	e := epoch{clock: math.NaN(), line: line}
	for i := range e.cells {
		e.cells[i] = math.NaN()
	}
	return e
}

// reader collects rows.
type reader struct {
	book   table.Book
	now    epoch
	open   bool
	values [columns][]float64
	clock  []float64
	days   []int64
	lines  []int
	noFix  int
	total  int
}

// Read reads the sentences of a file.
func Read(name string, src io.Reader) (*table.Table, error) {
	r := &reader{}
	in := bufio.NewReaderSize(src, maxLine)
	var fields [][]byte
	for line := 1; ; line++ {
		text, err := in.ReadSlice('\n')
		if errors.Is(err, bufio.ErrBufferFull) {
			r.book.Add("a line of more than 64 kB was dropped", line)
			for errors.Is(err, bufio.ErrBufferFull) {
				_, err = in.ReadSlice('\n')
			}
			if err == nil {
				continue
			}
			text = nil
		}
		if t := bytes.TrimSpace(text); len(t) > 0 && t[0] != '#' {
			var v verdict
			fields, v = parse(t, fields)
			switch v {
			case good:
				r.total++
				r.sentence(fields, line)
			case badChecksum:
				r.book.Add("wrong checksum; the sentence was dropped", line)
			case noChecksum:
				r.book.Add("no checksum; the sentence was dropped", line)
			default:
				r.book.Add("not a sentence", line)
			}
		}
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, &table.Error{File: name, Line: line, Err: err}
		}
	}
	r.flush()
	return r.finish(name)
}

// sentence takes one sentence into the instant it belongs to.
func (r *reader) sentence(f [][]byte, line int) {
	address := f[0]
	if len(address) < 5 || address[0] == 'P' {
		return // a maker's own
	}
	switch string(address[len(address)-3:]) {
	case "RMC":
		r.rmc(f, line)
	case "GGA":
		r.gga(f, line)
	case "GNS":
		r.gns(f, line)
	case "GLL":
		r.gll(f, line)
	case "VTG":
		if r.open {
			r.set(cCourse, num(f, 1))
			if v := num(f, 5); v == v {
				r.set(cSpeed, v)
			}
		}
	case "ZDA":
		if len(f) > 4 {
			d, m, y := num(f, 2), num(f, 3), num(f, 4)
			if t := clockOf(f, 1); t == t && r.open && r.now.clock == t && d == d && m == m && y == y && r.now.day == 0 {
				r.now.day = csv.Days(int(y), int(m), int(d))
			}
		}
	case "GST":
		if t := clockOf(f, 1); r.open && (t != t || t == r.now.clock) {
			r.set(cSDLat, num(f, 6))
			r.set(cSDLon, num(f, 7))
			r.set(cSDAlt, num(f, 8))
		}
	}
}

// at moves to the instant of a sentence with a time; a second RMC of one time is
// another instant.
func (r *reader) at(t float64, rmc bool, line int) {
	if r.open && (r.now.clock != t || rmc && r.now.hasRMC) {
		r.flush()
	}
	if !r.open {
		r.now, r.open = newEpoch(line), true
		r.now.clock = t
	}
	r.now.hasRMC = r.now.hasRMC || rmc
}

// set keeps the first value of a cell.
func (r *reader) set(cell int, v float64) {
	if r.now.cells[cell] != r.now.cells[cell] {
		r.now.cells[cell] = v
	}
}

func (r *reader) rmc(f [][]byte, line int) {
	t := clockOf(f, 1)
	if t != t || len(f) < 10 {
		r.noFix++
		return
	}
	r.at(t, true, line)
	if len(f[2]) == 1 && f[2][0] == 'A' {
		r.now.fix = true
	} else {
		r.now.noFix = true
		return
	}
	// The sentence with the speed is the authority, for the position too: others
	// of the same second may be a tick older.
	r.now.cells[cLatitude], r.now.cells[cLongitude] = math.NaN(), math.NaN()
	r.position(f, 3)
	if v := num(f, 7); v == v {
		r.now.cells[cSpeed] = v
	}
	r.set(cCourse, num(f, 8))
	if d := num(f, 9); d == d && len(f[9]) == 6 {
		n := int(d)
		y := n % 100
		if y < 80 {
			y += 2000
		} else {
			y += 1900
		}
		r.now.day = csv.Days(y, n/100%100, n/10000)
	}
}

func (r *reader) gga(f [][]byte, line int) {
	t := clockOf(f, 1)
	if t != t || len(f) < 10 {
		return
	}
	r.at(t, false, line)
	if q := num(f, 6); !(q > 0) {
		r.now.noFix = true
		return
	}
	r.now.fix = true
	r.position(f, 2)
	r.set(cSatellites, num(f, 7))
	r.set(cDilution, num(f, 8))
	r.set(cAltitude, num(f, 9))
}

func (r *reader) gns(f [][]byte, line int) {
	t := clockOf(f, 1)
	if t != t || len(f) < 10 {
		return
	}
	r.at(t, false, line)
	if len(bytes.Trim(f[6], "N")) == 0 {
		r.now.noFix = true
		return
	}
	r.now.fix = true
	r.position(f, 2)
	r.set(cSatellites, num(f, 7))
	r.set(cDilution, num(f, 8))
	r.set(cAltitude, num(f, 9))
}

func (r *reader) gll(f [][]byte, line int) {
	t := clockOf(f, 5)
	if t != t || len(f) < 7 {
		return
	}
	r.at(t, false, line)
	if len(f[6]) != 1 || f[6][0] != 'A' {
		r.now.noFix = true
		return
	}
	r.now.fix = true
	r.position(f, 1)
}

// position takes latitude and longitude from four fields.
func (r *reader) position(f [][]byte, at int) {
	if len(f) < at+4 {
		return
	}
	lat, okLat := angle(f[at], f[at+1], 'N', 'S', 90)
	lon, okLon := angle(f[at+2], f[at+3], 'E', 'W', 180)
	if okLat && okLon {
		r.set(cLatitude, lat)
		r.set(cLongitude, lon)
	}
}

// angle reads degrees and minutes in one number, ddmm.mmmm.
func angle(b, side []byte, plus, minus byte, most float64) (float64, bool) {
	v, ok := csv.Number(b)
	if !ok || v < 0 || len(side) != 1 || side[0] != plus && side[0] != minus {
		return 0, false
	}
	deg := math.Floor(v / 100)
	minutes := v - 100*deg
	if minutes >= 60 {
		return 0, false
	}
	v = deg + minutes/60
	if v > most {
		return 0, false
	}
	if side[0] == minus {
		v = -v
	}
	return v, true
}

// num is a field as a number, NaN when it is empty or none.
func num(f [][]byte, i int) float64 {
	if i >= len(f) {
		return math.NaN()
	}
	v, ok := csv.Number(f[i])
	if !ok || math.IsInf(v, 0) {
		return math.NaN()
	}
	return v
}

// clockOf is a field hhmmss.sss as seconds since midnight, NaN when it is none.
func clockOf(f [][]byte, i int) float64 {
	if i >= len(f) || len(f[i]) < 6 {
		return math.NaN()
	}
	var whole [3]int
	for k := range 3 {
		a, b := f[i][2*k]-'0', f[i][2*k+1]-'0'
		if a > 9 || b > 9 {
			return math.NaN()
		}
		whole[k] = int(a)*10 + int(b)
	}
	if whole[0] > 23 || whole[1] > 59 || whole[2] > 60 {
		return math.NaN()
	}
	// The seconds' digits and what follows as one decimal, so that it is rounded
	// once.
	tail, ok := csv.Number(f[i][6:])
	if len(f[i]) == 6 {
		tail, ok = 0, true
	}
	if !ok || tail < 0 || tail >= 1 {
		return math.NaN()
	}
	digits := max(0, len(f[i])-7)
	if digits > 9 {
		digits = 9
	}
	scale := math.Pow10(digits)
	return math.Round(float64(whole[0]*3600+whole[1]*60+whole[2])*scale+tail*scale) / scale
}

// flush ends an instant.
func (r *reader) flush() {
	if !r.open {
		return
	}
	r.open = false
	e := &r.now
	if !e.fix || e.noFix || e.cells[cSpeed] != e.cells[cSpeed] && e.cells[cLatitude] != e.cells[cLatitude] {
		r.noFix++
		return
	}
	for i, v := range e.cells {
		r.values[i] = append(r.values[i], v)
	}
	r.clock = append(r.clock, e.clock)
	r.days = append(r.days, e.day)
	r.lines = append(r.lines, e.line)
}

// finish makes the table.
func (r *reader) finish(name string) (*table.Table, error) {
	n := len(r.clock)
	if n == 0 {
		return nil, &table.Error{File: name, Err: table.ErrNoRows, Reason: fmt.Sprintf("%d sentences, none of them with a position fix", r.total)}
	}
	t := &table.Table{Format: "nmea", Meta: map[string]string{}, Rows: n, Clock: 0, Exact: true, Parts: []table.Part{{Row: 0}}}
	clock := table.Column{Name: "UTC", Kind: table.TimeOfDay, Values: r.clock, Period: 86400}
	dated := 0
	for _, d := range r.days {
		if d != 0 {
			dated++
		}
	}
	if 2*dated > n {
		// Instants without a date take their neighbour's.
		last := int64(0)
		for i := range r.days {
			if r.days[i] == 0 {
				r.days[i] = last
			}
			last = r.days[i]
		}
		for i := n - 1; i >= 0; i-- {
			if r.days[i] == 0 {
				r.days[i] = last
			}
			last = r.days[i]
		}
		clock.Kind, clock.Day, clock.Zone = table.DateTime, r.days[0], "Z"
		clock.Values = make([]float64, n)
		for i := range r.clock {
			clock.Values[i] = r.clock[i] + float64(r.days[i]-clock.Day)*86400
		}
	}
	t.Columns = append(t.Columns, clock)
	for i, h := range headings {
		used := false
		for _, v := range r.values[i] {
			if v == v {
				used = true
				break
			}
		}
		if used {
			t.Columns = append(t.Columns, table.Column{Name: h[0], Unit: h[1], Values: r.values[i]})
		}
	}
	if r.noFix > 0 {
		r.book.Add(fmt.Sprintf("%d instants without a valid fix were dropped", r.noFix), 0)
	}
	t.Notes = r.book.Sentences()
	return t, nil
}
