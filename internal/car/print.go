package car

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"traplight/internal/quantity"
)

// TOML prints the sheet complete: what was stated and what was assumed, each with
// its standard deviation, so that reading it gives the same car without one assumption.
// It serves to keep with a forecast exactly what it was made with.
func (s *Sheet) TOML() []byte {
	w := &written{tyre: map[string]*wheelText{}}
	t := *s // the fields below point into a copy
	fields := sheetFields(&t, w)
	w.driven, w.injectorCount = string(t.Driven), t.InjectorCount
	w.downFront, w.downRear = t.LiftFront, t.LiftRear
	w.tyre["driven_"].size, w.tyre["driven_"].rolling = t.TyreSize, t.TyreRadius
	if t.Driven != AllDriven {
		w.tyre["undriven_"].rolling = t.UndrivenRadius
	}
	if t.Nitrous.Wet {
		w.nitrousKind = "wet"
	} else if t.Nitrous.Flow > 0 {
		w.nitrousKind = "dry"
	}
	if t.Nitrous.BottlePressure != 0 {
		w.bottlePressure = t.Nitrous.BottlePressure + atmosphere
	}
	var b strings.Builder
	table := ""
	for _, f := range inOrder(fields) {
		lines := f.print()
		if len(lines) == 0 {
			continue
		}
		if f.table != table {
			fmt.Fprintf(&b, "\n[%s]\n", f.table)
			table = f.table
		}
		for _, l := range lines {
			b.WriteString(l + "\n")
		}
	}
	if len(s.Channels) > 0 {
		b.WriteString("\n[channels]\n")
		for _, k := range slices.Sorted(maps.Keys(s.Channels)) {
			fmt.Fprintf(&b, "%s = %s\n", quote(k), quote(s.Channels[k]))
		}
	}
	return []byte(b.String())
}

// print gives the field's lines in its first unit; none for what is not stated.
func (f *field) print() []string {
	u := plain.units[0]
	if len(f.dim.units) > 0 {
		u = f.dim.units[0]
	}
	k := f.mainKey()
	num := func(si float64) string {
		return strconv.FormatFloat((si-u.offset)/u.factor, 'g', -1, 64)
	}
	switch v := f.dst.(type) {
	case *string:
		if *v != "" {
			return []string{k + " = " + quote(*v)}
		}
	case *bool:
		if *v {
			return []string{k + " = true"}
		}
	case *int:
		if *v != 0 {
			return []string{fmt.Sprintf("%s = %d", k, *v)}
		}
	case *[]int:
		if len(*v) > 0 {
			parts := make([]string, len(*v))
			for i, n := range *v {
				parts[i] = strconv.Itoa(n)
			}
			return []string{k + " = [" + strings.Join(parts, ", ") + "]"}
		}
	case *float64:
		if *v != 0 && !math.IsNaN(*v) {
			return []string{k + " = " + num(*v)}
		}
	case *[]float64:
		if len(*v) > 0 {
			parts := make([]string, len(*v))
			for i, x := range *v {
				parts[i] = num(x)
			}
			return []string{k + " = [" + strings.Join(parts, ", ") + "]"}
		}
	case *quantity.Estimate:
		if !missing(*v) {
			return []string{
				k + " = " + num(v.Value),
				key(f.stems[0]+"_sd", u.suffix, f.tail) + " = " + strconv.FormatFloat(v.SD/u.factor, 'g', -1, 64),
			}
		}
	}
	return nil
}

// quote writes a TOML basic string.
func quote(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range s {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r < 0x20 || r == 0x7f:
			fmt.Fprintf(&b, `\u%04X`, r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}
