package page

import (
	"fmt"
	"html/template"
	"io"
	"math"
	"strings"

	"traplight/internal/compare"
	"traplight/internal/quantity"
	"traplight/internal/report"
)

// WriteComparison sets a comparison of passes as a page of its own. car is the
// car's name, units its own ("us", "metric" or ""), notes what had to be assumed.
func WriteComparison(out io.Writer, c *compare.Comparison, car, units string, notes []string, o Options) error {
	w := report.World(o.Units, units)
	v := compareView{Car: car, Title: fmt.Sprintf("%s · %d passes compared", car, len(c.Lines)), Said: c.Sentences(w), Notes: notes}
	for i, l := range c.Lines {
		v.Lines = append(v.Lines, compareLine{l.Name, i%6 + 1, i == 0})
	}
	v.Gaps = gapChart(c, w)
	v.Speeds = speedsChart(c, w)
	v.Table = sectionTable(c, w)
	return render(out, "compare.gohtml", v)
}

type compareView struct {
	Car, Title   string
	Said         []string
	Lines        []compareLine
	Gaps, Speeds template.HTML
	Table        report.Table
	Notes        []string
}

type compareLine struct {
	Name  string
	Class int
	First bool
}

// sectionTable tells section by section what each pass did.
func sectionTable(c *compare.Comparison, w quantity.World) report.Table {
	t := report.Table{
		Names: []string{"Section", "pass", "time", "lost here", "arose here", "speed at end", "arose here", "hub torque", "boost", "tyre slip", "in shifts", "boost back"},
		Units: []string{"", "", "s", "s", "s lost", unitOf(w, quantity.DimSpeed), unitOf(w, quantity.DimSpeed) + " gained", unitOf(w, quantity.DimTorque), unitOf(w, quantity.DimPressure), "mean %", "s", "s after"},
		Left:  []bool{true, true, false, false, false, false, false, false, false, false, false, false},
	}
	cell := func(d quantity.Dimension, v, sd float64) string {
		n, s, _ := w.Parts(d, v, sd)
		if s != "" {
			n += " ± " + s
		}
		return n
	}
	for _, s := range c.Sections {
		for i, p := range s.Parts {
			row := make([]string, len(t.Names))
			if i == 0 {
				row[0] = s.From + " to " + s.To
			}
			row[1] = c.Lines[i].Name
			row[2] = cell(quantity.DimTime, p.Time, 0)
			row[5] = cell(quantity.DimSpeed, p.Speed, 0)
			if p.Lost != nil {
				row[3] = minus(cell(quantity.DimTime, p.Lost.Value, p.Lost.SD))
			}
			if p.TimeBrought != nil {
				// as sure as the gaps of which they are parts
				row[4], row[6] = brought(w, quantity.DimTime, *p.TimeBrought, p.Lost), brought(w, quantity.DimSpeed, *p.SpeedBrought, p.Gained)
			}
			if p.Torque != nil {
				row[7] = cell(quantity.DimTorque, *p.Torque, 0)
			}
			if p.Boost != nil {
				row[8] = cell(quantity.DimPressure, *p.Boost, 0)
			}
			if p.Slip != nil {
				row[9] = fmt.Sprintf("%.1f", 100**p.Slip)
			}
			if p.Shifts > 0 {
				row[10], row[11] = fmt.Sprintf("%.2f", p.ShiftTime), fmt.Sprintf("%.2f", p.Recovery)
			}
			t.Rows = append(t.Rows, row)
		}
	}
	return t
}

// brought prints what a section adds to a gap with the digits that the gap supports.
func brought(w quantity.World, d quantity.Dimension, si float64, gap *quantity.Estimate) string {
	sd := 0.0
	if gap != nil {
		sd = gap.SD
	}
	n, _, _ := w.Parts(d, si, sd)
	return minus(n)
}

// minus sets a true minus sign.
func minus(s string) string { return strings.Replace(s, "-", "−", 1) }

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
