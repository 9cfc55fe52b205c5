package web

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"traplight/internal/quantity"
	"traplight/internal/store"
)

func number0(n int) string { return strconv.Itoa(n) }

func digits1(x float64) string { return strconv.FormatFloat(x, 'f', 1, 64) }

// signed1 has a true minus sign.
func signed1(x float64) string { return strings.Replace(fmt.Sprintf("%+.1f", x), "-", "−", 1) }

// signed prints a difference with its sign and its spread, by the digits that the spread
// supports; nothing is ever minus nothing. si and sd are in the SI unit of d.
func signed(w quantity.World, d quantity.Dimension, si, sd float64) string {
	n, spread, _ := w.Parts(d, si, sd)
	switch {
	case !strings.ContainsAny(n, "123456789"):
		n = strings.TrimPrefix(n, "-")
	case !strings.HasPrefix(n, "-"):
		n = "+" + n
	}
	n = strings.Replace(n, "-", "−", 1)
	if spread != "" {
		n += " ± " + spread
	}
	return n
}

// clockOf is the time of day of a moment as kept in the store.
func clockOf(at string) string {
	at = strings.Replace(at, " ", "T", 1)
	if len(at) >= 16 {
		return at[11:16]
	}
	return ""
}

// whenOf is the time of a pass as notes state it, to the second.
func whenOf(p store.Pass) string {
	return strings.Replace(p.RunAt[:min(len("2033-06-11T14:09:30"), len(p.RunAt))], "T", " ", 1)
}

// momentOf puts a moment of the store's clock (UTC) into the local one's words.
func momentOf(at string) string {
	t, err := time.Parse(time.RFC3339, at)
	if err != nil {
		return at
	}
	return t.Local().Format("2 January 2006, 15:04")
}

// dayOf puts "2033-06-11" into words.
func dayOf(at string) string {
	if len(at) < 10 {
		return "no date known"
	}
	t, err := time.Parse("2006-01-02", at[:10])
	if err != nil {
		return at[:10]
	}
	return t.Format("Monday 2 January 2006")
}

// quantityWords is what a quantity of a log is called on the pages: its name in the trade's
// words where the key abbreviates. Wheels keep their corner at the end.
func quantityWords(key string) string {
	switch quantity.Name(key) {
	case quantity.GPSSpeed:
		return "satellite speed"
	case quantity.AccelerationLong:
		return "acceleration along the car"
	case quantity.AccelerationLat:
		return "acceleration across the car"
	}
	return strings.ReplaceAll(key, "_", " ")
}
