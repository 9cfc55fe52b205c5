package logfile

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"traplight/internal/logfile/table"
)

// start tells when the log began, as far as its clock or its metadata know; note says where
// the date could be another one, "" where it could not.
func start(cc *clockColumn, t *table.Table) (began, note string) {
	if cc.day != 0 {
		at := time.Unix(cc.day*86400, 0).UTC().Add(time.Duration(cc.t[0] * 1e9))
		return at.Format("2006-01-02T15:04:05") + cc.zone, ""
	}
	date, clock := "", ""
	for _, k := range slices.Sorted(maps.Keys(t.Meta)) {
		v := t.Meta[k]
		low := strings.ToLower(k)
		for _, w := range []string{"date", "recorded", "start", "datum", "fecha", "data", "begin", "session"} {
			if strings.Contains(low, w) {
				if d, c, ok := splitStart(v); ok {
					date, note = d, eitherDay(v, d)
					if c != "" {
						clock = c
					}
				}
			}
		}
		if slices.Contains(dayNames, low) && date == "" {
			if d, c, ok := splitStart(v); ok {
				date, note = d, eitherDay(v, d)
				if c != "" {
					clock = c
				}
			}
		}
		if slices.Contains(timeNames, low) && clock == "" {
			clock = clockOf(v)
		}
	}
	if date == "" {
		return "", ""
	}
	if clock == "" {
		return date, note
	}
	return date + "T" + clock, note
}

// Names of a line that tells the day alone, and the time of day alone.
var (
	dayNames  = []string{"day", "tag", "jour", "día", "dia", "giorno", "dag", "dzień", "den"}
	timeNames = []string{"time", "zeit", "heure", "hora", "ora", "tijd", "tid", "start", "start time", "started", "started at", "begin", "startzeit", "beginn"}
)

// clockOf is a time of day as "15:04:05", "" where v is none.
func clockOf(v string) string {
	for _, day := range []string{"2000-01-01 ", "1/1/2000 "} { // the second has the forms with AM and PM
		if _, c, ok := splitStart(day + strings.TrimSpace(v)); ok {
			return c
		}
	}
	return ""
}

// eitherDay says so where a date in slashes that was read day first could have its month first.
func eitherDay(said, date string) string {
	at, err := time.Parse("2006-01-02", date)
	if err != nil || !strings.Contains(said, "/") || at.Day() > 12 || at.Day() == int(at.Month()) || strings.HasPrefix(strings.TrimSpace(said), date[:4]) {
		return ""
	}
	if _, _, half := splitHalfDay(strings.TrimSpace(said)); half {
		return ""
	}
	other := time.Date(at.Year(), time.Month(at.Day()), int(at.Month()), 0, 0, 0, 0, time.UTC)
	return fmt.Sprintf("the date %q is taken for %s; where it means %s, say so in the notes (when)", strings.TrimSpace(said), at.Format("2 January 2006"), other.Format("2 January"))
}

// The usual ways of writing a date; of those with slashes the day first, as most of the world
// has it, and the month first with a clock of half days.
var (
	dateForms     = []string{"2006-1-2", "2.1.2006", "2/1/2006", "1/2/2006", "2006/1/2", "2 Jan 2006", "2 January 2006", "Jan 2, 2006", "January 2, 2006", "2-Jan-2006"}
	halfDayForms  = []string{"1/2/2006", "2006-1-2", "Jan 2, 2006", "January 2, 2006", "2 Jan 2006"}
	clockForms    = []string{" 15:04:05", " 15:04", ""}
	halfDayClocks = []string{" 3:04:05 PM", " 3:04 PM"}
)

// splitStart understands the usual ways of writing a date and time.
func splitStart(s string) (date, clock string, ok bool) {
	s = strings.TrimSpace(s)
	if len(s) > 10 && s[10] == 'T' {
		s = s[:10] + " " + s[11:]
	}
	if date, clock, ok = splitHalfDay(s); ok {
		return date, clock, ok
	}
	for _, d := range dateForms {
		for _, c := range clockForms {
			at, err := time.Parse(d+c, s)
			switch {
			case err != nil:
			case c == "":
				return at.Format("2006-01-02"), "", true
			default:
				return at.Format("2006-01-02"), at.Format("15:04:05"), true
			}
		}
	}
	return "", "", false
}

// splitHalfDay reads a date with a clock of half days ("6/11/2033 3:25:10 PM").
func splitHalfDay(s string) (date, clock string, ok bool) {
	up := strings.ToUpper(s)
	if !strings.HasSuffix(up, "AM") && !strings.HasSuffix(up, "PM") {
		return "", "", false
	}
	s = strings.TrimSpace(s[:len(s)-2]) + " " + up[len(up)-2:]
	for _, d := range halfDayForms {
		for _, c := range halfDayClocks {
			if at, err := time.Parse(d+c, s); err == nil {
				return at.Format("2006-01-02"), at.Format("15:04:05"), true
			}
		}
	}
	return "", "", false
}
