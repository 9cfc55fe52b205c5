package page

import (
	"fmt"
	"html"
	"html/template"
	"math"
	"strconv"
	"strings"
)

// A chart is drawn twice, for a wide and for a narrow screen, since letters must
// not shrink with the picture. Both stand in the page and its style shows one.
const (
	wide   = 1000.0 // px
	narrow = 360.0  // px
)

// svg collects one drawing. Places are px from the upper left corner.
type svg struct {
	strings.Builder
	w, h float64
}

// num prints a coordinate with the tenth of a pixel, short.
func num(x float64) string {
	s := strconv.FormatFloat(math.Round(x*10)/10, 'f', -1, 64)
	if s == "-0" {
		return "0"
	}
	return s
}

func (s *svg) line(class string, x1, y1, x2, y2 float64) {
	fmt.Fprintf(s, `<line class="%s" x1="%s" y1="%s" x2="%s" y2="%s"/>`, class, num(x1), num(y1), num(x2), num(y2))
}

func (s *svg) rect(class string, x, y, w, h float64) {
	if w <= 0 || h <= 0 {
		return
	}
	fmt.Fprintf(s, `<rect class="%s" x="%s" y="%s" width="%s" height="%s"/>`, class, num(x), num(y), num(w), num(h))
}

// text writes a word; anchor is "start", "middle" or "end".
func (s *svg) text(class, anchor string, x, y float64, words string) {
	fmt.Fprintf(s, `<text class="%s" text-anchor="%s" x="%s" y="%s">%s</text>`, class, anchor, num(x), num(y), html.EscapeString(words))
}

func (s *svg) dot(class string, x, y, r float64) {
	fmt.Fprintf(s, `<circle class="%s" cx="%s" cy="%s" r="%s"/>`, class, num(x), num(y), num(r))
}

// path draws a line through points; a NaN lifts the pen.
func (s *svg) path(class string, x, y []float64) {
	var d strings.Builder
	down := false
	lastX, lastY := "", ""
	for i := range x {
		if math.IsNaN(x[i]) || math.IsNaN(y[i]) {
			down = false
			continue
		}
		px, py := num(x[i]), num(y[i])
		switch {
		case !down:
			d.WriteString("M" + px + " " + py)
		case px != lastX || py != lastY:
			d.WriteString("L" + px + " " + py)
		}
		down, lastX, lastY = true, px, py
	}
	if d.Len() > 0 {
		fmt.Fprintf(s, `<path class="%s" d="%s"/>`, class, d.String())
	}
}

// finish wraps the drawing; what says in a sentence what is to be seen.
func (s *svg) finish(class, what string) template.HTML {
	return template.HTML(fmt.Sprintf(`<svg class="%s" viewBox="0 0 %s %s" role="img" aria-label="%s">%s</svg>`,
		class, num(s.w), num(s.h), html.EscapeString(what), s.String()))
}

// both draws for both widths.
func both(what string, draw func(w float64) *svg) template.HTML {
	return draw(wide).finish("wide", what) + draw(narrow).finish("narrow", what)
}

// axes is a field of a drawing with its two scales.
type axes struct {
	left, right, top, bottom float64 // px
	x0, x1, y0, y1           float64 // values at the field's edges
}

func (a axes) x(v float64) float64 { return a.left + (v-a.x0)/(a.x1-a.x0)*(a.right-a.left) }
func (a axes) y(v float64) float64 { return a.bottom - (v-a.y0)/(a.y1-a.y0)*(a.bottom-a.top) }

// ticks are round numbers from lo to hi, about n of them.
func ticks(lo, hi float64, n int) []float64 {
	if !(hi > lo) || n < 1 {
		return nil
	}
	raw := (hi - lo) / float64(n)
	p := math.Pow(10, math.Floor(math.Log10(raw)))
	step := 10 * p
	for _, m := range []float64{1, 2, 2.5, 5} {
		if m*p >= raw {
			step = m * p
			break
		}
	}
	var out []float64
	for k := math.Ceil(lo/step - 1e-9); k*step <= hi+1e-9*step; k++ {
		out = append(out, k*step+0) // no negative zero
	}
	return out
}

// tickText prints a tick without needless zeros.
func tickText(v float64) string {
	return strings.Replace(strconv.FormatFloat(math.Round(v*1e6)/1e6+0, 'f', -1, 64), "-", "−", 1)
}

// yGrid draws horizontal lines with their numbers at the left.
func (a axes) yGrid(s *svg, n int) {
	for _, v := range ticks(a.y0, a.y1, n) {
		class := "grid"
		if v == 0 {
			class = "zero"
		}
		s.line(class, a.left, a.y(v), a.right, a.y(v))
		s.text("tick", "end", a.left-6, a.y(v)+4, tickText(v))
	}
}

// xGrid draws numbers under the field.
func (a axes) xGrid(s *svg, n int, lines bool) {
	for _, v := range ticks(a.x0, a.x1, n) {
		if lines {
			s.line("grid", a.x(v), a.top, a.x(v), a.bottom)
		}
		s.text("tick", "middle", a.x(v), a.bottom+16, tickText(v))
	}
}

// thin keeps a long line's shape in about n points: of each group the lowest and
// the highest, in their order. Gaps (NaN) stay.
func thin(x, y []float64, n int) (tx, ty []float64) {
	if len(x) <= 2*n {
		return x, y
	}
	group := float64(len(x)) / float64(n)
	for g := 0; g < n; g++ {
		a, b := int(float64(g)*group), int(float64(g+1)*group)
		lo, hi, gap := -1, -1, -1
		for i := a; i < b && i < len(x); i++ {
			if math.IsNaN(y[i]) || math.IsNaN(x[i]) {
				gap = i
				continue
			}
			if lo < 0 || y[i] < y[lo] {
				lo = i
			}
			if hi < 0 || y[i] > y[hi] {
				hi = i
			}
		}
		if lo < 0 {
			tx, ty = append(tx, math.NaN()), append(ty, math.NaN())
			continue
		}
		first, second := min(lo, hi), max(lo, hi)
		tx, ty = append(tx, x[first]), append(ty, y[first])
		if second != first {
			tx, ty = append(tx, x[second]), append(ty, y[second])
		}
		if gap > second {
			tx, ty = append(tx, math.NaN()), append(ty, math.NaN())
		}
	}
	return tx, ty
}

// each maps a column through a scale.
func each(v []float64, f func(float64) float64) []float64 {
	out := make([]float64, len(v))
	for i, x := range v {
		out[i] = f(x)
	}
	return out
}

// label is a word that wants to stand at a height.
type label struct {
	y     float64
	class string
	text  string
}

// spread moves labels apart so that none covers another, within top and bottom, px.
func spread(labels []label, gap, top, bottom float64) []label {
	out := append([]label(nil), labels...)
	// A short list: insertion sort keeps equal ones in order.
	for i := 1; i < len(out); i++ {
		for j := i; j > 0 && out[j].y < out[j-1].y; j-- {
			out[j], out[j-1] = out[j-1], out[j]
		}
	}
	for i := range out {
		out[i].y = max(out[i].y, top)
		if i > 0 {
			out[i].y = max(out[i].y, out[i-1].y+gap)
		}
	}
	for i := len(out) - 1; i >= 0; i-- {
		limit := bottom
		if i+1 < len(out) {
			limit = out[i+1].y - gap
		}
		out[i].y = min(out[i].y, limit)
	}
	return out
}
