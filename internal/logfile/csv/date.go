package csv

import "bytes"

// order is in which order a date's three numbers stand.
type order int

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
