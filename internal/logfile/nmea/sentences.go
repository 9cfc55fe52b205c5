package nmea

import (
	"bytes"
	"math"

	"traplight/internal/logfile/csv"
)

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
		r.fix(f, line, aboveZero)
	case "GNS":
		r.fix(f, line, notAllN)
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

// fix takes a GGA or GNS sentence, which differ only in how they say that there is
// none.
func (r *reader) fix(f [][]byte, line int, hasFix func(quality []byte) bool) {
	t := clockOf(f, 1)
	if t != t || len(f) < 10 {
		return
	}
	r.at(t, false, line)
	if !hasFix(f[6]) {
		r.now.noFix = true
		return
	}
	r.now.fix = true
	r.position(f, 2)
	r.set(cSatellites, num(f, 7))
	r.set(cDilution, num(f, 8))
	r.set(cAltitude, num(f, 9))
}

// aboveZero is the quality of a GGA sentence with a fix, a number.
func aboveZero(quality []byte) bool {
	q, ok := csv.Number(quality)
	return ok && q > 0
}

// notAllN is the mode of a GNS sentence with a fix: a letter for each system of
// satellites, N for none.
func notAllN(mode []byte) bool { return len(bytes.Trim(mode, "N")) > 0 }

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
