package page

import (
	"fmt"
	"html/template"
	"io"
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
