package web

import (
	"strings"

	"traplight/internal/app"
	"traplight/internal/store"
)

// changed is a line of the store's journal as people read it.
type changed struct {
	At   string
	Said string
}

// changes puts the last few changes into words. What the program did by itself, such as
// working reports out, is left out.
func changes(lines []store.Line, most int) (out []changed) {
	for _, l := range lines {
		if said := changeSaid(l); said != "" && len(out) < most {
			out = append(out, changed{l.At, said})
		}
	}
	return out
}

func changeSaid(l store.Line) string {
	car, what, _ := strings.Cut(l.Subject, ": ")
	switch l.Action {
	case "analyse", "add name", "join logs":
		return ""
	case "add log":
		return l.Subject + " was added"
	case "add sheet":
		return "a sheet of " + l.Subject[:max(0, strings.LastIndex(l.Subject, " "))] + " was kept" // its hash stands behind
	case "add notes":
		return "notes were kept from " + l.Subject
	case "correct channel":
		return "channel " + what + " of " + car + " was settled"
	case "learn":
		switch {
		case what == app.PartsSubject:
			return "the parts of " + car + " were written down"
		case what == turboKey:
			return "the turbo of " + car + " was written down"
		case strings.HasPrefix(what, planSubject("")):
			return "settings were looked for, " + strings.TrimPrefix(what, planSubject(""))
		}
		return ""
	case "record forecast":
		return "the forecast of " + l.Subject + " was written down"
	case "record inspection":
		return "an inspection after " + l.Subject + " was written down"
	case "record score":
		return "the forecast of " + l.Subject + " was scored"
	case "remove":
		return l.Subject + " went into the trash"
	case "restore":
		return l.Subject + " came out of the trash"
	case "remove log", "drop log":
		return "a log was thrown away for good, " + l.Subject
	}
	if kind, ok := strings.CutPrefix(l.Action, "write "); ok {
		kinds := map[string]string{"pass": "the notes of ", "planned": "the settings of ", "strip": "strip ", "event": "event "}
		if said := kinds[kind]; said != "" {
			return said + l.Subject + ": written down"
		}
	}
	return l.Action + " " + l.Subject
}
