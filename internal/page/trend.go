package page

import (
	"fmt"
	"html/template"
	"math"

	"traplight/internal/quantity"
)

// TrendPoint is one pass in a trend.
type TrendPoint struct {
	Season string  // such as the year
	Day    string  // as shown below the axis
	Value  float64 // SI unit of the trend
	SD     float64 // the same; 0 not known
}

// DrawTrend draws one figure over the passes in the order in which they were run; each
// season stands on its band, the best season by season as a line.
func DrawTrend(name string, d quantity.Dimension, points []TrendPoint, w quantity.World) template.HTML {
	if len(points) < 2 {
		return ""
	}
	return both(name+" over "+fmt.Sprint(len(points))+" passes", func(width float64) *svg {
		s := &svg{w: width, h: 300}
		f := axes{left: 60, right: width - 24, top: 40, bottom: 250, x0: -0.5, x1: float64(len(points)) - 0.5, y0: math.Inf(1), y1: math.Inf(-1)}
		if width < 600 {
			f.left, f.right = 48, width-10
		}
		v, sd := make([]float64, len(points)), make([]float64, len(points))
		for i, p := range points {
			v[i] = w.Of(d, p.Value)
			sd[i] = math.Abs(w.Of(d, p.Value+p.SD) - v[i])
			f.y0, f.y1 = min(f.y0, v[i]-sd[i]), max(f.y1, v[i]+sd[i])
		}
		pad := max(0.12*(f.y1-f.y0), 1e-3*math.Abs(f.y1), 1e-6)
		f.y0, f.y1 = f.y0-pad, f.y1+pad
		band := 0
		for i := 0; i < len(points); {
			j := i
			for j < len(points) && points[j].Season == points[i].Season {
				j++
			}
			a, b := f.x(float64(i)-0.5), f.x(float64(j)-0.5)
			s.rect(fmt.Sprintf("band band%d", band%2), a, f.top, b-a, f.bottom-f.top)
			s.text("bandno", "start", a+6, f.top+16, points[i].Season)
			band++
			i = j
		}
		f.yGrid(s, 4)
		unit := unitOf(w, d)
		if unit != "" {
			unit = ", " + unit
		}
		s.text("unit", "start", f.left, f.top-12, name+unit)
		last := ""
		edge := math.Inf(-1)
		for i, p := range points {
			x := f.x(float64(i))
			if sd[i] > 0 {
				s.line("errorbar", x, f.y(v[i]-sd[i]), x, f.y(v[i]+sd[i]))
			}
			s.dot("pt p1", x, f.y(v[i]), 4.5)
			if p.Day != last && x > edge {
				s.text("tick", "middle", min(max(x, f.left+18), f.right-18), f.bottom+18, p.Day)
				edge = x + 62
			}
			last = p.Day
		}
		n := len(points) - 1
		text, _, _ := w.Parts(d, points[n].Value, 0)
		s.text("value", "end", min(f.x(float64(n))+18, f.right), f.y(v[n])-12, text)
		return s
	})
}
