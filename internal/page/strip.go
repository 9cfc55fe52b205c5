package page

import (
	"fmt"
	"html/template"
	"math"

	"traplight/internal/pass"
	"traplight/internal/quantity"
)

// markNames are short forms of the marks for a drawing.
func markName(mark string) string {
	switch mark {
	case "1/8 mile":
		return "⅛ mile"
	case "1/4 mile":
		return "¼ mile"
	case "1/2 mile":
		return "½ mile"
	}
	return mark
}

// asphalt draws the strip itself at height y: the surface with the gears written on
// their bands and the marks across it. It returns the lower edge.
func asphalt(s *svg, a axes, y float64, bands []band, splits []pass.Split, end float64) float64 {
	const thick = 30.0
	s.rect("asphalt", a.x(0), y, a.x(end)-a.x(0), thick)
	s.rect("startline", a.x(0)-1.5, y-4, 3, thick+8)
	for i, b := range bands {
		x0, x1 := a.x(b.from), a.x(b.to)
		s.rect(fmt.Sprintf("lane lane%d", i%2), x0, y+3, x1-x0, thick-6)
		if x1-x0 > 9 {
			s.text("gearno", "middle", (x0+x1)/2, y+thick/2+6, fmt.Sprint(b.gear))
		}
	}
	// The far marks matter most where room is short.
	var names []struct {
		x float64
		t string
	}
	for _, m := range splits {
		if m.Distance > end+0.5 {
			continue
		}
		x := a.x(m.Distance)
		s.line("mark", x, y-3, x, y+thick+3)
		names = append(names, struct {
			x float64
			t string
		}{x, markName(m.Mark)})
	}
	taken := math.Inf(1)
	for i := len(names) - 1; i >= 0; i-- {
		half := 3.6 * float64(len([]rune(names[i].t)))
		x := min(names[i].x, s.w-half-2)
		if x+half+6 > taken || x-half < a.left-20 {
			continue
		}
		taken = x - half
		s.text("markname", "middle", x, y-8, names[i].t)
	}
	return y + thick
}

// stripChart draws speed and wheel torque along the strip over the gear bands, torque
// against what the tyres carry.
func stripChart(p *pass.Pass, w quantity.World) template.HTML {
	r := runOf(p)
	if r == nil {
		return ""
	}
	speed := each(p.Motion.V, func(v float64) float64 { return w.Of(quantity.DimSpeed, v) })
	st := make([]float64, len(speed))
	for i := range st {
		st[i] = p.Motion.Start + float64(i)*p.Motion.Step
	}
	tt, torque := wheelTorque(p)
	torque = each(torque, func(v float64) float64 { return w.Of(quantity.DimTorque, v) })
	bands := r.bands()
	return both(stripWords(p, w), func(width float64) *svg {
		s := &svg{w: width, h: 520}
		small := width < 600
		a := axes{left: 48, right: width - 104, x0: 0, x1: r.end}
		if small {
			a.left, a.right = 36, width-8
		}
		base := asphalt(s, a, 26, bands, p.Splits, r.end)
		speedField, torqueField := a, a
		speedField.top, speedField.bottom = base+34, base+224
		torqueField.top, torqueField.bottom = base+264, base+434
		if len(torque) == 0 {
			s.h = 320
		}
		for i, b := range bands {
			for _, f := range []axes{speedField, torqueField} {
				if len(torque) == 0 && f.top == torqueField.top {
					continue
				}
				s.rect(fmt.Sprintf("band band%d", i%2), f.x(b.from), f.top, f.x(b.to)-f.x(b.from), f.bottom-f.top)
			}
		}
		drawSpeed(s, speedField, r, st, speed, p, w, small)
		last := speedField
		if len(torque) > 0 {
			drawTorque(s, torqueField, r, tt, torque, p, w)
			last = torqueField
		}
		last.x0, last.x1 = w.Of(quantity.DimLength, 0), w.Of(quantity.DimLength, r.end)
		last.xGrid(s, pick(small, 4, 9), false)
		s.text("unit", "end", last.right, last.bottom+32, "distance, "+unitOf(w, quantity.DimLength))
		return s
	})
}

func pick(cond bool, a, b int) int {
	if cond {
		return a
	}
	return b
}

