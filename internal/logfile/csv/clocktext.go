package csv

import "traplight/internal/logfile/table"

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
func parseClock(b []byte, ord order) (c civil, ok bool) {
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
