package car

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"traplight/internal/quantity"
)

// value stores one value; false when it was refused.
func (r *reader) value(sp spelling, v any, line int, full string) bool {
	wrong := func(want string) bool {
		r.fail(line, full, "must be "+want+", not "+kindName(v), ErrType)
		return false
	}
	scalar := func(v any) (float64, bool) {
		x, ok := number(v)
		if !ok {
			if _, isFloat := v.(float64); isFloat {
				r.fail(line, full, "must be a finite number", ErrImpossible)
				return 0, false
			}
			if _, list := sp.f.dst.(*[]float64); list {
				r.fail(line, full, "must be a list of numbers; one entry is "+kindName(v), ErrType)
				return 0, false
			}
			return 0, wrong("a number")
		}
		si := x*sp.unit.factor + sp.unit.offset
		if text, ok := sp.f.limits.hold(si, sp.unit); !ok {
			if sp.unit.suffix == "" && sp.f.dim.isShare() && x > 1 && x <= 100 {
				text += fmt.Sprintf("; %g %% is written %.4g", x, x/100)
			}
			r.fail(line, full, fmt.Sprintf("%g is not possible; it %s", x, text), ErrImpossible)
			return 0, false
		}
		if _, ok := sp.f.likely.hold(si, sp.unit); !ok {
			r.note("%s line %d: %s = %g is unusual; check the figure and its unit.", r.doc.name, line, full, x)
		}
		return si, true
	}
	switch dst := sp.f.dst.(type) {
	case *string:
		s, ok := text(v)
		if !ok {
			return wrong("text between quotes")
		}
		s = strings.TrimSpace(s)
		if sp.f.words != nil && !slices.Contains(sp.f.words, strings.ToLower(s)) && !slices.Contains(sp.f.other, strings.ToLower(s)) {
			r.fail(line, full, fmt.Sprintf("%q is not one of %s", s, strings.Join(sp.f.words, ", ")), ErrImpossible)
			return false
		}
		*dst = s
	case *bool:
		b, ok := v.(bool)
		if !ok {
			return wrong("true or false")
		}
		*dst = b
	case **bool:
		b, ok := v.(bool)
		if !ok {
			return wrong("true or false")
		}
		*dst = &b
	case *int:
		n, ok := v.(int64)
		if x, isFloat := v.(float64); isFloat {
			r.fail(line, full, fmt.Sprintf("%g is not a whole number", x), ErrType)
			return false
		}
		if !ok {
			return wrong("a whole number")
		}
		if text, ok := sp.f.limits.hold(float64(n), plain.units[0]); !ok {
			r.fail(line, full, fmt.Sprintf("%d is not possible; it %s", n, text), ErrImpossible)
			return false
		}
		*dst = int(n)
	case *[]int:
		list, ok := v.([]any)
		if !ok {
			return wrong("a list of whole numbers")
		}
		for _, e := range list {
			n, ok := e.(int64)
			if !ok {
				return wrong("a list of whole numbers")
			}
			if text, ok := sp.f.limits.hold(float64(n), plain.units[0]); !ok {
				r.fail(line, full, fmt.Sprintf("%d is not possible; it %s", n, text), ErrImpossible)
				return false
			}
			*dst = append(*dst, int(n))
		}
	case *float64:
		x, ok := scalar(v)
		if !ok {
			return false
		}
		*dst = x
	case *slipTime:
		x, ok := scalar(v)
		if !ok {
			return false
		}
		dst.v = x
	case *slipSpeed:
		x, ok := scalar(v)
		if !ok {
			return false
		}
		dst.v = x
	case *quantity.Estimate:
		x, ok := scalar(v)
		if !ok {
			return false
		}
		*dst = quantity.Estimate{Value: x, SD: math.Abs(x)*sp.f.rel + sp.f.abs}
	case *[]float64:
		list, ok := v.([]any)
		if !ok {
			list = []any{v} // one figure for every gear
		}
		if len(list) == 0 {
			r.fail(line, full, "the list is empty", ErrImpossible)
			return false
		}
		if len(list) > maxGears {
			r.fail(line, full, fmt.Sprintf("the list has %d entries; no gearbox here has more than %d gears", len(list), maxGears), ErrImpossible)
			return false
		}
		out := make([]float64, 0, len(list))
		for _, e := range list {
			x, ok := scalar(e)
			if !ok {
				return false
			}
			out = append(out, x)
		}
		*dst = out
	default:
		panic("car: field with an unknown destination")
	}
	return true
}

// show prints a value as TOML has it.
func show(v any) string {
	switch t := v.(type) {
	case string:
		return strconv.Quote(t)
	case float64:
		return strconv.FormatFloat(t, 'g', -1, 64)
	case []any:
		parts := make([]string, len(t))
		for i, e := range t {
			parts[i] = show(e)
		}
		return "[" + strings.Join(parts, ", ") + "]"
	}
	return fmt.Sprint(v)
}
