package web

import (
	"fmt"
	"net/url"
	"regexp"
	"strconv"
	"strings"

	"traplight/internal/quantity"
)

// slipField is one figure of the timing slip as it is typed.
type slipField struct{ Name, Label, Unit, Value string }

// slipTimes are the times that a timing slip gives, by their key in the notes.
var slipTimes = []slipField{
	{Name: "slip_60ft_s", Label: "60 ft"}, {Name: "slip_330ft_s", Label: "330 ft"}, {Name: "slip_eighth_s", Label: "1/8 mile"},
	{Name: "slip_1000ft_s", Label: "1000 ft"}, {Name: "slip_quarter_s", Label: "1/4 mile"}, {Name: "slip_half_s", Label: "1/2 mile"},
}

// slipTrap is the field of the trap speed, in the viewer's unit; its key ends in that unit.
const slipTrap = "slip_trap"

var (
	trapLine  = regexp.MustCompile(`(?m)^[ \t]*slip_trap_(mph|kmh|mps)[ \t]*=[ \t]*([0-9.]+)`)
	trapLines = regexp.MustCompile(`(?m)^[ \t]*slip_trap_\w+[ \t]*=.*(\n|$)`)
)

func slipLine(key string) *regexp.Regexp {
	return regexp.MustCompile(`(?m)^[ \t]*` + key + `[ \t]*=[ \t]*(.*?)[ \t]*(#.*)?(\n|$)`)
}

// slipOf reads the timing slip out of an entry of the notes.
func slipOf(entry string, w quantity.World) []slipField {
	out := make([]slipField, 0, len(slipTimes)+1)
	for _, f := range slipTimes {
		f.Unit = "s"
		if m := slipLine(f.Name).FindStringSubmatch(entry); m != nil {
			f.Value = m[1]
		}
		out = append(out, f)
	}
	trap := slipField{Name: slipTrap, Label: "trap", Unit: w.Unit(quantity.DimSpeed).Symbol}
	if m := trapLine.FindStringSubmatch(entry); m != nil {
		trap.Value = m[2]
		if x, err := strconv.ParseFloat(m[2], 64); err == nil && m[1] != trapUnit(w) {
			u := map[string]quantity.World{"mph": quantity.Imperial, "kmh": quantity.Metric}[m[1]]
			trap.Value = plain(w.Of(quantity.DimSpeed, u.SI(quantity.DimSpeed, x)), 2)
		}
	}
	return append(out, trap)
}

// trapUnit is how the key of a trap speed in the viewer's unit ends.
func trapUnit(w quantity.World) string {
	switch w.Name {
	case quantity.Imperial.Name:
		return "mph"
	case quantity.Metric.Name:
		return "kmh"
	}
	return "mps"
}

// withSlip puts what was typed of the timing slip into an entry of the notes; an empty field
// takes its line out, one that was not sent leaves it.
func withSlip(entry string, form url.Values, w quantity.World) (string, error) {
	put := func(field, key string, old *regexp.Regexp) error {
		if !form.Has(field) {
			return nil
		}
		entry = old.ReplaceAllString(entry, "")
		text := strings.TrimSpace(form.Get(field))
		if text == "" {
			return nil
		}
		x, err := typedNumber(strings.ReplaceAll(field, "_", " "), text)
		if err != nil {
			return err
		}
		if entry != "" && !strings.HasSuffix(entry, "\n") {
			entry += "\n"
		}
		entry += fmt.Sprintf("%s = %s\n", key, strconv.FormatFloat(x, 'f', -1, 64))
		return nil
	}
	for _, f := range slipTimes {
		if err := put(f.Name, f.Name, slipLine(f.Name)); err != nil {
			return entry, err
		}
	}
	return entry, put(slipTrap, slipTrap+"_"+trapUnit(w), trapLines)
}
