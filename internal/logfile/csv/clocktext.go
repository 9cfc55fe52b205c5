package csv

import (
	"bytes"

	"traplight/internal/logfile/table"
)

// order is in which order a date's three numbers stand.
type order int

const (
	dayFirst order = iota
	monthFirst
	yearFirst
)

// civil is a moment as printed.
type civil struct {
	kind   table.Kind // TimeOfDay, DateTime or Date
	day    int64      // days since 1970-01-01
	second float64    // s since midnight
	short  bool       // minutes and seconds only
	zone   string
}

// parseClock understands a time of day, a date, or both. mark is the decimal
// mark of the file; seconds may use either. ord settles dates such as 3/4/2031.
func parseClock(b []byte, mark byte, ord order) (c civil, ok bool) {
	if len(b) < 4 || len(b) > 64 {
		return c, false
	}
	// Anything but a digit at the start can only be a weekday or a bracket.
	if b[0]-'0' >= 10 {
		return c, false
	}
	datePart, rest := splitDate(b)
	if datePart != nil {
		day, ok := parseDate(datePart, ord)
		if !ok {
			return c, false
		}
		c.day, c.kind = day, table.Date
		if len(rest) == 0 {
			return c, true
		}
	}
	second, short, zone, ok := parseTimeOfDay(rest, datePart != nil)
	if !ok {
		return c, false
	}
	if datePart != nil && short {
		// After a date two numbers are hours and minutes.
		second, short = second*60, false
	}
	c.second, c.short, c.zone = second, short, zone
	if datePart != nil {
		c.kind = table.DateTime
	} else {
		c.kind = table.TimeOfDay
	}
	return c, true
}

// splitDate cuts b behind a leading date, nil when there is none: three groups of
// digits or letters between the same sort of marks ("2031-05-17", "5/17/2031",
// "17 May 2031", "May 17, 2031"), or eight digits before a time.
func splitDate(b []byte) (date, rest []byte) {
	digits := func(i int) int {
		j := i
		for j < len(b) && b[j]-'0' < 10 {
			j++
		}
		return j
	}
	i := digits(0)
	if i == 8 && i < len(b) && isOneOf(b[i], 'T', '-', '_', ' ') { // 20310517T102100
		return b[:8], trimJoint(b[8:])
	}
	groups := 0
	for i = 0; groups < 3 && i < len(b); groups++ {
		if groups > 0 {
			mark := i
			for i < len(b) && isOneOf(b[i], '-', '/', '.', ' ', ',') {
				i++
			}
			if i == mark || i-mark > 2 {
				return nil, b
			}
		}
		start := i
		if i = digits(i); i == start {
			for i < len(b) && (isLetter(b[i]) || b[i] >= 0x80) {
				i++
			}
			if i-start < 3 {
				return nil, b
			}
			if i < len(b) && b[i] == '.' && i+1 < len(b) && b[i+1] == ' ' { // "Mai. 2031"
				i++
			}
		}
		if i-start > 9 {
			return nil, b
		}
	}
	if groups < 3 || i < len(b) && !isOneOf(b[i], 'T', ' ', 't', '_', '-', ',') {
		return nil, b
	}
	return b[:i], trimJoint(b[i:])
}

// trimJoint takes off what stands between a date and a time.
func trimJoint(b []byte) []byte {
	if len(b) == 0 {
		return b
	}
	return bytes.TrimLeft(b[1:], " ,")
}

var months = map[string]int{
	"jan": 1, "feb": 2, "mar": 3, "apr": 4, "may": 5, "jun": 6, "jul": 7, "aug": 8, "sep": 9, "oct": 10, "nov": 11, "dec": 12,
	"mai": 5, "okt": 10, "dez": 12, "fev": 2, "avr": 4, "jui": 6, "aou": 8, "ene": 1, "abr": 4, "ago": 8, "dic": 12, "set": 9, "out": 10, "mag": 5, "giu": 6, "lug": 7, "ott": 10, "gen": 1, "maj": 5, "mrt": 3, "mei": 5,
}

