package app

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"traplight/internal/quantity"
	"traplight/internal/report"
	"traplight/internal/store"
)

// WritePasses prints a list of passes for people; units as of a report.
func WritePasses(w io.Writer, list []store.Pass, units string) error {
	world := report.World(units, "")
	rows := [][]string{{"pass", "car", "event", "when", "trap", "1/2 mile", "verdict", "log"}}
	for _, p := range list {
		log := p.File
		if p.Number > 0 {
			log += fmt.Sprintf(":%d", p.Number+1)
		}
		name := p.Name
		if p.NoteKey != "" {
			name += " (" + p.NoteKey + ")"
		}
		rows = append(rows, []string{
			name, p.Car, p.Event, whenRun(p),
			estimate(world, quantity.DimSpeed, p.TrapSpeed, p.TrapSpeedSD, p.Complete),
			estimate(world, quantity.DimTime, p.HalfMile, p.HalfMileSD, p.Complete),
			p.Verdict, log,
		})
	}
	return table(w, rows, "llllrrll")
}

// whenRun is when a pass was run, for people, or that nobody said so.
func whenRun(p store.Pass) string {
	at := report.When(toMinute(p.RunAt))
	if p.ByAdding {
		return at + " (added)"
	}
	return at
}

// toMinute leaves the seconds out of a moment, which nobody needs to tell passes apart.
func toMinute(at string) string {
	if len(at) > len("2033-06-11T15:25") {
		at = at[:len("2033-06-11T15:25")]
	}
	return at
}

// estimate prints a number with its spread; "not run out" when there is none because the
// pass was not finished.
func estimate(w quantity.World, d quantity.Dimension, value, sd *float64, complete bool) string {
	switch {
	case value == nil && !complete:
		return "not run out"
	case value == nil:
		return "–"
	case sd == nil:
		return w.Text(d, *value)
	}
	return w.Estimate(d, quantity.Estimate{Value: *value, SD: *sd})
}

// WriteEvents prints a list of events.
func WriteEvents(w io.Writer, list []store.Event) error {
	rows := [][]string{{"event", "first day", "last day", "passes", "cars"}}
	day := func(at string) string { return at[:min(len(at), len("2006-01-02"))] }
	for _, e := range list {
		rows = append(rows, []string{e.Name, day(e.First), day(e.Last), fmt.Sprint(e.Passes), strings.Join(e.Cars, ", ")})
	}
	return table(w, rows, "lllrl")
}

// WriteCars prints a list of cars.
func WriteCars(w io.Writer, list []store.Car) error {
	rows := [][]string{{"car", "sheet revisions", "passes", "last run"}}
	for _, c := range list {
		rows = append(rows, []string{c.Name, fmt.Sprint(c.Revisions), fmt.Sprint(c.Passes), strings.Replace(c.LastRun, "T", " ", 1)})
	}
	return table(w, rows, "lrrl")
}

// table prints rows in columns, each aligned left (l) or right (r). A column in which
// nothing stands is left out.
func table(w io.Writer, rows [][]string, align string) error {
	width := make([]int, len(align))
	used := make([]bool, len(align))
	for i, r := range rows {
		for k, cell := range r {
			width[k] = max(width[k], utf8.RuneCountInString(cell))
			used[k] = used[k] || i > 0 && cell != ""
		}
	}
	for _, r := range rows {
		var b strings.Builder
		for k, cell := range r {
			if !used[k] && len(rows) > 1 {
				continue
			}
			if b.Len() > 0 {
				b.WriteString("  ")
			}
			pad := strings.Repeat(" ", width[k]-utf8.RuneCountInString(cell))
			if align[k] == 'r' {
				cell, pad = pad+cell, ""
			}
			b.WriteString(cell + pad)
		}
		if _, err := fmt.Fprintln(w, strings.TrimRight(b.String(), " ")); err != nil {
			return err
		}
	}
	return nil
}
