package tyre

import (
	"math"
	"regexp"
	"strconv"
	"strings"
)

// Size is what a size marking tells.
type Size struct {
	Radius      float64 // m, half of the overall diameter, nominal, unloaded
	Width       float64 // m, section width (tread width for the inch marking of slicks), nominal
	Rim         float64 // m, rim diameter; 0 when not marked
	LoadIndex   int     // service description; 0 when not marked
	SpeedSymbol string  // as marked, such as "Y" or "(Y)"; "" when not marked
}

const inch = 0.0254 // m

var (
	// 275/45R17, P275/45ZR17, 275/45-17, 260/660-18, 24/64-18, 26.0/9.5-16
	slashed = regexp.MustCompile(`^\s*(?:P|LT|T)?\s*(\d{2,3}(?:\.\d{1,2})?)\s*/\s*(\d{1,3}(?:\.\d{1,2})?)\s*(?:\(?[A-Z]{0,2}\)?)?\s*[-–]?\s*(\d{2}(?:\.\d)?)(?:[^\d.]|$)`)
	// 26.0x9.5-16, 28x10.5R15, 26 x 9.5 - 16, 28x10.5
	crossed = regexp.MustCompile(`^\s*(\d{2}(?:\.\d{1,2})?)\s*[X×*]\s*(\d{1,2}(?:\.\d{1,2})?)(?:\s*(?:[A-Z]{0,2})\s*[-–]?\s*(\d{2}(?:\.\d)?))?(?:[^\d.]|$)`)
	// 103Y, 103 (Y), 98W
	service = regexp.MustCompile(`(?:^|\s|\()(\d{2,3})\s*(\(?[A-HJ-NP-Z]\)?)(?:\s|$|\))`)
)

// ParseSize reads a size marking; ok is false when it is none of the usual forms:
//
//	275/45R17, P275/45ZR17, 275/45-17   width in mm, height in % of it, rim in inches (ISO 4000-1)
//	26.0x9.5-16, 26.0/9.5-16            diameter, width and rim in inches (drag-racing practice)
//	28x10.5                             the same without the rim, from 22 in on: below it may be a rim
//	260/660-18                          width and diameter in mm, rim in inches (racing practice)
//	24/64-18                            the same in cm
//
// A service description such as "103Y" may follow. The overall diameter of
// a real tyre departs from the nominal one by up to about 2 % (for road tyres ISO
// 4000-1 allows ±3 % of the section height, from memory; racing tyres: common
// practice).
func ParseSize(marking string) (s Size, ok bool) {
	if len(marking) > 200 {
		return Size{}, false
	}
	up := strings.ToUpper(marking)
	var m []string
	if m = crossed.FindStringSubmatch(up); m != nil {
		d, w := num(m[1]), num(m[2])
		s = Size{Radius: d / 2 * inch, Width: w * inch}
		if m[3] != "" {
			s.Rim = num(m[3]) * inch
		} else if d < 22 {
			return Size{}, false
		}
	} else if m = slashed.FindStringSubmatch(up); m != nil {
		a, b, rim := num(m[1]), num(m[2]), num(m[3])
		switch {
		case a >= 100 && b >= 100: // mm / mm
			s = Size{Radius: b / 2000, Width: a / 1000, Rim: rim * inch}
		case a >= 100: // mm / %
			s = Size{Radius: rim*inch/2 + a/1000*b/100, Width: a / 1000, Rim: rim * inch}
		case b > 40: // cm / cm
			s = Size{Radius: b / 200, Width: a / 100, Rim: rim * inch}
		default: // inch / inch
			s = Size{Radius: a / 2 * inch, Width: b * inch, Rim: rim * inch}
		}
	} else {
		return Size{}, false
	}
	// A tyre is larger than its rim by a side wall and of a size that goes under a
	// car.
	if s.Radius < s.Rim/2+0.02 || s.Radius < 0.2 || s.Radius > 0.6 || s.Width < 0.1 || s.Width > 0.6 {
		return Size{}, false
	}
	if m := service.FindStringSubmatch(up[len(m[0])-1:]); m != nil {
		if li, err := strconv.Atoi(m[1]); err == nil && li >= 60 && li <= 130 {
			s.LoadIndex, s.SpeedSymbol = li, m[2]
			if strings.HasPrefix(m[2], "(") != strings.HasSuffix(m[2], ")") {
				s.SpeedSymbol = strings.Trim(m[2], "()")
			}
		}
	}
	return s, true
}

func num(s string) float64 {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		return math.NaN()
	}
	return v
}

// The effective rolling radius near standstill as a share of the unloaded one.
//
// For a radial tyre under its rated load and pressure the rolling circumference is
// about 3.05 times the overall diameter (ETRTO's general factor for radials, 2.99
// for bias tyres, from memory): 3.05/π = 0.971. A lightly loaded or stiff belt
// comes nearer to 0.985 (common practice, no source). The spread covers both and
// pressure; growth with speed is another matter.
const (
	RollingShare   = 0.976 // 1
	RollingShareSD = 0.012 // 1
)
