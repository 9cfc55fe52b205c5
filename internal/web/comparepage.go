package web

import (
	"context"
	"fmt"
	"html/template"
	"math"
	"net/http"
	"net/url"
	"strings"

	"traplight/internal/compare"
	"traplight/internal/page"
	"traplight/internal/quantity"
	"traplight/internal/report"
	"traplight/internal/store"
)

// maxCompared is how many passes the palette tells apart.
const maxCompared = 6

type compareView struct {
	page.ComparisonDrawings
	All       []pickRow
	Said      []string
	Lines     []compareLine
	Notes     []string
	Chosen    int
	By        page.Axis
	Axes      []axisLink
	Against   template.HTML // by another axis than distance
	Causes    report.Table  // what went where, by cause
	CauseLine string
	Waiting   string // the work that makes an account; "" when none goes on
}

type axisLink struct {
	By   page.Axis
	At   string
	Here bool
}

type pickRow struct {
	store.Pass
	Called string
	On     bool
	Trap   string
}

type compareLine struct {
	Name  string
	Class int
	First bool
}

func (s *Server) compare(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	v := compareView{}
	all, err := s.shop.st.Passes(ctx, store.Filter{})
	if err != nil {
		return err
	}
	names := r.URL.Query()["pass"]
	chosen := map[string]bool{}
	var passes []store.Pass
	trouble := ""
	for _, n := range names {
		p, err := s.shop.st.FindOne(ctx, n)
		if err != nil {
			trouble = err.Error()
			continue
		}
		if !chosen[p.Name] {
			chosen[p.Name] = true
			passes = append(passes, p)
		}
	}
	for i := len(all) - 1; i >= 0; i-- {
		row := pickRow{Pass: all[i], Called: called(all[i], nil), On: chosen[all[i].Name]}
		if t := all[i].TrapSpeed; t != nil {
			row.Trap = s.world(r, all[i].Car).Speed(*t)
		}
		v.All = append(v.All, row)
	}
	v.Chosen = len(passes)
	if len(passes) > maxCompared {
		trouble = "no more than six passes can be told apart; take some out"
		passes = passes[:maxCompared]
	}
	f := frame{Title: "Compare", Here: "compare"}
	if len(passes) > 0 {
		f.Car = passes[0].Car
	}
	if len(passes) >= 2 {
		in, notes, err := s.shop.opened(ctx, passes, calledAll(passes))
		var c *compare.Comparison
		if err == nil {
			c, err = along(in)
		}
		if err != nil {
			trouble = err.Error()
		} else {
			world := s.world(r, passes[0].Car)
			v.ComparisonDrawings, v.Said, v.Notes = page.DrawComparison(c, world), c.Sentences(world), notes
			v.by(r, in, world)
			s.causes(ctx, &v, passes, world)
			for i, l := range c.Lines {
				v.Lines = append(v.Lines, compareLine{l.Name, i%maxCompared + 1, i == 0})
			}
		}
	}
	f.Body = v
	return s.show(w, r, "compare", f, trouble)
}

// by draws the comparison by the axis that is asked for.
func (v *compareView) by(r *http.Request, in []compare.Pass, w quantity.World) {
	v.By = page.ByDistance
	q := r.URL.Query()
	for _, a := range page.Axes() {
		if q.Get("by") == string(a) {
			v.By = a
		}
	}
	for _, a := range page.Axes() {
		to := url.Values{"pass": q["pass"], "by": {string(a)}}
		v.Axes = append(v.Axes, axisLink{a, "/compare?" + to.Encode(), a == v.By})
	}
	if v.By != page.ByDistance {
		v.Against = page.DrawAgainst(in, v.By, w)
	}
}

