package quantity

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"
)

// saidFigure is a figure with its unit in a sentence, and the spread behind it.
var saidFigure = regexp.MustCompile(`([+-]?\d+(?:\.\d+)?) (kPa|hPa|N·m|m/s|km/h|kW|°C)( \(± (\d+(?:\.\d+)?)\))?`)

// Retell turns the figures of a remark, which states them in metric units, into the units of
// w with the digits that they had; the pressure of the air as its barometers give it.
// Other worlds than Imperial get the remark as it is.
func (w World) Retell(remark string) string {
	if w.Name != Imperial.Name {
		return remark
	}
	over := strings.Contains(remark, "over the barometer") || strings.Contains(remark, "under the barometer") // a boost
	air := !over && (strings.Contains(remark, "barometer") || strings.Contains(remark, "air pressure") || strings.Contains(remark, "hPa"))
	var out strings.Builder
	last := 0
	for _, at := range saidFigure.FindAllStringSubmatchIndex(remark, -1) {
		number, symbol := remark[at[2]:at[3]], remark[at[4]:at[5]]
		next, _ := utf8.DecodeRuneInString(remark[at[1]:])
		if strings.ContainsRune("²³·/", next) {
			continue
		}
		from := MustUnit(symbol)
		to := w.Unit(from.Dim)
		if from.Dim == DimPressure && air {
			to, _ = w.BarometerUnit()
		}
		said := func(text string, convert func(float64) float64) string {
			x, _ := strconv.ParseFloat(text, 64) // the pattern has seen to it
			step := 1.0
			if _, after, ok := strings.Cut(text, "."); ok {
				step = math.Pow(10, -float64(len(after)))
			}
			// about as fine as it was said: steps to half the old one (10^-0.3)
			digits := max(0, int(math.Ceil(-math.Log10(step*from.Factor/to.Factor)-0.3)))
			return strconv.FormatFloat(convert(x), 'f', digits, 64)
		}
		text := said(number, func(x float64) float64 { return to.Of(from.SI(x)) })
		if strings.HasPrefix(number, "+") {
			text = "+" + text
		}
		text += " " + to.Symbol
		if at[8] >= 0 {
			text += " (± " + said(remark[at[8]:at[9]], func(x float64) float64 { return x * from.Factor / to.Factor }) + ")"
		}
		out.WriteString(remark[last:at[0]] + text)
		last = at[1]
	}
	return out.String() + remark[last:]
}