func parseDate(b []byte, ord order) (day int64, ok bool) {
	var n [3]int
	var width [3]int
	k, month := 0, 0
	for i := 0; i < len(b); {
		switch c := b[i]; {
		case c-'0' < 10:
			if k == 3 {
				return 0, false
			}
			for i < len(b) && b[i]-'0' < 10 {
				n[k] = n[k]*10 + int(b[i]-'0')
				width[k]++
				i++
				if width[k] > 8 {
					return 0, false
				}
			}
			k++
		case isLetter(c):
			j := i
			for j < len(b) && (isLetter(b[j]) || b[j] >= 0x80) {
				j++
			}
			if j-i < 3 || month != 0 {
				return 0, false
			}
			if month = months[string(bytes.ToLower(b[i:i+3]))]; month == 0 {
				return 0, false
			}
			i = j
		default:
			i++
		}
	}
	var y, m, d int
	switch {
	case k == 1 && width[0] == 8:
		y, m, d = n[0]/10000, n[0]/100%100, n[0]%100
	case k == 2 && month != 0:
		d, m, y = n[0], month, n[1]
		if width[0] == 4 {
			y, d = n[0], n[1]
		}
	case k != 3:
		return 0, false
	case width[0] == 4 || ord == yearFirst:
		y, m, d = n[0], n[1], n[2]
	case ord == monthFirst:
		m, d, y = n[0], n[1], n[2]
	default:
		d, m, y = n[0], n[1], n[2]
	}
	if y < 100 {
		y += 2000
	}
	if m > 12 && d <= 12 {
		m, d = d, m
	}
	if m < 1 || m > 12 || d < 1 || d > 31 || y < 1900 || y > 2200 {
		return 0, false
	}
	return daysFromCivil(y, m, d), true
}

// daysFromCivil counts the days from 1970-01-01 in the Gregorian calendar.
func daysFromCivil(y, m, d int) int64 {
	if m <= 2 {
		y--
	}
	era := y / 400
	yoe := y - era*400
	mp := (m + 9) % 12
	doy := (153*mp+2)/5 + d - 1
	doe := yoe*365 + yoe/4 - yoe/100 + doy
	return int64(era)*146097 + int64(doe) - 719468
}

// parseTimeOfDay understands 15:02, 15:02:11, 15:02:11.250, 3:02:11 PM, 02:11.5,
// 10h21m03 and, behind a date (dated), 150211.25, with an optional zone.
func parseTimeOfDay(b []byte, dated bool) (second float64, short bool, zone string, ok bool) {
	var n [3]uint64
	k, i := 0, 0
	var frac uint64
	decimals := 0
	sawColon := false
	for k < 3 && i < len(b) && b[i]-'0' < 10 {
		start := i
		for i < len(b) && b[i]-'0' < 10 {
			n[k] = n[k]*10 + uint64(b[i]-'0')
			i++
		}
		width := i - start
		if k == 0 && width == 6 && dated { // hhmmss
			n[0], n[1], n[2] = n[0]/10000, n[0]/100%100, n[0]%100
			k, sawColon = 3, true
			break
		}
		if width > 2 {
			return 0, false, "", false
		}
		k++
		if i < len(b) && (b[i] == ':' || b[i] == 'h' || b[i] == 'm') && k < 3 {
			sawColon = true
			i++
			continue
		}
		break
	}
	if !sawColon || k < 2 {
		return 0, false, "", false
	}
	if i < len(b) && (isOneOf(b[i], '.', ',') || b[i] == ':' && k == 3) {
		i++
		if i == len(b) {
			return 0, false, "", false
		}
		for i < len(b) && b[i]-'0' < 10 {
			if decimals < 9 {
				frac = frac*10 + uint64(b[i]-'0')
				decimals++
			}
			i++
		}
	}
	var h, m, s uint64
	if k == 3 {
		h, m, s = n[0], n[1], n[2]
	} else {
		m, s, short = n[0], n[1], true
	}
	rest := bytes.TrimSpace(b[i:])
	if len(rest) >= 2 && len(rest) <= 5 {
		switch low := bytes.ToLower(bytes.ReplaceAll(rest, []byte("."), nil)); {
		case string(low) == "pm":
			if short {
				h, m, s, short = m, s, 0, false
			}
			if h < 12 {
				h += 12
			}
			rest = nil
		case string(low) == "am":
			if short {
				h, m, s, short = m, s, 0, false
			}
			if h == 12 {
				h = 0
			}
			rest = nil
		}
	}
	if len(rest) > 0 {
		if !isZone(rest) {
			return 0, false, "", false
		}
		zone = string(rest)
	}
	if h > 47 || m > 59 || s > 60 {
		return 0, false, "", false
	}
	// One correctly rounded division, as for plain numbers.
	total := (h*3600+m*60+s)*uint64(pow10[decimals]) + frac
	return float64(total) / pow10[decimals], short, zone, true
}

func isZone(b []byte) bool {
	if len(b) > 12 {
		return false
	}
	if b[0] == '+' || b[0] == '-' {
		for _, c := range b[1:] {
			if c-'0' >= 10 && c != ':' {
				return false
			}
		}
		return len(b) >= 3
	}
	for _, c := range b {
		if c < 'A' || c > 'Z' {
			return false
		}
	}
	// Z, UTC, GMT, CET, CEST and the like.
	return len(b) == 1 || len(b) <= 5 && (b[len(b)-1] == 'T' || string(b) == "UTC")
}
