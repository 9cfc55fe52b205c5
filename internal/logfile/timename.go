package logfile

import (
	"strings"
	"unicode"
)

// timeWords are names of time columns, in letters only, as they begin or as
// whole words. (Languages: en, de, fr, es, it, pt, nl, sv/da/no, pl, cs, ja, ru.)
var timeWords = map[string]float64{
	"time": 1, "timestamp": 1, "zeit": 1, "zeitstempel": 1, "temps": 1, "tempo": 1, "tiempo": 1, "tid": 1, "tijd": 1, "tijdstip": 1,
	"czas": 1, "cas": 1, "čas": 1, "hora": 1, "heure": 1, "ora": 1, "uhrzeit": 1, "clock": 1, "elapsed": 0.9, "seconds": 0.9, "secs": 0.8, "sec": 0.8, "millis": 0.8, "ms": 0.6,
	"milliseconds": 0.8, "t": 0.7, "s": 0.3, "datetime": 1, "datum": 0.7, "date": 0.7, "fecha": 0.7, "data": 0.4, "horodatage": 1, "jikan": 1, "jikoku": 1, "時間": 1, "時刻": 1, "経過時間": 1, "タイム": 0.8, "время": 1,
	"runtime": 0.6, "utc": 0.7, "gpstime": 0.6, "boottime": 0.9, "tempus": 0.5, "zaman": 0.8, "sekunden": 0.8, "secondes": 0.8, "segundos": 0.8, "secondi": 0.8, "stamp": 0.8, "aika": 0.9,
}

// nameScore says how much a name sounds like a time.
func nameScore(name string) float64 {
	words := strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return !unicode.IsLetter(r) })
	best := 0.0
	for _, w := range words {
		s := timeWords[w]
		// "engine run time", "lap time" and the like are times of something.
		if len(words) > 1 {
			s *= 0.8
		}
		best = max(best, s)
	}
	if best == 0 {
		low := strings.ToLower(name)
		for _, w := range []string{"time", "zeit", "temps", "時間", "時刻"} {
			if strings.Contains(low, w) {
				best = 0.5
			}
		}
	}
	return best
}
