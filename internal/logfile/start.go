package logfile

import (
	"strings"
	"time"

	"traplight/internal/logfile/table"
)

// start tells when the log began, as far as its clock or its metadata know.
func start(cc *clockColumn, t *table.Table) string {
	if cc.day != 0 {
		at := time.Unix(cc.day*86400, 0).UTC().Add(time.Duration(cc.t[0] * 1e9))
		return at.Format("2006-01-02T15:04:05") + cc.zone
	}
	date, clock := "", ""
	for k, v := range t.Meta {
		low := strings.ToLower(k)
		for _, w := range []string{"date", "recorded", "start", "datum", "fecha", "data", "begin", "session"} {
			if strings.Contains(low, w) {
				if d, c, ok := splitStart(v); ok {
					date = d
					if c != "" {
						clock = c
					}
				}
			}
		}
		if (low == "time" || low == "zeit" || low == "heure" || low == "hora") && clock == "" {
			if _, c, ok := splitStart("2000-01-01 " + v); ok {
				clock = c
			}
		}
	}
	if date == "" {
		return ""
	}
	if clock == "" {
		return date
	}
	return date + "T" + clock
}

// splitStart understands the usual ways of writing a date and time.
func splitStart(s string) (date, clock string, ok bool) {
	s = strings.TrimSpace(strings.Replace(s, "T", " ", 1))
	for _, f := range []string{"2006-01-02 15:04:05", "2006-01-02 15:04", "2006-01-02", "02.01.2006 15:04:05", "02.01.2006 15:04", "02.01.2006",
		"02/01/2006 15:04:05", "02/01/2006", "01/02/2006 15:04:05", "01/02/2006", "2 Jan 2006 15:04:05", "2 Jan 2006", "2006/01/02 15:04:05", "2006/01/02"} {
		if at, err := time.Parse(f, s); err == nil {
			if strings.Contains(f, "15") {
				return at.Format("2006-01-02"), at.Format("15:04:05"), true
			}
			return at.Format("2006-01-02"), "", true
		}
	}
	return "", "", false
}
