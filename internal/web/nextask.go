package web

import (
	"context"
	"fmt"
	"net/http"

	"traplight/internal/app"
	"traplight/internal/car"
	"traplight/internal/quantity"
	"traplight/internal/store"
)

// model is the car fitted to its passes; nil when it has to be fitted first.
func (h *shop) model(ctx context.Context, name string) (*foretold, string, error) {
	key, err := h.app.ModelKey(ctx, name)
	if err != nil {
		return nil, "", err
	}
	h.mu.Lock()
	defer h.mu.Unlock()
	if k := h.models[fold(name)]; k != nil && k.key == key {
		return k, key, nil
	}
	return nil, key, nil
}

// fit fits a car to its passes.
func (h *shop) fit(ctx context.Context, j *job, name string) (*foretold, error) {
	kept, key, err := h.model(ctx, name)
	if kept != nil || err != nil {
		return kept, err
	}
	files, q, err := h.history(ctx, name)
	if err != nil {
		return nil, err
	}
	defer files.Close()
	q.Protect, q.Members = true, h.effort.Members
	q.Progress = func(what string, done, of int) { j.tell(what, done, of) }
	f, err := app.FitHistory(ctx, q, "")
	if err != nil {
		return nil, err
	}
	kept = &foretold{key: key, fitted: f, surfaces: map[string]*quickLook{}, full: map[string]*app.Coming{}}
	h.mu.Lock()
	h.models[fold(name)] = kept
	h.mu.Unlock()
	return kept, nil
}

// asked is a pass to come as a form states it, not kept yet.
type asked struct {
	pass    store.Pass
	notes   *car.Notes
	planned *car.Planned
	opt     app.NextOptions
	world   quantity.World
	key     string // tells apart what is asked of one fit
}

// ask reads the form of the next pass.
func (s *Server) ask(w http.ResponseWriter, r *http.Request) (*asked, error) {
	r.Body = http.MaxBytesReader(w, r.Body, 64<<10)
	if err := r.ParseForm(); err != nil {
		return nil, wrong("the form could not be read: %v", err)
	}
	ctx := r.Context()
	p, err := s.shop.lastPass(ctx, r.PathValue("car"))
	if err != nil {
		return nil, err
	}
	a := &asked{pass: p, world: s.world(r, p.Car)}
	const id = "as it stands on the page"
	text, err := plannedText(id, p, r.PostForm, a.world)
	if err == nil {
		err = checkForm(store.PlannedEntry, text)
	}
	if err != nil {
		return nil, wrong("%v", err)
	}
	all, err := s.shop.st.Notes(ctx)
	if err != nil {
		return nil, err
	}
	if a.notes, err = car.ParseNotes("the notes", []byte(string(all)+"\n[[planned]]\n"+text)); err != nil {
		return nil, err
	}
	a.planned = a.notes.PlannedByID(id)
	a.opt, err = s.shop.nextOptions(ctx, p, a.notes)
	a.opt.Bold = r.PostForm.Get("bold") != ""
	o := &a.opt
	a.key = hashOf(text, fmt.Sprint(o.Verdict, o.Findings, o.PassesLeft, o.Risk, o.Bold), o.Inspected)
	return a, err
}

// nextOptions are what the last pass says about the next.
func (h *shop) nextOptions(ctx context.Context, p store.Pass, notes *car.Notes) (o app.NextOptions, err error) {
	seen, err := h.st.Inspections(ctx, p.Name)
	if err != nil {
		return o, err
	}
	o.Draws, o.Search = h.effort.Draws, h.effort.Search
	o.Verdict, o.PassesLeft = p.Verdict, app.PassesLeft(notes, p.File, p.Number)
	if n := notes.For(p.File, p.Number); n != nil {
		o.Inspected = n.Inspected
	}
	if len(seen) > 0 {
		o.Inspected = seen[len(seen)-1].Found
	}
	rep, _, err := h.report(ctx, p.SHA256)
	if err == nil && p.Number < len(rep.Passes) {
		o.Findings = app.Findings(rep.Passes[p.Number].Health)
	}
	return o, nil // a pass whose report cannot be read has no findings to tell
}

// waitFit answers that the car is being fitted.
func (s *Server) waitFit(w http.ResponseWriter, r *http.Request, name, key string) error {
	j, err := s.jobs.once("fit "+key, "fitting "+name+" to its passes", func(ctx context.Context, j *job) (string, error) {
		_, err := s.shop.fit(ctx, j, name)
		return "", err
	})
	if err != nil {
		return err
	}
	if n := j.now(); n.Error != "" {
		return wrong("%s", n.Error)
	}
	return writeJSON(w, r, http.StatusAccepted, Live{Job: j.ID, Facts: []Fact{}, Gears: []LiveGear{}, New: []string{}, Said: []string{}})
}
