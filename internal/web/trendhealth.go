package web

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"

	"traplight/internal/app"
	"traplight/internal/health"
	"traplight/internal/page"
	"traplight/internal/quantity"
	"traplight/internal/store"
)

// relationKey stands before the name of a relation in the address, so that none is taken for
// a figure of the report.
const relationKey = "health: "

// relations follows what the health screen holds against each other, pass by pass: which of it
// drifts or made a step, and the one that is asked for as a drawing.
func (s *Server) relations(r *http.Request, v *trendsView, passes []store.Pass, w quantity.World) error {
	k, job, err := s.healthTrends(r.Context(), passes[len(passes)-1])
	v.Waiting = job
	if err != nil || k == nil {
		return err
	}
	v.Courses, v.Summary = k.Courses(w)
	asked := strings.TrimPrefix(r.URL.Query().Get("of"), relationKey)
	named := map[string]int{}
	for _, t := range k.Trends {
		name := t.What
		if named[t.What]++; named[t.What] > 1 { // such as one of each bank
			name = fmt.Sprintf("%s, %d", t.What, named[t.What])
		}
		link := trendLink{name, "/cars/" + url.PathEscape(v.Car) + "/trends?of=" + url.QueryEscape(relationKey+name), name == asked}
		if link.Here {
			v.draw(t, passes, w)
			for i := range v.Names {
				v.Names[i].Here = false
			}
		}
		if t.Course != "steady" {
			link.Name += " (" + t.Course + ")"
		}
		v.Relations = append(v.Relations, link)
	}
	return nil
}

// draw shows one relation, the events on their bands.
func (v *trendsView) draw(t health.Trend, passes []store.Pass, w quantity.World) {
	v.Relation, v.Name, v.Answer = true, t.What, app.CourseSaid(t, w)
	off, sd, unit := app.Departures(t, w)
	var points []page.TrendPoint
	for i, name := range t.Passes {
		p := page.TrendPoint{Value: off[i], SD: sd[i], Season: "no date"}
		for _, k := range passes {
			if fmt.Sprintf("%s pass %d", k.File, k.Number+1) == name {
				p.Day, p.Season = shortDay(k.RunAt), strings.TrimSpace(k.Event+" "+seasonOf(k))
			}
		}
		points = append(points, p)
	}
	v.Picture = page.DrawTrend(t.What+" from its mean, "+unit, quantity.DimNumber, points, w)
}
