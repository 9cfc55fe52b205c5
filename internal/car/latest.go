package car

import (
	"strings"
	"time"
)

// whenForms are the ways in which people write a day, with or without a time.
var whenForms = []string{
	"2006-01-02", "2006-01-02 15:04", "2006-01-02 15:04:05", "2006-01-02T15:04", "2006-01-02T15:04:05",
	time.RFC3339, "2006-01-02 15:04:05.999999999", "2006-01-02T15:04:05.999999999",
}

// parseWhen reads a local date or date and time.
func parseWhen(s string) (time.Time, bool) {
	s = strings.TrimSpace(s)
	for _, f := range whenForms {
		if t, err := time.Parse(f, s); err == nil {
			// All sheets and notes are local: a zone would only shift one against the other.
			return time.Date(t.Year(), t.Month(), t.Day(), t.Hour(), t.Minute(), t.Second(), t.Nanosecond(), time.UTC), true
		}
	}
	return time.Time{}, false
}

// Latest picks the sheet that was true at when (a local date or date and time as
// in the notes): the one with the latest valid_from not after it. A sheet without
// valid_from has been true for ever. With an empty or unreadable when, it is the latest of
// all; when all begin later, the earliest. Of several with the same date the last in
// the list applies. Nil only for an empty list.
func Latest(sheets []*Sheet, when string) *Sheet {
	at, known := parseWhen(when)
	if known && len(strings.TrimSpace(when)) == len("2006-01-02") {
		at = at.Add(24*time.Hour - time.Second) // the whole day
	}
	var best, earliest *Sheet
	var bestFrom, earliestFrom time.Time
	for _, s := range sheets {
		from, _ := parseWhen(s.ValidFrom) // none: the zero time
		if earliest == nil || from.Before(earliestFrom) {
			earliest, earliestFrom = s, from
		}
		if known && from.After(at) {
			continue
		}
		if best == nil || !from.Before(bestFrom) {
			best, bestFrom = s, from
		}
	}
	if best == nil {
		return earliest
	}
	return best
}
