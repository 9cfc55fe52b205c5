package web

import (
	"regexp"

	"traplight/internal/store"
)

var numbered = regexp.MustCompile(`-(\d{4}-\d\d-\d\d)-(\d+)$`)

// called is what people call a pass among others (itself may be one of them): "pass 6" among
// those of one car and day, "Marl, pass 6" among those of one day, else its name.
func called(p store.Pass, among []store.Pass) string {
	m := numbered.FindStringSubmatch(p.Name)
	if m == nil || m[1] != dateOf(p) {
		return p.Name
	}
	text := "pass\u00a0" + m[2]
	for _, o := range among {
		switch {
		case dateOf(o) != dateOf(p):
			return p.Name
		case o.Car != p.Car:
			text = p.Car + ", pass\u00a0" + m[2]
		}
	}
	return text
}

// calledAll gives each of the passes its name among them.
func calledAll(passes []store.Pass) (names []string) {
	for _, p := range passes {
		names = append(names, called(p, passes))
	}
	return names
}
