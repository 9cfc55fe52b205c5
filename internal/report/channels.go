package report

import (
	"fmt"
	"io"
	"strings"

	"traplight/internal/dictionary"
	"traplight/internal/logfile"
)

// Channels describes a log's channels.
func Channels(l *logfile.Log, set *dictionary.Set) LogInfo { return logInfo(l, set) }

// WriteChannels prints the channels as a table, with what was assumed below.
func WriteChannels(w io.Writer, info LogInfo, notes []string) error {
	var b strings.Builder
	head := info.File
	if info.Start != nil {
		head += " · " + *info.Start
	}
	if info.DurationS != nil {
		head += fmt.Sprintf(" · %.1f s", *info.DurationS)
	}
	b.WriteString(head + "\n\n")
	var t table
	t.leftColumn("channel")
	t.leftColumn("quantity")
	t.leftColumn("unit")
	t.column("rate", "Hz")
	t.column("sure", "%")
	t.leftColumn("problems")
	for _, c := range info.Channels {
		q := "not recognised"
		if c.Quantity != nil {
			q = *c.Quantity
			if c.Index != nil {
				q += fmt.Sprintf("[%d]", *c.Index)
			}
		}
		rate := ""
		if c.RateHz != nil {
			rate = fmt.Sprintf("%.3g", *c.RateHz)
		}
		t.row(c.Name, q, c.Unit, rate, fmt.Sprintf("%.0f", 100*c.Confidence), strings.Join(c.Problems, "; "))
	}
	t.write(&b, "  ")
	if len(notes) > 0 {
		b.WriteString("\n")
	}
	for _, n := range notes {
		b.WriteString(wrap("- "+n, "  ", "  ", 100))
	}
	_, err := io.WriteString(w, b.String())
	return err
}
