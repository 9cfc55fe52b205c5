package car

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"sync"

	"traplight/internal/quantity"
)

// hasUS says that the second unit of a key is the one of a shop that thinks in pounds, inches
// and psi. The wheels of turbos are measured in millimetres there too, and trap speeds are
// in mph from the start.
func (f *field) hasUS() bool {
	return f.dim.twin != "" && f.dim.twin != "kmh" && !strings.HasPrefix(f.stems[0], "compressor_")
}

// twin is the unit of the other habit.
func (f *field) twin() unit {
	for _, u := range f.dim.units {
		if u.suffix == f.dim.twin {
			return u
		}
	}
	return f.dim.units[0]
}

var exampleFigure = regexp.MustCompile(`-?\d+(?:\.\d+)?`)

// inTwin brings the figures of an example to the other unit, to three digits, or exactly
// where that gives a whole figure (half a mile is 2640 ft).
func (f *field) inTwin(example string) string {
	from, to := f.dim.units[0], f.twin()
	return exampleFigure.ReplaceAllStringFunc(example, func(text string) string {
		x, err := strconv.ParseFloat(text, 64)
		if err != nil {
			return text
		}
		x = (x*from.factor + from.offset - to.offset) / to.factor
		if whole := math.Round(x); whole != 0 && math.Abs(x-whole) < 1e-4*math.Abs(whole) {
			return strconv.FormatFloat(whole, 'f', -1, 64)
		}
		if x == 0 {
			return "0"
		}
		p := math.Pow(10, 2-math.Floor(math.Log10(math.Abs(x))))
		return strconv.FormatFloat(math.Round(x*p)/p, 'f', -1, 64)
	})
}

// usKeys finds a field by its metric key.
var usKeys = sync.OnceValue(func() map[string]field {
	all := sheetFields(&Sheet{}, &written{tyre: map[string]*wheelText{}})
	all = append(all, stripFields(&Strip{})...)
	all = append(all, passFields(&PassNote{}, noAir())...)
	all = append(all, plannedFields(&Planned{}, noAir())...)
	out := map[string]field{}
	for _, f := range all {
		if f.hasUS() {
			out[f.mainKey()] = f
		}
	}
	return out
})

// saidKey finds a key in a sentence, and a list or a figure with its spread that may follow.
var saidKey = regexp.MustCompile(`\b([a-z][a-z0-9]*(?:_[a-z0-9]+)+)\b(?: = (-?\d+(?:\.\d+)?)(?: ± (\d+(?:\.\d+)?))?)?(: ?-?\d)?(?: = (\[[-0-9., ]+\]))?`)

// Retell turns the figures of a remark, and the keys that it names, into the units of w
// (quantity.World.Retell).
func Retell(w quantity.World, remark string) string {
	if w.Name == quantity.Imperial.Name {
		remark = RetellKeys(remark)
	}
	return w.Retell(remark)
}

// saidRadius finds the one length that is assumed without a key of its own.
var saidRadius = regexp.MustCompile(`(rolling radius) = (\d+\.\d+) ± (\d+\.\d+) m\b`)

// RetellKeys turns the metric keys that a remark names, and their figures, into those of a
// shop that thinks in pounds, inches and psi: "wheelbase_m = 2.65 ± 0.12" into
// "wheelbase_in = 104.3 ± 4.7". A line of the file that is quoted stays as it was written.
func RetellKeys(remark string) string {
	if strings.HasSuffix(remark, isUnusual) || strings.HasSuffix(remark, leftOut) {
		return remark
	}
	remark = saidRadius.ReplaceAllStringFunc(remark, func(said string) string {
		m := saidRadius.FindStringSubmatch(said)
		x, _ := strconv.ParseFloat(m[2], 64) // the pattern has seen to it
		sd, _ := strconv.ParseFloat(m[3], 64)
		return m[1] + " = " + strconv.FormatFloat(x/inch, 'f', 2, 64) + " ± " + strconv.FormatFloat(sd/inch, 'f', 2, 64) + " in"
	})
	return saidKey.ReplaceAllStringFunc(remark, func(said string) string {
		m := saidKey.FindStringSubmatch(said)
		f, ok := usKeys()[m[1]]
		if !ok || m[4] != "" { // a figure told in another way stays with its unit
			return said
		}
		out := key(f.stems[0], f.dim.twin, f.tail)
		if m[5] != "" {
			return out + " = " + f.inTwin(m[5])
		}
		if m[2] == "" {
			return out
		}
		from, to := f.dim.units[0], f.twin()
		x, _ := strconv.ParseFloat(m[2], 64) // the pattern has seen to it
		x = (x*from.factor + from.offset - to.offset) / to.factor
		if m[3] == "" {
			return out + " = " + strconv.FormatFloat(x, 'g', 4, 64)
		}
		sd, _ := strconv.ParseFloat(m[3], 64)
		sd *= from.factor / to.factor
		digits := 0
		if sd > 0 {
			digits = max(0, 1-int(math.Floor(math.Log10(sd))))
		}
		return out + " = " + strconv.FormatFloat(x, 'f', digits, 64) + " ± " + strconv.FormatFloat(sd, 'f', digits, 64)
	})
}
