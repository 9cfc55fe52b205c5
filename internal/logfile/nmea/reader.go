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
	"io"
	"math"

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
