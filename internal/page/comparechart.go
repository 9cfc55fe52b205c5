package page

import (
	"fmt"
	"html/template"
	"math"

	"traplight/internal/compare"
	"traplight/internal/quantity"
)

// lanes draws a thin strip for each pass with its gears, from height y down, and the
// sections' marks through all; it returns the lower edge.
func lanes(s *svg, a axes, y float64, c *compare.Comparison) float64 {
	const thick = 20.0
	topY := y
	for i, l := range c.Lines {
		n := len(l.Gear)
		if n == 0 {
			continue
		}
		s.rect("asphalt", a.x(0), y, a.x(c.X[n-1])-a.x(0), thick)
		for k := 0; k < n; {
			j := k
			for j < n && l.Gear[j] == l.Gear[k] {
				j++
			}
			if g := l.Gear[k]; g > 0 {
				x0, x1 := a.x(c.X[k]), a.x(c.X[min(j, n-1)])
				s.rect(fmt.Sprintf("lane lane%d", g%2), x0, y+2, x1-x0, thick-4)
				if x1-x0 > 12 {
					s.text("gearno small", "middle", (x0+x1)/2, y+thick/2+5, fmt.Sprint(g))
				}
			}
			k = j
		}
		s.rect(fmt.Sprintf("chip fp%d", i%6+1), a.x(0)-7, y, 5, thick)
		y += thick + 4
	}
	taken := math.Inf(1)
	for k := len(c.Sections) - 1; k >= 0; k-- {
		m := c.Sections[k]
		x := a.x(m.ToX)
		s.line("mark", x, topY-3, x, y-1)
		words := markName(m.To)
		half := 3.6 * float64(len([]rune(words)))
		at := min(x, s.w-half-2)
		if at+half+6 <= taken {
			taken = at - half
			s.text("markname", "middle", at, topY-8, words)
		}
	}
	return y
}

// gapChart draws time and speed against the first pass along the strip.
func gapChart(c *compare.Comparison, w quantity.World) template.HTML {
	if len(c.X) == 0 {
		return ""
	}
	return both("Gaps of time and speed to "+c.Lines[0].Name+" along the strip", func(width float64) *svg {
		s := &svg{w: width}
		small := width < 600
		a := axes{left: 52, right: width - 130, x0: 0, x1: c.X[len(c.X)-1]}
		if small {
			a.left, a.right = 40, width-8
		}
		base := lanes(s, a, 26, c)
		f := a
		f.top, f.bottom = base+30, base+200
		drawGaps(s, f, c, small, "behind "+c.Lines[0].Name+", s", func(l *compare.Line) []float64 { return l.Gap })
		g := a
		g.top, g.bottom = f.bottom+40, f.bottom+210
		drawGaps(s, g, c, small, "faster than "+c.Lines[0].Name+", "+unitOf(w, quantity.DimSpeed), func(l *compare.Line) []float64 {
			return each(l.SpeedGap, func(v float64) float64 { return w.Of(quantity.DimSpeed, v) })
		})
		g.x0, g.x1 = w.Of(quantity.DimLength, 0), w.Of(quantity.DimLength, a.x1)
		g.xGrid(s, pick(small, 4, 9), false)
		s.text("unit", "end", g.right, g.bottom+32, "distance, "+unitOf(w, quantity.DimLength))
		s.h = g.bottom + 40
		return s
	})
}

func drawGaps(s *svg, f axes, c *compare.Comparison, small bool, words string, column func(*compare.Line) []float64) {
	lo, hi := 0.0, 0.0
	for i := range c.Lines {
		for _, v := range column(&c.Lines[i]) {
			lo, hi = min(lo, v), max(hi, v)
		}
	}
	pad := max(0.08*(hi-lo), 1e-3)
	f.y0, f.y1 = lo-pad, hi+pad
	f.yGrid(s, 4)
	for _, m := range c.Sections {
		s.line("grid", f.x(m.ToX), f.top, f.x(m.ToX), f.bottom)
	}
	s.text("unit", "start", f.left, f.top-8, words)
	var ends []label
	for i := range c.Lines {
		v := column(&c.Lines[i])
		if len(v) == 0 {
			continue
		}
		class := fmt.Sprintf("p%d", i%6+1)
		tx, ty := thin(c.X[:len(v)], v, int(f.right-f.left))
		s.path("ln "+class, each(tx, f.x), each(ty, f.y))
		ends = append(ends, label{f.y(v[len(v)-1]) + 4, "value f" + class, c.Lines[i].Name})
	}
	if small {
		return
	}
	for _, l := range spread(ends, 16, f.top+8, f.bottom+4) {
		s.text(l.class, "start", f.right+8, l.y, l.text)
	}
}

// speedsChart draws the speeds over each other.
func speedsChart(c *compare.Comparison, w quantity.World) template.HTML {
	if len(c.X) == 0 {
		return ""
	}
	return both("Speed of all passes along the strip", func(width float64) *svg {
		s := &svg{w: width, h: 330}
		small := width < 600
		f := axes{left: 52, right: width - 130, top: 26, bottom: 286, x0: 0, x1: c.X[len(c.X)-1]}
		if small {
			f.left, f.right = 40, width-8
		}
		hi := 1.0
		cols := make([][]float64, len(c.Lines))
		for i, l := range c.Lines {
			cols[i] = each(l.Speed, func(v float64) float64 { return w.Of(quantity.DimSpeed, v) })
			hi = top(hi/1.06, cols[i])
		}
		f.y0, f.y1 = 0, hi
		f.yGrid(s, 5)
		for _, m := range c.Sections {
			s.line("grid", f.x(m.ToX), f.top, f.x(m.ToX), f.bottom)
		}
		s.text("unit", "start", f.left, f.top-10, "speed, "+unitOf(w, quantity.DimSpeed))
		var ends []label
		for i := range c.Lines {
			if len(cols[i]) == 0 {
				continue
			}
			class := fmt.Sprintf("p%d", i%6+1)
			tx, ty := thin(c.X[:len(cols[i])], cols[i], int(f.right-f.left))
			s.path("ln "+class, each(tx, f.x), each(ty, f.y))
			ends = append(ends, label{f.y(cols[i][len(cols[i])-1]) + 4, "value f" + class, c.Lines[i].Name})
		}
		if !small {
			for _, l := range spread(ends, 16, f.top+8, f.bottom+4) {
				s.text(l.class, "start", f.right+8, l.y, l.text)
			}
		}
		f.x0, f.x1 = w.Of(quantity.DimLength, 0), w.Of(quantity.DimLength, f.x1)
		f.xGrid(s, pick(small, 4, 9), false)
		s.text("unit", "end", f.right, f.bottom+32, "distance, "+unitOf(w, quantity.DimLength))
		return s
	})
}
