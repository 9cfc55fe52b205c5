package sizing

import (
	"fmt"
	"math"
	"strings"

	"traplight/internal/quantity"
)

// fig prints a figure with its bounds: "1120 hp (1020 to 1250)".
func (p *printer) fig(f *Figure) string {
	if f == nil {
		return "not known"
	}
	return p.in(f, p.w.Unit(f.Dim))
}

// in prints a figure in a unit of its own.
func (p *printer) in(f *Figure, u quantity.Unit) string {
	if f == nil {
		return "not known"
	}
	sd := spread(f) / math.Abs(u.Factor)
	if !(sd > 0) {
		sd = math.Abs(u.Of(f.Value)) * 1e-3
	}
	digits := 0
	if sd > 0 {
		// Two digits of the standard deviation below 2, else one; two of the figure at least.
		e := math.Floor(math.Log10(sd))
		digits = int(-e)
		if sd/math.Pow(10, e) < 2 {
			digits++
		}
		if v := math.Abs(u.Of(f.Value)); v > 0 && f.Dim != quantity.DimTemperature {
			digits = max(digits, 1-int(math.Floor(math.Log10(v))))
		}
	}
	num := func(si float64) string { return fixed(u.Of(si), digits) }
	unit := u.Symbol
	if unit != "" && unit != "%" {
		unit = " " + unit
	} else if unit == "%" {
		unit = " %"
	}
	switch {
	case f.AtLeast && f.Value > f.Low:
		return fmt.Sprintf("%s%s (%s or more)", num(f.Value), unit, num(f.Low))
	case f.AtLeast:
		return "at least " + num(f.Low) + unit
	}
	if num(f.Low) == num(f.High) {
		return num(f.Value) + unit
	}
	return fmt.Sprintf("%s%s (%s to %s)", num(f.Value), unit, num(f.Low), num(f.High))
}

// spread is a figure's standard deviation, own unit, or what its bounds make of it where a
// few cases far out have blown it up.
func spread(f *Figure) float64 {
	if by := (f.High - f.Low) / 3.29; !f.AtLeast && by > 0 && by < f.SD {
		return by
	}
	if by := (f.Value - f.Low) / 1.645; f.AtLeast && by > 0 && by < f.SD {
		return by
	}
	return f.SD
}

// fixed prints with n decimals; negative n rounds to whole tens and so on.
func fixed(x float64, n int) string {
	if n < 0 {
		k := math.Pow(10, float64(-n))
		return fmt.Sprintf("%.0f", math.Round(x/k)*k)
	}
	s := fmt.Sprintf("%.*f", min(n, 6), x)
	if strings.Trim(s, "-0.") == "" {
		return strings.TrimPrefix(s, "-")
	}
	return s
}

func (p *printer) imperial() bool { return p.w.Unit(quantity.DimPressure).Symbol == "psi" }

// unit picks a unit by the world, for what has none of its own there.
func (p *printer) unit(us, metric string) quantity.Unit {
	if p.imperial() {
		return quantity.MustUnit(us)
	}
	return quantity.MustUnit(metric)
}

// area is a figure in square metres, printed in square inches or centimetres.
func (p *printer) area(f *Figure) string {
	if p.imperial() {
		return p.in(f, quantity.Unit{Symbol: "in²", Factor: 0.0254 * 0.0254})
	}
	return p.in(f, quantity.Unit{Symbol: "cm²", Factor: 1e-4})
}
