package web

import (
	"context"
	"net/http"
	"net/url"
	"strconv"

	"traplight/internal/app"
	"traplight/internal/plan"
	"traplight/internal/store"
)

// saveNext keeps the settings as a planned entry and writes the forecast down, or looks
// for better ones.
func (s *Server) saveNext(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	name := r.PathValue("car")
	a, err := s.ask(w, r)
	if err == nil && r.PostFormValue("do") == "accept" {
		err = s.shop.accept(ctx, a.pass, r.PostFormValue("id"))
		if err == nil {
			return s.written(w, r, a, r.PostFormValue("id"))
		}
	}
	if err == nil && r.PostFormValue("do") == "card" {
		// Refused before anything is written: a plan nobody may run would be taken for the next pass.
		if no := app.MustInspect(a.opt.Verdict, a.opt.Inspected); no != "" {
			err = wrong("no card: %s", no)
		}
	}
	if err != nil {
		if wantsJSON(r) {
			return err
		}
		v, verr := s.nextView(r, name, r.PostFormValue("id"))
		if verr != nil {
			return verr
		}
		return s.show(w, r, "next", frame{Title: "Next pass", Here: "next", Body: v, Car: v.Car}, err.Error())
	}
	p := a.pass
	id, err := s.shop.freshID(ctx, p)
	if err != nil {
		return err
	}
	text, err := plannedText(id, p, r.PostForm, a.world)
	if err != nil {
		return err
	}
	here := "/cars/" + url.PathEscape(p.Car) + "/next?id=" + url.QueryEscape(id)
	if r.PostFormValue("do") == "plan" {
		if risk, err := strconv.ParseFloat(r.PostFormValue("risk"), 64); err == nil && risk >= 1 && risk <= 50 {
			a.opt.Risk = risk / 100
		}
		j, err := s.jobs.start("fitting "+p.Car+" to its passes", func(ctx context.Context, j *job) (string, error) {
			return here, s.shop.best(ctx, j, a, id, text)
		})
		if err != nil {
			return err
		}
		return s.follow(w, r, j)
	}
	if _, err := s.shop.st.PutEntry(ctx, store.Entry{Kind: store.PlannedEntry, Key: id, Body: text}); err != nil {
		return err
	}
	j, err := s.jobs.start("fitting "+p.Car+" to its passes", func(ctx context.Context, j *job) (string, error) {
		c, err := s.shop.foretell(ctx, j, p, id)
		if err != nil {
			return here, err
		}
		if r.PostFormValue("do") == "card" && c.NoCard(p.Verdict, a.opt.Inspected) == "" {
			return cardAt(p.Car, id), nil
		}
		return here, nil
	})
	if err != nil {
		return err
	}
	return s.follow(w, r, j)
}

func cardAt(car, id string) string {
	return "/cars/" + url.PathEscape(car) + "/card/" + url.PathEscape(id)
}

// written leads to the card of a forecast that was just written down, or to why there is
// none.
func (s *Server) written(w http.ResponseWriter, r *http.Request, a *asked, id string) error {
	to := cardAt(a.pass.Car, id)
	if plan.MustInspect(a.pass.Verdict, a.opt.Inspected) {
		to = "/cars/" + url.PathEscape(a.pass.Car) + "/next?id=" + url.QueryEscape(id)
	}
	if wantsJSON(r) {
		return writeJSON(w, r, http.StatusAccepted, Started{At: to})
	}
	http.Redirect(w, r, to, http.StatusSeeOther)
	return nil
}
