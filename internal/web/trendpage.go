package web

import (
	"encoding/json"
	"html/template"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"

	"traplight/internal/app"
	"traplight/internal/forecast"
	"traplight/internal/num/stats"
	"traplight/internal/page"
	"traplight/internal/quantity"
	"traplight/internal/report"
	"traplight/internal/store"
)

type trendsView struct {
	Car     string
	Names   []trendLink
	Name    string
	Answer  string
	Picture template.HTML
	Seasons report.Table

	Waiting   string   // the work that follows the relations of the health screen; "" when none goes on
	Courses   []string // what of them drifts or made a step
	Summary   string
	Relations []trendLink
	Relation  bool // one of them is shown
}

type trendLink struct {
	Name, At string
	Here     bool
}

// trends follows one figure of a car over its passes and seasons.
func (s *Server) trends(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	passes, err := s.shop.st.Passes(ctx, store.Filter{Car: r.PathValue("car")})
	if err != nil {
		return err
	}
	if len(passes) == 0 {
		return status(http.StatusNotFound, noPassYet(r.PathValue("car")))
	}
	v := trendsView{Car: passes[0].Car, Name: r.URL.Query().Get("of")}
	world := s.world(r, v.Car)
	points := map[string][]page.TrendPoint{}
	dims := map[string]quantity.Dimension{}
	var names []string
	for _, p := range passes {
		rep, _, err := s.shop.report(ctx, p.SHA256)
		if err != nil || p.Number >= len(rep.Passes) {
			continue
		}
		for _, f := range app.Figures(&rep.Passes[p.Number]) {
			if !slices.Contains(names, f.Name) {
				names = append(names, f.Name)
			}
			dims[f.Name] = f.Dim
			points[f.Name] = append(points[f.Name], page.TrendPoint{Season: seasonOf(p), Day: shortDay(p.RunAt), Value: f.Value, SD: f.SD})
		}
	}
	if !slices.Contains(names, v.Name) && len(names) > 0 {
		v.Name = names[0]
	}
	for _, n := range names {
		v.Names = append(v.Names, trendLink{n, "/cars/" + url.PathEscape(v.Car) + "/trends?of=" + url.QueryEscape(n), n == v.Name})
	}
	if err := s.relations(r, &v, passes, world); err != nil {
		return err
	}
	if v.Relation {
		return s.show(w, r, "trends", frame{Title: "Trends of " + v.Car, Here: "cars", Body: v, Car: v.Car}, "")
	}
	of, d := points[v.Name], dims[v.Name]
	v.Picture = page.DrawTrend(v.Name, d, of, world)
	v.Seasons, v.Answer = seasonsOf(d, of, world)
	return s.show(w, r, "trends", frame{Title: "Trends of " + v.Car, Here: "cars", Body: v, Car: v.Car}, "")
}

func seasonOf(p store.Pass) string {
	if len(p.RunAt) < 4 {
		return "no date"
	}
	return p.RunAt[:4]
}

// shortDay is "06-11" of "2033-06-11T...".
func shortDay(at string) string {
	if len(at) < 10 {
		return ""
	}
	if t, err := time.Parse(time.DateOnly, at[:10]); err == nil {
		return t.Format("2 Jan")
	}
	return at[5:10]
}

// seasonsOf tables a figure season by season.
func seasonsOf(d quantity.Dimension, of []page.TrendPoint, w quantity.World) (t report.Table, answer string) {
	unit := w.Unit(d).Symbol
	t = report.Table{Names: []string{"season", "passes", "lowest", "middle", "highest", "last"}, Units: []string{"", "", unit, unit, unit, unit}, Left: []bool{true, false, false, false, false, false}}
	text := func(v float64) string { n, _, _ := w.Parts(d, v, 0); return n }
	for i := 0; i < len(of); {
		j := i
		var v []float64
		for ; j < len(of) && of[j].Season == of[i].Season; j++ {
			v = append(v, of[j].Value)
		}
		last := v[len(v)-1]
		slices.Sort(v)
		t.Rows = append(t.Rows, []string{of[i].Season, number0(len(v)), text(v[0]), text(stats.Median(v)), text(v[len(v)-1]), text(last)})
		i = j
	}
	if n := len(of); n > 0 {
		answer = text(of[n-1].Value) + " " + unit + " in the last pass"
		if n > 1 {
			var v []float64
			for _, p := range of[:n-1] {
				v = append(v, p.Value)
			}
			answer += "; " + text(stats.Median(v)) + " in the middle of the " + number0(n-1) + " before"
		}
		answer += "."
	}
	return t, answer
}

type recordView struct {
	Waiting []planLine // written down, and not run yet
	Count   int
	Answer  string
	Facts   []Fact
	Table   report.Table
}

// record tells how good the forecasts have been.
func (s *Server) record(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	all, err := s.shop.st.Forecasts(ctx, "")
	if err != nil {
		return err
	}
	passes, err := s.shop.st.Passes(ctx, store.Filter{})
	if err != nil {
		return err
	}
	out, track := app.Record(all, passes, readAnswer)
	v := recordView{Count: track.Count, Waiting: s.plansOf(r, all, passes)}
	name := ""
	if len(out) > 0 {
		name = out[len(out)-1].Pass.Car
	}
	world := s.world(r, name)
	unit := world.Unit(quantity.DimSpeed).Symbol
	speed := func(x float64) string { return digits1(world.Of(quantity.DimSpeed, x)) }
	v.Table = report.Table{Names: []string{"pass", "written down", "forecast", "nine in ten", "it came", "forecast off by"}, Units: []string{"", "", unit, unit, unit, unit}, Left: []bool{true, true, false, true, false, false}}
	inside := 0
	for _, o := range out {
		word := ""
		if o.Score.Inside {
			inside++
		} else {
			word = ", outside"
		}
		// as sure as the forecast was; what came is as sure as it was measured
		said := func(x float64) string { n, _, _ := world.Parts(quantity.DimSpeed, x, o.Said.SD); return n }
		came, _, _ := world.Parts(quantity.DimSpeed, *o.Pass.TrapSpeed, or(o.Pass.TrapSpeedSD))
		off, _, _ := strings.Cut(signed(world, quantity.DimSpeed, o.Score.Error, o.Said.SD), " ")
		v.Table.Rows = append(v.Table.Rows, []string{o.Pass.Car + ", " + calledThen(o.Pass), momentOf(o.Recorded), said(o.Said.Mean), said(o.Said.P05) + " to " + said(o.Said.P95), came, off + word})
	}
	if track.Count > 0 {
		v.Answer = number0(inside) + " of " + quantity.Count(track.Count, "pass", "passes") + " came within their forecast; nine in ten should."
		v.Facts = []Fact{
			{"Usual miss", speed(track.MedianAbs) + " " + unit, "half of the passes came nearer than that"},
			{"Forecast less outcome", signed1(world.Of(quantity.DimSpeed, track.MeanError)) + " " + unit, "in the mean"},
			{"Ranked probability score", speed(track.CRPS) + " " + unit, "in the mean; smaller is better, 0 is a sure and right word"},
		}
	}
	return s.show(w, r, "record", frame{Title: "Forecasts and what came", Here: "cars", Body: v}, "")
}

func readAnswer(body []byte) (*forecast.Answer, error) {
	a := &forecast.Answer{}
	return a, json.Unmarshal(body, a)
}
