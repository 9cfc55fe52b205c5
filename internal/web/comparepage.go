package web

import (
	"context"
	"net/http"

	"traplight/internal/compare"
	"traplight/internal/page"
	"traplight/internal/store"
)

// maxCompared is how many passes the palette tells apart.
const maxCompared = 6

type compareView struct {
	page.ComparisonDrawings
	All    []pickRow
	Said   []string
	Lines  []compareLine
	Notes  []string
	Chosen int
}

type pickRow struct {
	store.Pass
	On   bool
	Trap string
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
		row := pickRow{Pass: all[i], On: chosen[all[i].Name]}
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
		c, notes, err := s.shop.along(ctx, passes)
		if err != nil {
			trouble = err.Error()
		} else {
			world := s.world(r, passes[0].Car)
			v.ComparisonDrawings, v.Said, v.Notes = page.DrawComparison(c, world), c.Sentences(world), notes
			for i, l := range c.Lines {
				v.Lines = append(v.Lines, compareLine{l.Name, i%maxCompared + 1, i == 0})
			}
		}
	}
	f.Body = v
	return s.show(w, r, "compare", f, trouble)
}

// along compares passes of the store with the first of them.
func (h *shop) along(ctx context.Context, passes []store.Pass) (*compare.Comparison, []string, error) {
	var in []compare.Pass
	var notes []string
	for _, p := range passes {
		src, err := h.source(ctx, p)
		if err != nil {
			return nil, nil, err
		}
		if p.Number >= len(src.Passes) {
			return nil, nil, wrong("%s: pass %d is not found in it any more", p.File, p.Number+1)
		}
		in = append(in, compare.Pass{Name: p.Name, Pass: src.Passes[p.Number]})
		for _, n := range src.Passes[p.Number].Notes {
			notes = append(notes, p.Name+": "+n)
		}
	}
	c, err := compare.Along(in)
	if err != nil {
		return nil, nil, wrong("%v", err)
	}
	return c, notes, nil
}