// causes holds the accounts of the passes against each other.
func (s *Server) causes(ctx context.Context, v *compareView, passes []store.Pass, w quantity.World) {
	unit := w.Unit(quantity.DimSpeed).Symbol
	t := report.Table{Names: []string{"cause"}, Units: []string{""}, Left: []bool{true}}
	var all [][]report.Ledger
	for _, p := range passes {
		_, inputs, err := s.shop.report(ctx, p.SHA256)
		if err != nil {
			return
		}
		lines, _, ok := s.shop.account(p, inputs)
		if !ok && p.Complete {
			j, err := s.jobs.once("ledger "+p.SHA256+inputs, "accounting for the speed of "+p.Name, func(ctx context.Context, j *job) (string, error) {
				return "", s.shop.workAccount(ctx, j, p)
			})
			if err == nil && !j.now().Finished {
				v.Waiting = j.ID
			}
		}
		all = append(all, lines)
		t.Names, t.Units, t.Left = append(t.Names, called(p, passes)), append(t.Units, unit+" lost"), append(t.Left, false)
	}
	find := func(k int, cause string) *report.Ledger {
		for i := range all[k] {
			if all[k][i].Cause == cause && all[k][i].SpeedMps != nil {
				return &all[k][i]
			}
		}
		return nil
	}
	if len(passes) == 2 {
		t.Names, t.Units, t.Left = append(t.Names, "difference"), append(t.Units, unit), append(t.Left, false)
	}
	most, said := 0.0, ""
	for _, l := range all[0] {
		row := []string{l.Cause}
		for k := range passes {
			cell := ""
			if o := find(k, l.Cause); o != nil {
				n, spread, _ := w.Parts(quantity.DimSpeed, *o.SpeedMps, or(o.SDMps))
				if cell = strings.Replace(n, "-", "−", 1); spread != "" {
					cell += " ± " + spread
				}
			}
			row = append(row, cell)
		}
		if a, b := find(0, l.Cause), find(1, l.Cause); len(passes) == 2 {
			cell := ""
			if a != nil && b != nil {
				d, sd := *b.SpeedMps-*a.SpeedMps, math.Hypot(or(a.SDMps), or(b.SDMps))
				cell = signed(w, quantity.DimSpeed, d, sd)
				// A cause answers where it goes the way that the trap speeds went.
				if l.Group == "ours" && math.Abs(d) > most && math.Abs(d) > sd && d*slower(passes[1], passes[0]) >= 0 {
					most = math.Abs(d)
					more := "more"
					if d < 0 {
						more = "less"
					}
					n, spread, unit := w.Parts(quantity.DimSpeed, most, sd)
					said = fmt.Sprintf("By cause: %s, where %s lost %s %s %s (± %s) than %s.", l.Cause, called(passes[1], passes), n, unit, more, spread, called(passes[0], passes))
				}
			}
			row = append(row, cell)
		}
		t.Rows = append(t.Rows, row)
	}
	if len(t.Rows) > 0 {
		v.Causes, v.CauseLine = t, said
	}
}

// slower is by how much, m/s, pass p was slower than q through the trap; 0 where either has
// no trap speed.
func slower(p, q store.Pass) float64 {
	if p.TrapSpeed == nil || q.TrapSpeed == nil {
		return 0
	}
	return *q.TrapSpeed - *p.TrapSpeed
}

// opened are passes of the store with their motion, under the names that they are to have.
func (h *shop) opened(ctx context.Context, passes []store.Pass, names []string) (in []compare.Pass, notes []string, err error) {
	for i, p := range passes {
		src, err := h.source(ctx, p)
		if err != nil {
			return nil, nil, err
		}
		if p.Number >= len(src.Passes) {
			return nil, nil, wrong("%s: pass %d is not found in it any more", p.File, p.Number+1)
		}
		in = append(in, compare.Pass{Name: names[i], Pass: src.Passes[p.Number]})
		for _, n := range src.Passes[p.Number].Notes {
			notes = append(notes, names[i]+": "+n)
		}
	}
	return in, notes, nil
}

// along compares passes with the first of them.
func along(in []compare.Pass) (*compare.Comparison, error) {
	c, err := compare.Along(in)
	if err != nil {
		return nil, wrong("%v", err)
	}
	return c, nil
}
