package car

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"traplight/internal/quantity"
)

// placed is one value of a file with what it must be and where it stands.
type placed struct {
	r    *reader
	sp   spelling
	v    any
	line int
	full string // key with its table, for messages
}

// value stores one value; false when it was refused.
func (r *reader) value(sp spelling, v any, line int, full string) bool {
	p := &placed{r, sp, v, line, full}
	switch dst := sp.f.dst.(type) {
	case *string:
		return p.text(dst)
	case *bool:
		return keep(dst, p.truth)
	case **bool:
		is, ok := p.truth()
		if ok {
			*dst = &is
		}
		return ok
	case *int:
		return keep(dst, p.whole)
	case *[]int:
		return p.wholes(dst)
	case *float64:
		return keep(dst, p.single)
	case *slipTime:
		return keep(&dst.v, p.single)
	case *slipSpeed:
		return keep(&dst.v, p.single)
	case *quantity.Estimate:
		x, ok := p.single()
		if ok {
			*dst = quantity.Estimate{Value: x, SD: math.Abs(x)*sp.f.rel + sp.f.abs}
		}
		return ok
	case *[]float64:
		return p.numbers(dst)
	}
	panic("car: field with an unknown destination")
}

// keep stores what read gives unless it was refused.
func keep[T any](dst *T, read func() (T, bool)) bool {
	x, ok := read()
	if ok {
		*dst = x
	}
	return ok
}

// refuse tells what is wrong with the value.
func (p *placed) refuse(err error, format string, args ...any) {
	p.r.fail(p.line, p.full, fmt.Sprintf(format, args...), err)
}

// wrong refuses a value of another type than want.
func (p *placed) wrong(want string) { p.refuse(ErrType, "must be %s, not %s", want, kindName(p.v)) }

// single is the value as one number in SI.
func (p *placed) single() (float64, bool) { return p.number(p.v) }

// number brings one number to SI; in a list v is an entry.
func (p *placed) number(v any) (float64, bool) {
	x, ok := number(v)
	if !ok {
		_, isFloat := v.(float64)
		_, isList := p.sp.f.dst.(*[]float64)
		switch {
		case isFloat:
			p.refuse(ErrImpossible, "must be a finite number")
		case isList:
			p.refuse(ErrType, "must be a list of numbers; one entry is %s", kindName(v))
		default:
			p.wrong("a number")
		}
		return 0, false
	}
	si := x*p.sp.unit.factor + p.sp.unit.offset
	if text, ok := p.sp.f.limits.hold(si, p.sp.unit); !ok {
		if p.sp.unit.suffix == "" && p.sp.f.dim.isShare() && x > 1 && x <= 100 {
			text += fmt.Sprintf("; %g %% is written %.4g", x, x/100)
		}
		p.refuse(ErrImpossible, "%g is not possible; it %s", x, text)
		return 0, false
	}
	if _, ok := p.sp.f.likely.hold(si, p.sp.unit); !ok {
		p.r.note("%s line %d: %s = %g"+isUnusual, p.r.doc.name, p.line, p.full, x)
		p.r.unusual = append(p.r.unusual, unusual{fmt.Sprintf("%s = %g", p.full, x), p.sp.f.dst})
	}
	return si, true
}

// numbers stores a list of numbers; one figure alone counts for every gear.
func (p *placed) numbers(dst *[]float64) bool {
	list, ok := p.v.([]any)
	if !ok {
		list = []any{p.v}
	}
	if len(list) == 0 {
		p.refuse(ErrImpossible, "the list is empty")
		return false
	}
	if len(list) > maxGears {
		p.refuse(ErrImpossible, "the list has %d entries; no gearbox here has more than %d gears", len(list), maxGears)
		return false
	}
	out := make([]float64, 0, len(list))
	for _, e := range list {
		x, ok := p.number(e)
		if !ok {
			return false
		}
		out = append(out, x)
	}
	*dst = out
	return true
}

func (p *placed) text(dst *string) bool {
	s, ok := text(p.v)
	if !ok {
		p.wrong("text between quotes")
		return false
	}
	s = strings.TrimSpace(s)
	low := strings.ToLower(s)
	if words := p.sp.f.words; words != nil && !slices.Contains(words, low) && !slices.Contains(p.sp.f.other, low) {
		p.refuse(ErrImpossible, "%q is not one of %s", s, strings.Join(words, ", "))
		return false
	}
	*dst = s
	return true
}

func (p *placed) truth() (is, ok bool) {
	if is, ok = p.v.(bool); !ok {
		p.wrong("true or false")
	}
	return is, ok
}

func (p *placed) whole() (int, bool) {
	n, ok := p.v.(int64)
	switch x, isFloat := p.v.(float64); {
	case isFloat:
		p.refuse(ErrType, "%g is not a whole number", x)
		return 0, false
	case !ok:
		p.wrong("a whole number")
		return 0, false
	}
	return int(n), p.countsAs(n)
}

// wholes appends a list of whole numbers.
func (p *placed) wholes(dst *[]int) bool {
	list, ok := p.v.([]any)
	if !ok {
		p.wrong("a list of whole numbers")
		return false
	}
	for _, e := range list {
		n, ok := e.(int64)
		if !ok {
			p.wrong("a list of whole numbers")
			return false
		}
		if !p.countsAs(n) {
			return false
		}
		*dst = append(*dst, int(n))
	}
	return true
}

// countsAs says whether a count is possible.
func (p *placed) countsAs(n int64) bool {
	text, ok := p.sp.f.limits.hold(float64(n), plain.units[0])
	if !ok {
		p.refuse(ErrImpossible, "%d is not possible; it %s", n, text)
	}
	return ok
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
