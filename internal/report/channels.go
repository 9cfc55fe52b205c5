package report

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"traplight/internal/dictionary"
	"traplight/internal/logfile"
	"traplight/internal/prose"
	"traplight/internal/quantity"
)

// Channels describes a log's channels.
func Channels(l *logfile.Log, set *dictionary.Set) LogInfo { return logInfo(l, set) }

// WriteChannels prints the channels as a table with the range of each, in its own unit,
// and a small picture of it over the log; what was assumed stands below.
func WriteChannels(w io.Writer, info LogInfo, set *dictionary.Set, notes []string) error {
	var b strings.Builder
	head := info.File
	if info.Start != nil {
		head += " · " + When(*info.Start)
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
	t.column("from", "")
	t.column("to", "")
	t.leftColumn("looks")
	t.leftColumn("problems")
	for i, c := range info.Channels {
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
		from, to, looks := picture(set, &set.Channels[i])
		t.row(c.Name, q, c.Unit, rate, fmt.Sprintf("%.0f", 100*c.Confidence), from, to, looks, strings.Join(c.Problems, "; "))
	}
	t.write(&b, "  ", 0)
	if len(notes) > 0 {
		b.WriteString("\n")
	}
	for _, n := range notes {
		b.WriteString(prose.Wrap("- "+n, "  ", "  ", 100))
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// picture is a channel's lowest and highest reading in the unit of the log and its course
// over the log in a few letters.
func picture(set *dictionary.Set, c *dictionary.Channel) (from, to, looks string) {
	const letters = 24
	x := c.Trace
	if x.Len() == 0 {
		return "", "", ""
	}
	lo, hi := slices.Min(x.V), slices.Max(x.V)
	sum, count := make([]float64, letters), make([]float64, letters)
	first, span := x.T[0], x.T[x.Len()-1]-x.T[0]
	for i, v := range x.V {
		at := 0
		if span > 0 {
			at = min(letters-1, int(float64(letters)*(x.T[i]-first)/span))
		}
		sum[at] += v
		count[at]++
	}
	steps := []rune("▁▂▃▄▅▆▇█")
	var b strings.Builder
	for i := range sum {
		switch {
		case count[i] == 0:
			b.WriteByte(' ')
		case hi > lo:
			b.WriteRune(steps[min(len(steps)-1, int(float64(len(steps))*(sum[i]/count[i]-lo)/(hi-lo)))])
		default:
			b.WriteRune(steps[0])
		}
	}
	return reading(set, c, lo), reading(set, c, hi), strings.TrimRight(b.String(), " ")
}

// reading is an SI value in the channel's own unit.
func reading(set *dictionary.Set, c *dictionary.Channel, v float64) string {
	if u, ok := quantity.ParseUnit(c.Unit); ok && u.Dim == quantity.DimensionOf(c.Quantity) {
		if c.Gauge && quantity.KeptAbsolute(c.Quantity) {
			v -= set.Barometer
		}
		v = u.Of(v)
	}
	return fmt.Sprintf("%.4g", v)
}
