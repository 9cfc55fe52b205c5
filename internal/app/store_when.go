package app

import (
	"slices"
	"strings"
	"time"

	"traplight/internal/store"
)

// startForms are the ways in which logs state their start.
var startForms = []string{
	time.RFC3339Nano, "2006-01-02T15:04:05.999999999", "2006-01-02 15:04:05.999999999", "2006-01-02T15:04", "2006-01-02 15:04",
}

// momentOf is the local time of something at t, s on the log's own clock, from the log's
// start: a time of day counts from the first sample's midnight, other clocks from the
// start. A start without a time of day gives the day alone, one without a date nothing.
func momentOf(start string, t float64) string {
	start = strings.TrimSpace(start)
	for _, form := range startForms {
		at, err := time.Parse(form, start)
		if err != nil {
			continue
		}
		midnight := at.Add(-sinceMidnight(at))
		// A clock of the day shows at least the start's time of day; one that counts
		// from the start of the recording would have to run for hours to do so.
		base := at
		if t >= sinceMidnight(at).Seconds()-1 {
			base = midnight
		}
		return base.Add(time.Duration(t * float64(time.Second))).Format("2006-01-02T15:04:05")
	}
	if _, err := time.Parse("2006-01-02", start); err == nil {
		return start
	}
	return ""
}

func sinceMidnight(t time.Time) time.Duration {
	return time.Duration(t.Hour())*time.Hour + time.Duration(t.Minute())*time.Minute + time.Duration(t.Second())*time.Second + time.Duration(t.Nanosecond())
}

// dateByOthers dates the passes of a log of which nothing is known by one of which it is:
// the log's clock tells how long they lie apart.
func dateByOthers(passes []store.PassRow) {
	dated := slices.Clone(passes)
	for i := range passes {
		p := &passes[i]
		if p.RunAt != "" || p.Launch == nil {
			continue
		}
		for _, o := range dated {
			at, err := time.Parse("2006-01-02T15:04:05", o.RunAt)
			if err != nil {
				at, err = time.Parse("2006-01-02T15:04", o.RunAt)
			}
			if err == nil && o.Launch != nil {
				p.RunAt = at.Add(time.Duration((*p.Launch - *o.Launch) * float64(time.Second))).Format("2006-01-02T15:04")
				break
			}
		}
	}
}

// aDay is from which reading on a clock is taken for a time of day, s: one that counts from
// the start of a recording would have to run for as many hours before the launch.
const aDay = 6 * 3600

// dateByAdding dates the passes of a log that tells no date, and whose notes do not, by the
// moment when it was added: in the pits that is soon after the pass, and the passes added
// before it are then its history. A clock of the day keeps its time. Notes that say when the
// pass was run replace it.
func dateByAdding(passes []store.PassRow, added time.Time) {
	added = added.Local()
	var first *float64
	for i := range passes {
		p := &passes[i]
		if p.RunAt != "" {
			continue
		}
		at := added
		switch {
		case p.Launch != nil && *p.Launch >= aDay:
			midnight := time.Date(added.Year(), added.Month(), added.Day(), 0, 0, 0, 0, added.Location())
			// A clock that shows what is still to come is of another day or zone: then the
			// order in which logs were added tells more.
			if day := midnight.Add(time.Duration(*p.Launch * float64(time.Second))); !day.After(added) {
				at = day
			}
		case p.Launch != nil && first == nil:
			first = p.Launch
		case p.Launch != nil:
			at = at.Add(time.Duration((*p.Launch - *first) * float64(time.Second)))
		}
		p.RunAt = at.Format(store.AddedForm)
	}
}
