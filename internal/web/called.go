package web

import (
	"fmt"
	"regexp"
	"strings"
	"time"

	"traplight/internal/store"
)

var numbered = regexp.MustCompile(`-(\d{4}-\d\d-\d\d)-(\d+)$`)

// called is what people call a pass among others (itself may be one of them): "pass 6" among
// those of one car and day, "Marl, pass 6" of several cars, "pass 6 of 11 June" of
// several days, with the year if they are several; its name where that says nothing of the day.
func called(p store.Pass, among []store.Pass) string {
	m := numbered.FindStringSubmatch(p.Name)
	if m == nil || m[1] != dateOf(p) {
		return p.Name
	}
	text, of, year := "pass\u00a0"+m[2], "", false
	for _, o := range among {
		if at := dateOf(o); at != m[1] {
			of = " of " + dateWords(m[1])
			year = year || len(at) >= 4 && at[:4] != m[1][:4]
		}
		if o.Car != p.Car {
			text = p.Car + ", pass\u00a0" + m[2]
		}
	}
	if !year {
		of = strings.TrimSuffix(of, "\u00a0"+m[1][:4])
	}
	return text + of
}

// calledByFile is what people call a pass among others that is told by its log, with " #2"
// behind it for the log's second; as it is told where none of them is meant.
func calledByFile(told string, among []store.Pass) string {
	for _, p := range among {
		if told == p.File && p.Number == 0 || told == fmt.Sprintf("%s #%d", p.File, p.Number+1) {
			return called(p, among)
		}
	}
	return told
}

// calledThen is what a pass is called on paper, which outlasts the day.
func calledThen(p store.Pass) string {
	name := called(p, nil)
	if name == p.Name {
		return name
	}
	return name + " of " + dateWords(p.RunAt)
}

// dateWords is a date as one says it, "11 June 2033"; at begins with it as ISO 8601 has it.
func dateWords(at string) string {
	t, err := time.Parse(time.DateOnly, at[:min(10, len(at))])
	if err != nil {
		return at
	}
	return t.Format("2\u00a0January\u00a02006")
}

// calledAll gives each of the passes its name among them.
func calledAll(passes []store.Pass) (names []string) {
	for _, p := range passes {
		names = append(names, called(p, passes))
	}
	return names
}
