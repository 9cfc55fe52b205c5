package report

import (
	"math"
	"strings"

	"traplight/internal/quantity"
)

// Said is what the text of a report says of one pass, cut into its parts for doors
// that set it differently: sentences, one a line, and tables of ready cells.
type Said struct {
	Title                                         string
	Fit, Headline, Grip, Power, Air, Where, Gains []string
	Splits, Gears, Engine, Shifts                 Table
}

// Table is a table of ready cells; a column in which no row has anything is left out.
type Table struct {
	Names, Units []string // heading and unit of each column
	Left         []bool   // the column holds words
	Rows         [][]string
}

// Say puts pass i of a report into words, in the units of w.
func (r *Report) Say(i int, w quantity.World) Said {
	s := &r.Passes[i]
	part := func(f func(*printer)) []string {
		p := &printer{world: w, width: math.MaxInt32}
		f(p)
		return sentences(p.String())
	}
	p := &printer{world: w}
	return Said{
		Title:    title(r, s),
		Fit:      withoutHeading(part(func(p *printer) { p.fit(s) })),
		Headline: part(func(p *printer) { p.headline(s) }),
		Grip:     part(func(p *printer) { p.grip(s) }),
		Power:    part(func(p *printer) { p.power(s) }),
		Air:      part(func(p *printer) { p.air(s) }),
		Where:    p.whereSaid(s),
		Gains:    p.gains(s),
		Splits:   p.splitTable(s).told(),
		Gears:    p.gearTable(s).told(),
		Engine:   p.engineTable(s).told(),
		Shifts:   p.shiftTable(s).told(),
	}
}

// SayCautions are the cautions that stand below every report, a sentence each, in
// the units of w.
func (r *Report) SayCautions(w quantity.World) []string {
	p := &printer{world: w, width: math.MaxInt32}
	p.cautions(r)
	out := withoutHeading(sentences(p.String()))
	for i := range out {
		out[i] = strings.TrimPrefix(out[i], "- ")
	}
	return out
}

// Leading are the notes before all others: on what of sheet and notes was not read, and on a log
// that may be another car's.
func (r *Report) Leading() []string { return leading(r) }

func sentences(text string) []string {
	var out []string
	for _, l := range strings.Split(text, "\n") {
		if l = strings.TrimSpace(l); l != "" {
			out = append(out, l)
		}
	}
	return out
}

func withoutHeading(s []string) []string {
	if len(s) == 0 {
		return s
	}
	return s[1:]
}

// told drops the columns that hold nothing.
func (t *table) told() Table {
	var out Table
	var keep []int
	for c := range t.names {
		for _, r := range t.rows {
			if c < len(r) && r[c] != "" {
				keep = append(keep, c)
				break
			}
		}
	}
	for _, c := range keep {
		out.Names = append(out.Names, t.names[c])
		out.Units = append(out.Units, t.units[c])
		out.Left = append(out.Left, t.left[c])
	}
	for _, r := range t.rows {
		var row []string
		for _, c := range keep {
			cell := ""
			if c < len(r) {
				cell = r[c]
			}
			row = append(row, cell)
		}
		out.Rows = append(out.Rows, row)
	}
	return out
}
