package quantity

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"unicode"
)

// spellings maps every folded spelling to its unit.
var spellings = sync.OnceValue(func() map[string]Unit {
	m := make(map[string]Unit)
	for _, u := range units {
		for _, s := range strings.Fields(u.spellings) {
			if _, taken := m[s]; !taken {
				m[s] = u.Unit
			}
		}
	}
	return m
})

// exactCase holds spellings in which small and capital letters differ.
var exactCase = map[string]Unit{
	"kN": {"kN", DimForce, 1000, 0, 0},
	"mS": {},
	"mW": {},
}

// references lists the endings and beginnings by which a unit says from where a
// pressure counts, longest first.
var references = []struct {
	mark string
	ref  Reference
}{
	{"absolutdruck", OverVacuum}, {"absolute", OverVacuum}, {"absolut", OverVacuum}, {"absolue", OverVacuum}, {"absolu", OverVacuum},
	{"absoluta", OverVacuum}, {"assoluta", OverVacuum}, {"abs.", OverVacuum}, {"abs", OverVacuum}, {"(a)", OverVacuum}, {"[a]", OverVacuum}, {"_a", OverVacuum}, {"-a", OverVacuum},
	{"uberdruck", OverAmbient}, {"gauge", OverAmbient}, {"gage", OverAmbient}, {"relative", OverAmbient}, {"relativ", OverAmbient}, {"relatif", OverAmbient},
	{"relativa", OverAmbient}, {"rel.", OverAmbient}, {"rel", OverAmbient}, {"(g)", OverAmbient}, {"(r)", OverAmbient}, {"[g]", OverAmbient}, {"_g", OverAmbient}, {"-g", OverAmbient},
	{"(ü)", OverAmbient}, {"(u)", OverAmbient}, {"ü", OverAmbient},
	{"vacuum", BelowAmbient}, {"vac", BelowAmbient},
	{"a", OverVacuum}, {"g", OverAmbient}, {"r", OverAmbient}, {"u", OverAmbient},
}

// ParseUnit understands a unit as people and loggers write it: "bar(a)",
// "deg C", "1/min", "psi gauge". ok is false when it is not known.
func ParseUnit(text string) (u Unit, ok bool) {
	trimmed := strings.TrimSpace(text)
	if u, ok := exactCase[trimmed]; ok {
		return u, u.Symbol != ""
	}
	s := fold(trimmed)
	for range 2 {
		if u, ok := spellings()[s]; ok && s != "" {
			return u, true
		}
		for _, r := range references {
			base, found := strings.CutSuffix(s, r.mark)
			if !found && len(r.mark) > 2 {
				base, found = strings.CutPrefix(s, r.mark)
			}
			base = strings.Trim(base, "-_.,")
			if v, ok := spellings()[base]; found && ok && v.Dim == DimPressure {
				v.Reference = r.ref
				return v, true
			}
		}
		if u, ok := scaledUnit(s); ok {
			return u, true
		}
		// One pair of brackets around the whole.
		n := len(s)
		if n < 3 || !strings.ContainsRune("([{<", rune(s[0])) || !strings.ContainsRune(")]}>", rune(s[n-1])) {
			break
		}
		s = s[1 : n-1]
	}
	return Unit{}, false
}

// powerBefore is a power of ten before a unit: "0.1 km/h", "10*°C", "1e-3 bar".
var powerBefore = regexp.MustCompile(`^(?:(0[.,]0*1|1e[+-]?\d\d?)[·*x]?|(10+)[·*x]|10\^([+-]?\d\d?)[·*x]?)(\D.*)$`)

// scaledUnit understands a folded unit with a power of ten before it.
func scaledUnit(s string) (Unit, bool) {
	s = strings.TrimPrefix(s, "x")
	if s == "" || s[0] != '0' && s[0] != '1' {
		return Unit{}, false
	}
	if u, ok := ticks(s); ok {
		return u, true
	}
	m := powerBefore.FindStringSubmatch(s)
	if m == nil {
		return Unit{}, false
	}
	number := strings.Replace(m[1]+m[2], ",", ".", 1)
	if m[3] != "" {
		number = "1e" + m[3]
	}
	factor, err := strconv.ParseFloat(number, 64)
	u, ok := spellings()[m[4]]
	if err != nil || !ok || u.Dim == DimNumber || factor == 1 {
		return Unit{}, false
	}
	u.Factor *= factor
	u.Symbol = number + "*" + u.Symbol
	return u, true
}

// tickOf is a count of a unit of time, or a share of one: "100 µs", "1/10 ms". Of other
// units "100 Hz" or "10 bar" may be a rate or a range.
var tickOf = regexp.MustCompile(`^(1/)?1(0{1,6})[·*x]?(s|sec|ms|msec|us|usec|ns)$`)

// ticks understands a folded unit in which a clock's ticks are counted.
func ticks(s string) (Unit, bool) {
	m := tickOf.FindStringSubmatch(s)
	if m == nil {
		return Unit{}, false
	}
	u := spellings()[m[3]]
	factor := math.Pow10(len(m[2]))
	if m[1] != "" {
		factor = 1 / factor
	}
	u.Factor *= factor
	u.Symbol = strings.TrimSuffix(s, m[3]) + "*" + u.Symbol
	return u, true
}

// fold brings a unit to the form of the spellings: small letters, no blanks,
// plain digits for raised ones, one sign for each of degree and micro.
func fold(s string) string {
	var b strings.Builder
	for _, r := range s {
		switch r {
		case '²':
			b.WriteByte('2')
		case '³':
			b.WriteByte('3')
		case '⁻', '−':
			b.WriteByte('-')
		case '¹':
			b.WriteByte('1')
		case 'º', '˚', '∘':
			b.WriteRune('°')
		case 'µ', 'μ':
			b.WriteByte('u')
		case 'Λ':
			b.WriteRune('λ')
		case '⋅', '∙', '×':
			b.WriteRune('·')
		case '\u200b', '\ufeff':
		default:
			if !unicode.IsSpace(r) {
				b.WriteRune(unicode.ToLower(r))
			}
		}
	}
	out := b.String()
	if !strings.HasPrefix(out, "per") { // "miles per hour", but "percent"
		out = strings.ReplaceAll(out, "per", "/")
	}
	if base, per, found := strings.Cut(out, "/"); found {
		switch per {
		case "second":
			out = base + "/s"
		case "minute":
			out = base + "/min"
		case "hour":
			out = base + "/h"
		}
	}
	return out
}

// MustUnit is ParseUnit for units that the program itself names; it panics on
// one that is not in the table.
func MustUnit(text string) Unit {
	u, ok := ParseUnit(text)
	if !ok {
		panic("quantity: no unit " + text)
	}
	return u
}
