package web

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"

	"traplight/internal/app"
	"traplight/internal/car"
	"traplight/internal/life"
	"traplight/internal/quantity"
	"traplight/internal/store"
)

type partsView struct {
	Car      string
	Text     string
	Lines    []string // what is wrong with it
	Known    bool     // there is a parts file
	Waiting  string
	Answer   string
	Due      []string
	Rows     []partRow
	Kinds    []string
	Notes    []string
	Cautions []string
	Example  string
}

type partRow struct {
	life.Part
	Title   string
	Full    string // time at full throttle
	Highest string
	Took    string // damage, in words
	LeftSay string
	Over    string
}

func (s *Server) parts(w http.ResponseWriter, r *http.Request) error {
	return s.showParts(w, r, "", nil)
}

func (s *Server) showParts(w http.ResponseWriter, r *http.Request, text string, lines []string) error {
	ctx := r.Context()
	sheet, err := s.shop.sheet(ctx, r.PathValue("car"))
	if err != nil {
		return err
	}
	v := partsView{Car: sheet.Name, Lines: lines, Example: app.PartsToFillIn}
	kept := s.shop.app.PartsText(ctx, v.Car)
	v.Known, v.Text = kept != "", kept
	trouble := ""
	if lines != nil {
		v.Text, trouble = text, "the parts were not kept; what is wrong stands above them"
	}
	world := s.world(r, v.Car)
	if v.Known {
		res, job, err := s.countParts(ctx, v.Car, kept)
		if err != nil {
			trouble = err.Error()
		}
		v.Waiting = job
		if res != nil {
			mates, err := s.shop.st.Passes(ctx, store.Filter{Car: v.Car})
			if err != nil {
				return err
			}
			v.fill(res, world, mates)
		}
	}
	return s.show(w, r, "parts", frame{Title: "What is used up", Here: "cars", Body: v, Car: v.Car}, trouble)
}

func (v *partsView) fill(res *app.PartsAnswer, w quantity.World, mates []store.Pass) {
	v.Notes, v.Cautions = res.Notes, res.Cautions
	if v.Answer, v.Due = res.Answer(); len(v.Due) == 1 {
		v.Answer = sentence(v.Due[0])
	}
	for _, p := range res.Parts {
		row := partRow{Part: p, Title: strings.TrimSpace(p.Name + " " + p.Serial), Full: fmt.Sprintf("%.0f s", p.FullTime)}
		if p.Highest != nil {
			row.Highest = w.Text(car.Load(p.Load).Dimension(), *p.Highest)
		}
		switch {
		case p.Damage != nil && p.Damage.AtLeast:
			row.Took = fmt.Sprintf("at least %s of %s", percent(p.Damage.Value), percent(p.DueDamage))
		case p.Damage != nil:
			row.Took = percent(p.Damage.Value)
			if p.Damage.High >= 0.01 {
				row.Took += fmt.Sprintf(" (%s to %s)", percent(p.Damage.Low), percent(p.Damage.High))
			}
			row.Took += fmt.Sprintf(" of its life; due at %s", percent(p.DueDamage))
		case p.Hardest != nil && p.Hardest.Times > 0:
			row.Took = fmt.Sprintf("hardest: %s, %.1f times the usual", calledByFile(p.Hardest.Name, mates), p.Hardest.Times)
		}
		if p.Left != nil {
			row.LeftSay = fmt.Sprintf("at least %s, by %s", quantity.Count(p.Left.Passes, "pass", "passes"), p.Left.By)
			if p.Left.Passes > 200 {
				row.LeftSay = "more than 200 passes, by " + p.Left.By
			}
		}
		if p.Over > 0 {
			row.Over = fmt.Sprintf("%d times over its limit, %.1f s", p.Over, p.OverTime)
		}
		v.Rows = append(v.Rows, row)
	}
	for _, k := range res.Kinds {
		if k.B10 == nil || k.Failures == 0 {
			continue // without failures it says how little is known
		}
		v.Kinds = append(v.Kinds, fmt.Sprintf("%s: nine of ten last at least %.0f passes (%d failed, %d did not).", k.Name, k.B10.Low, k.Failures, k.Suspensions))
	}
}

func (s *Server) saveParts(w http.ResponseWriter, r *http.Request) error {
	r.Body = http.MaxBytesReader(w, r.Body, 1<<20)
	sheet, err := s.shop.sheet(r.Context(), r.PathValue("car"))
	if err != nil {
		return err
	}
	text := strings.ReplaceAll(r.PostFormValue("text"), "\r\n", "\n")
	if lines := checkParts(text); len(lines) > 0 {
		if wantsJSON(r) {
			return wrong("%s", strings.Join(lines, " "))
		}
		return s.showParts(w, r, text, lines)
	}
	if err := s.shop.app.KeepParts(r.Context(), sheet.Name, text); err != nil {
		return err
	}
	if wantsJSON(r) {
		return s.apiParts(w, r)
	}
	http.Redirect(w, r, "/cars/"+url.PathEscape(sheet.Name)+"/parts", http.StatusSeeOther)
	return nil
}

// checkParts gives a sentence for each thing wrong with a parts file.
func checkParts(text string) []string {
	const file = "parts.toml"
	p, err := car.ParseParts(file, []byte(text))
	if err == nil {
		err = p.StrictErr()
	}
	return linesOf(file, err)
}

func (s *Server) apiParts(w http.ResponseWriter, r *http.Request) error {
	ctx, name := r.Context(), r.PathValue("car")
	text := s.shop.app.PartsText(ctx, name)
	if text == "" {
		return status(http.StatusNotFound, fmt.Errorf("no parts of %s were written down", name))
	}
	res, job, err := s.countParts(ctx, name, text)
	if err != nil {
		return err
	}
	if res == nil {
		return writeJSON(w, r, http.StatusAccepted, Started{Job: job, At: "/jobs/" + job})
	}
	return writeJSON(w, r, http.StatusOK, res.Result)
}
