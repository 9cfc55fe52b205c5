package csv

import "bytes"

// parseTimeOfDay understands 15:02, 15:02:11, 15:02:11.250, 3:02:11 PM, 02:11.5,
// 10h21m03, 10h21m03.5s and, behind a date (dated), 150211.25, with an optional zone. second is
// s since midnight; short says that only minutes and seconds stand there.
func parseTimeOfDay(b []byte, dated bool) (second float64, short bool, zone string, ok bool) {
	n, k, rest, ok := clockNumbers(b, dated)
	if !ok {
		return 0, false, "", false
	}
	frac, decimals, rest, ok := clockFraction(rest, k)
	if !ok {
		return 0, false, "", false
	}
	h, m, s := n[0], n[1], n[2]
	if k == 2 {
		h, m, s, short = 0, n[0], n[1], true
	}
	rest = bytes.TrimSpace(rest)
	if string(rest) == "s" && k == 3 { // 10h21m03s
		rest = nil
	}
	if half := halfOfDay(rest); half != 0 {
		if short { // before AM or PM two numbers are hours and minutes
			h, m, s, short = m, s, 0, false
		}
		switch {
		case half == 'p' && h < 12:
			h += 12
		case half == 'a' && h == 12:
			h = 0
		}
		rest = nil
	}
	if len(rest) > 0 {
		if !isZone(rest) {
			return 0, false, "", false
		}
		zone = string(rest)
	}
	if h > 47 || m > 59 || s > 60 { // times may run on past midnight
		return 0, false, "", false
	}
	// One correctly rounded division, as for plain numbers.
	total := (h*3600+m*60+s)*uint64(pow10[decimals]) + frac
	return float64(total) / pow10[decimals], short, zone, true
}

// clockNumbers reads two or three numbers of at most two digits with marks
// between them, or behind a date six digits without. k is how many there are.
func clockNumbers(b []byte, dated bool) (n [3]uint64, k int, rest []byte, ok bool) {
	i, marked := 0, false
	for k < 3 && i < len(b) && b[i]-'0' < 10 {
		start := i
		for i < len(b) && b[i]-'0' < 10 {
			n[k] = n[k]*10 + uint64(b[i]-'0')
			i++
		}
		width := i - start
		if k == 0 && width == 6 && dated { // hhmmss
			return [3]uint64{n[0] / 10000, n[0] / 100 % 100, n[0] % 100}, 3, b[i:], true
		}
		if width > 2 {
			return n, k, nil, false
		}
		k++
		if i == len(b) || !isOneOf(b[i], ':', 'h', 'm') || k == 3 {
			break
		}
		marked = true
		i++
	}
	return n, k, b[i:], marked && k >= 2
}

// clockFraction reads the decimals of the seconds behind k numbers; a third colon
// may stand for the mark. Nine decimals count.
func clockFraction(b []byte, k int) (frac uint64, decimals int, rest []byte, ok bool) {
	if len(b) == 0 || !isOneOf(b[0], '.', ',') && !(b[0] == ':' && k == 3) {
		return 0, 0, b, true
	}
	if len(b) == 1 {
		return 0, 0, nil, false
	}
	i := 1
	for i < len(b) && b[i]-'0' < 10 {
		if decimals < 9 {
			frac = frac*10 + uint64(b[i]-'0')
			decimals++
		}
		i++
	}
	return frac, decimals, b[i:], true
}

// halfOfDay is 'a' for AM, 'p' for PM, in whatever case and with or without
// points, else 0.
func halfOfDay(b []byte) byte {
	if len(b) < 2 || len(b) > 5 {
		return 0
	}
	switch low := bytes.ToLower(bytes.ReplaceAll(b, []byte("."), nil)); string(low) {
	case "am", "pm":
		return low[0]
	}
	return 0
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
