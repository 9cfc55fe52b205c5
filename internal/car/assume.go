package car

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"traplight/internal/quantity"
)

func (s *Sheet) assume(format string, args ...any) {
	s.Assumed = append(s.Assumed, fmt.Sprintf(format, args...))
}

// missing tells whether an estimate was not stated.
func missing(e quantity.Estimate) bool { return e == quantity.Estimate{} }

func (s *Sheet) setDefault(e *quantity.Estimate, key string, value, sd float64) {
	if missing(*e) {
		*e = quantity.Estimate{Value: value, SD: sd}
		s.assume("%s = %s", key, plusMinus(value, sd))
		return
	}
	if e.Value == 0 && value > 0 { // a spread without a value
		e.Value = value
		s.assume("%s = %s", key, plusMinus(value, e.SD))
	}
}

// plusMinus prints a value and its standard deviation to the two digits that the
// latter supports.
func plusMinus(value, sd float64) string {
	places := 0
	if sd > 0 {
		places = max(0, 1-int(math.Floor(math.Log10(sd))))
	}
	trim := func(x float64) string {
		s := strconv.FormatFloat(x, 'f', places, 64)
		if strings.Contains(s, ".") {
			s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
		}
		return s
	}
	return trim(value) + " ± " + trim(sd)
}
