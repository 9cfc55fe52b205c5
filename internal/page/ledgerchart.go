package page

import (
	"html/template"
	"math"

	"traplight/internal/quantity"
	"traplight/internal/report"
)

// ledgerChart draws the account of trap speed as bars, ours and given apart.
func ledgerChart(s *report.Pass, w quantity.World) template.HTML {
	if len(s.Ledger) == 0 {
		return ""
	}
	of := func(v float64) float64 { return w.Of(quantity.DimSpeed, v) }
	hi, lo := 0.5, 0.0
	for _, l := range s.Ledger {
		if l.SpeedMps != nil {
			sd := 0.0
			if l.SDMps != nil {
				sd = *l.SDMps
			}
			hi, lo = max(hi, of(*l.SpeedMps+sd)), min(lo, of(*l.SpeedMps-sd))
		}
	}
	return both("Trap speed lost, by cause", func(width float64) *svg {
		s2 := &svg{w: min(width, 760)}
		f := axes{left: 140, right: s2.w - 70, x0: lo, x1: hi}
		if width < 600 {
			f.left, f.right = 112, s2.w-48
		}
		y, from, group := 8.0, 8.0, ""
		for _, l := range s.Ledger {
			if l.SpeedMps == nil {
				continue
			}
			if l.Group != group {
				group = l.Group
				head := "ours to change, " + unitOf(w, quantity.DimSpeed) + " at the trap"
				if group == "given" {
					head = "given, each alone, " + unitOf(w, quantity.DimSpeed)
				}
				if y > from {
					s2.line("zero", f.x(0), from, f.x(0), y)
				}
				y += 14
				s2.text("unit", "start", 4, y, head)
				y += 8
				from = y
			}
			v := of(*l.SpeedMps)
			s2.text("rowname", "end", f.left-8, y+15, l.Cause)
			class := "bar"
			if group == "given" {
				class = "bar given"
			}
			s2.rect(class, min(f.x(0), f.x(v)), y+3, math.Abs(f.x(v)-f.x(0)), 16)
			sd := 0.0
			if l.SDMps != nil {
				sd = *l.SDMps
			}
			if sd > 0 {
				s2.line("errorbar", f.x(max(lo, v-of(sd))), y+11, f.x(min(hi, v+of(sd))), y+11)
			}
			n, _, _ := w.Parts(quantity.DimSpeed, *l.SpeedMps, sd)
			s2.text("value", "start", f.x(max(v+of(sd), 0))+6, y+16, n)
			y += 26
		}
		s2.line("zero", f.x(0), from, f.x(0), y)
		s2.h = y + 8
		return s2
	})
}
