package page

import (
	"fmt"
	"html/template"
	"math"
	"strings"

	"traplight/internal/report"
)

// shownFinding is a finding with its pictures.
type shownFinding struct {
	report.Finding
	Plots []template.HTML
}

// shownFindings draws what shows each finding.
func shownFindings(h *report.Health) []shownFinding {
	if h == nil {
		return nil
	}
	var out []shownFinding
	for _, f := range h.Findings {
		s := shownFinding{Finding: f}
		for i := range f.Plots {
			if d := plotChart(&f.Plots[i], f.StartS); d != "" {
				s.Plots = append(s.Plots, d)
			}
		}
		out = append(out, s)
	}
	return out
}

// plotGap is the time without a reading over which no line is drawn, s: a shift.
const plotGap = 0.2

// unbroken cuts ascending times, s, where a step is longer than gap: index from and
// to of each part.
func unbroken(t []float64, gap float64) [][2]int {
	var out [][2]int
	from := 0
	for i := 1; i <= len(t); i++ {
		if i == len(t) || t[i]-t[i-1] > gap {
			out = append(out, [2]int{from, i})
			from = i
		}
	}
	return out
}

// plotChart draws a reading about a finding's start, s on the log's own clock, over
// the band in which the car's normal lies; time counts from that start.
func plotChart(p *report.Plot, start *float64) template.HTML {
	n := len(p.TimeS)
	if n < 4 || start == nil || len(p.Reading) != n || len(p.Low) != n || len(p.High) != n || len(p.Expected) != n {
		return ""
	}
	f := axes{x0: p.TimeS[0] - *start, x1: p.TimeS[n-1] - *start, y0: math.Inf(1), y1: math.Inf(-1)}
	for i := range n {
		f.y0 = min(f.y0, p.Reading[i], p.Low[i])
		f.y1 = max(f.y1, p.Reading[i], p.High[i])
	}
	pad := max(0.06*(f.y1-f.y0), 1e-9)
	f.y0, f.y1 = f.y0-pad, f.y1+pad
	if !(f.x1 > f.x0) {
		return ""
	}
	what := fmt.Sprintf("%s about the start of the finding, with the band of a healthy pass", p.Title)
	return both(what, func(width float64) *svg {
		s := &svg{w: width, h: 230}
		a := f
		a.left, a.right, a.top, a.bottom = 56, width-16, 30, 184
		if width < 600 {
			a.left, a.right = 44, width-6
		}
		at := func(t float64) float64 { return a.x(t - *start) }
		parts := unbroken(p.TimeS, plotGap)
		for _, k := range parts {
			var band strings.Builder
			for i := k[0]; i < k[1]; i++ {
				fmt.Fprintf(&band, "%s,%s ", num(at(p.TimeS[i])), num(a.y(p.High[i])))
			}
			for i := k[1] - 1; i >= k[0]; i-- {
				fmt.Fprintf(&band, "%s,%s ", num(at(p.TimeS[i])), num(a.y(p.Low[i])))
			}
			fmt.Fprintf(s, `<polygon class="spread" points="%s"/>`, strings.TrimSpace(band.String()))
		}
		a.yGrid(s, 4)
		a.xGrid(s, pick(width < 600, 4, 8), false)
		if a.x0 < 0 && a.x1 > 0 {
			s.line("mark", a.x(0), a.top, a.x(0), a.bottom)
		}
		for _, k := range parts {
			t := each(p.TimeS[k[0]:k[1]], at)
			s.path("ln thin p2", t, each(p.Expected[k[0]:k[1]], a.y))
			s.path("ln p1", t, each(p.Reading[k[0]:k[1]], a.y))
		}
		title := p.Title
		if p.Unit != "" {
			title += ", " + p.Unit
		}
		s.text("unit", "start", a.left, a.top-10, title)
		s.text("unit", "end", a.right, a.bottom+34, "seconds from the start of the finding")
		return s
	})
}