func drawSpeed(s *svg, f axes, r *run, t, speed []float64, p *pass.Pass, w quantity.World, small bool) {
	var x, y []float64
	for i := range t {
		if at := r.at(t[i]); !math.IsNaN(at) && at <= r.end {
			x, y = append(x, at), append(y, speed[i])
		}
	}
	f.y0, f.y1 = 0, top(1, y)
	f.yGrid(s, 4)
	s.text("unit", "start", f.left, f.top-8, "speed, "+unitOf(w, quantity.DimSpeed))
	x, y = thin(x, y, int(f.right-f.left))
	s.path("ln p1", each(x, f.x), each(y, f.y))
	for i, m := range p.Splits {
		if m.Distance > r.end+0.5 {
			continue
		}
		v := w.Of(quantity.DimSpeed, m.Speed.Value)
		s.dot("pt p1", f.x(m.Distance), f.y(v), 3)
		last := i == len(p.Splits)-1 || p.Splits[i+1].Distance > r.end+0.5
		switch {
		case last && !small:
			// The trap's mean speed, told above the drawing, is less than that at its end.
			s.text("value", "start", f.x(m.Distance)+8, f.y(v)+4, w.Speed(m.Speed.Value))
			s.text("tick", "start", f.x(m.Distance)+8, f.y(v)+18, "at the "+markName(m.Mark))
		case last:
			s.text("value", "end", f.x(m.Distance)-6, f.y(v)-8, w.Speed(m.Speed.Value)+" at the "+markName(m.Mark))
		case !small:
			s.text("tick", "start", f.x(m.Distance)+6, f.y(v)+14, fmt.Sprintf("%.0f", v))
		}
	}
}

func drawTorque(s *svg, f axes, r *run, t, torque []float64, p *pass.Pass, w quantity.World) {
	var x, y []float64
	for i := range t {
		if at := r.at(t[i]); !math.IsNaN(at) && at <= r.end {
			x, y = append(x, at), append(y, max(torque[i], 0))
		}
	}
	high := top(1, y)
	bands := r.bands()
	for i := range p.Gears {
		if c := p.Gears[i].CeilingWheelTorque; c != nil && !c.LowerBound {
			if v := w.Of(quantity.DimTorque, c.Value); v < 1.5*high {
				high = max(high, v*1.12)
			}
		}
	}
	f.y0, f.y1 = 0, high
	f.yGrid(s, 4)
	s.text("unit", "start", f.left, f.top-8, "wheel torque, "+unitOf(w, quantity.DimTorque))
	tx, ty := thin(x, y, int(f.right-f.left))
	s.path("ln p1", each(tx, f.x), each(ty, f.y))
	for _, b := range bands {
		g := gearSpan(p, b.gear, r.when((b.from+b.to)/2))
		if g == nil || g.CeilingWheelTorque == nil {
			continue
		}
		c := g.CeilingWheelTorque
		spread := c.SD
		if c.LowerBound {
			spread = 0 // as the report tells a bound, to the unit: rounded up it would promise more
		}
		v, sd := w.Of(quantity.DimTorque, c.Value), math.Abs(w.Of(quantity.DimTorque, spread)-w.Of(quantity.DimTorque, 0))
		if v > f.y1 {
			continue
		}
		x0, x1 := f.x(b.from), f.x(b.to)
		if sd > 0 {
			s.rect("spread", x0, f.y(min(v+sd, f.y1)), x1-x0, f.y(v-sd)-f.y(min(v+sd, f.y1)))
		}
		s.line("ceiling", x0, f.y(v), x1, f.y(v))
		words, _, _ := w.Parts(quantity.DimTorque, c.Value, spread)
		if c.LowerBound {
			words = "≥ " + words
		}
		if x1-x0 > 7*float64(len([]rune(words))) {
			s.text("ceilingno", "middle", (x0+x1)/2, f.y(v)-6, words)
		}
	}
}

func gearSpan(p *pass.Pass, gear int, at float64) *pass.GearSpan {
	for i := range p.Gears {
		if g := &p.Gears[i]; g.Gear == gear && at >= g.Start-0.5 && at <= g.End+0.5 {
			return g
		}
	}
	return nil
}

func stripWords(p *pass.Pass, w quantity.World) string {
	text := "Speed and wheel torque along the strip"
	if n := len(p.Splits); n > 0 {
		text += fmt.Sprintf("; %s at %s", w.Speed(p.Splits[n-1].Speed.Value), p.Splits[n-1].Mark)
	}
	return text
}
