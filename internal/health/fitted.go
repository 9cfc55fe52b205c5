package health

import (
	"slices"
	"strings"
)

// A sensor that the crew changed reads otherwise, and the sheet says so from its date on
// ("oil pressure: new in June"): what rests on it is held against earlier passes as if another
// recorder had read them.

// fitted is what the sheet says of the sensors that a watch of these quantities reads, "" for
// nothing: the entries for them, in the order of the sheet.
func (f *frame) fitted(quantities []string) string {
	if f.sheet == nil || f.sheet.Sensors == "" {
		return ""
	}
	out := ""
	for _, e := range strings.FieldsFunc(f.sheet.Sensors, func(r rune) bool { return r == ';' || r == ',' }) {
		what, which, _ := strings.Cut(e, ":")
		q := strings.Join(strings.Fields(strings.ToLower(strings.ReplaceAll(what, "_", " "))), "_")
		if q == "wheel_speeds" {
			q = "wheel_speed"
		}
		if slices.Contains(quantities, q) {
			out += "|" + q + " " + strings.TrimSpace(which)
		}
	}
	return out
}
