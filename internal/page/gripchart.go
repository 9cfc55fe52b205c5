package page

import (
	"fmt"
	"html/template"
	"math"

	"traplight/internal/pass"
)

// gripChart draws used grip against tyre slip with the fitted curve.
func gripChart(p *pass.Pass) template.HTML {
	g := p.Grip
	if g == nil || len(g.CurveSlip) == 0 && len(g.Slip) == 0 {
		return ""
	}
	// Slip beyond a third is a burnout: the picture would have no room for the peak.
	x1, y1 := 0.1, 0.5
	for i, s := range g.Slip {
		if g.Used[i] > 0 {
			x1, y1 = max(x1, s), max(y1, g.Used[i])
		}
	}
	x1 = min(x1*1.05, max(0.35, 3*g.PeakSlip.Value))
	for _, v := range g.CurveGrip {
		y1 = max(y1, v)
	}
	words := fmt.Sprintf("Used grip against tyre slip; the peak, %.2f, is at %.1f %% of slip", g.PeakGrip.Value, 100*g.PeakSlip.Value)
	if !g.ReachedPeak {
		words = "Used grip against tyre slip; the slip of peak grip was not passed"
	}
	return both(words, func(width float64) *svg {
		s := &svg{w: min(width, 480), h: 330}
		f := axes{left: 44, right: s.w - 16, top: 28, bottom: 284, x0: 0, x1: 100 * x1, y0: 0, y1: y1 * 1.08}
		f.yGrid(s, 5)
		f.xGrid(s, 6, false)
		s.text("unit", "start", f.left, f.top-10, "used grip (drive force over load)")
		s.text("unit", "end", f.right, f.bottom+34, "tyre slip, %")
		// A thousand points are enough for a cloud.
		step := max(1, len(g.Slip)/1000)
		for i := 0; i < len(g.Slip); i += step {
			sl, u := 100*g.Slip[i], g.Used[i]
			if sl < 0 || sl > f.x1 || u < 0 || u > f.y1 || math.IsNaN(sl) || math.IsNaN(u) {
				continue
			}
			fmt.Fprintf(s, `<circle class="cloud" cx="%s" cy="%s" r="1.8"/>`, num(f.x(sl)), num(f.y(u)))
		}
		var cx, cy []float64
		for i := range g.CurveSlip {
			if 100*g.CurveSlip[i] <= f.x1 {
				cx = append(cx, f.x(100*g.CurveSlip[i]))
				cy = append(cy, f.y(g.CurveGrip[i]))
			}
		}
		s.path("ln p1", cx, cy)
		if g.PeakSlip.Value > 0 && 100*g.PeakSlip.Value < f.x1 && g.PeakGrip.Value < f.y1 {
			px, py := f.x(100*g.PeakSlip.Value), f.y(g.PeakGrip.Value)
			if sd := 100 * g.PeakSlip.SD; sd > 0 {
				s.line("errorbar", f.x(max(0, 100*g.PeakSlip.Value-sd)), py, f.x(min(f.x1, 100*g.PeakSlip.Value+sd)), py)
			}
			if g.ReachedPeak {
				s.dot("pt p1", px, py, 5)
				s.text("value", "middle", min(max(px, f.left+70), f.right-70), py-12, fmt.Sprintf("peak %.2f at %.1f %%", g.PeakGrip.Value, 100*g.PeakSlip.Value))
			} else {
				s.text("soft", "middle", min(max(px, f.left+90), f.right-90), py-12, "peak not passed; guessed here")
			}
		}
		return s
	})
}
