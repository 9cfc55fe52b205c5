package nmea

import (
	"math"

	"traplight/internal/logfile/csv"
)

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
