package page

import (
	"fmt"
	"html/template"
	"math"

	"traplight/internal/dictionary"
	"traplight/internal/pass"
	"traplight/internal/quantity"
)

// The boost picture shows this long before and after the end of a shift, s.
const boostBefore, boostAfter = 0.7, 1.6

// boostChart lays boost around each shift over each other, time counted from the
// shift's end.
func boostChart(p *pass.Pass, set *dictionary.Set, w quantity.World) template.HTML {
	man := set.First(quantity.ManifoldPressure)
	if man == nil || p.AirPath == nil || len(p.Shifts) == 0 {
		return ""
	}
	zero := p.AirPath.ManifoldZero
	pressure := func(v float64) float64 { return w.Of(quantity.DimPressure, v) }
	type curve struct {
		t, v []float64
		name string
		back float64 // s, NaN
		at   float64 // level there
	}
	var curves []curve
	lo, hi := 0.0, 1.0
	for i, s := range p.Shifts {
		from, to := s.End.Value-boostBefore, s.End.Value+boostAfter
		if i+1 < len(p.Shifts) {
			to = min(to, p.Shifts[i+1].Start.Value-0.05)
		}
		if i > 0 {
			from = max(from, p.Shifts[i-1].End.Value+0.05)
		}
		x := man.Trace.Slice(from, to)
		c := curve{name: fmt.Sprintf("%d–%d", s.From, s.To), back: math.NaN()}
		for k := range x.T {
			v := pressure(x.V[k] - zero)
			c.t = append(c.t, x.T[k]-s.End.Value)
			c.v = append(c.v, v)
			lo, hi = min(lo, v), max(hi, v)
		}
		if len(c.t) < 3 {
			continue
		}
		if s.Recovery != nil && s.Recovery.Value > 0 {
			c.back = s.Recovery.Value
			for k := range c.t {
				if c.t[k] >= c.back {
					c.at = c.v[k]
					break
				}
			}
		}
		curves = append(curves, c)
	}
	if len(curves) == 0 {
		return ""
	}
	return both("Boost around each shift, laid over each other, time counted from the end of the shift", func(width float64) *svg {
		s := &svg{w: width, h: 330}
		f := axes{left: 48, right: width - 60, top: 28, bottom: 284, x0: -boostBefore, x1: boostAfter, y0: lo - 0.04*(hi-lo), y1: hi + 0.06*(hi-lo)}
		if width < 600 {
			f.left, f.right = 36, width-34
		}
		f.yGrid(s, 5)
		f.xGrid(s, pick(width < 600, 5, 9), false)
		s.line("zero", f.x(0), f.top, f.x(0), f.bottom)
		s.text("soft keep", "start", f.x(0)+5, f.bottom-6, "shift ends")
		s.text("unit", "start", f.left, f.top-10, "boost, "+unitOf(w, quantity.DimPressure))
		s.text("unit", "end", f.right, f.bottom+34, "seconds from the shift's end")
		var ends []label
		for i, c := range curves {
			class := fmt.Sprintf("p%d", i%6+1)
			tx, ty := thin(c.t, c.v, 400)
			s.path("ln thin "+class, each(tx, f.x), each(ty, f.y))
			if !math.IsNaN(c.back) && c.back < boostAfter {
				s.dot("pt "+class, f.x(c.back), f.y(c.at), 4)
			}
			last := len(c.t) - 1
			ends = append(ends, label{f.y(c.v[last]) + 4, "value f" + class, c.name})
		}
		for _, l := range spread(ends, 15, f.top+8, f.bottom) {
			s.text(l.class, "start", f.right+5, l.y, l.text)
		}
		return s
	})
}
