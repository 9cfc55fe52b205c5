package web

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"traplight/internal/forecast"
	"traplight/internal/page"
	"traplight/internal/report"
	"traplight/internal/store"
)

// passView is a pass by the owner's five questions.
type passView struct {
	store.Pass
	page.Words
	page.Drawings
	Health       *report.Health
	Fit          string // the first line
	Looking      string // the work that holds it against the shop's other cars; "" when none goes on
	Alone        string // the verdict by the car's own passes alone, where that differs; "" else
	Cautions     []string
	Sensors      []string
	Notes        []string
	Unread       []string
	Unsure       int // channels to settle
	Inspections  []store.Inspection
	MustInspect  bool // stand down: no card before it is entered
	NextLine     string
	NextID       string
	UsedLine     string
	Due          []string // parts that are due or to be looked at
	Parts        bool     // parts are written down
	Counting     string   // the work that counts them; "" when none goes on
	DrawTrouble  string
	Accounting   string // the work that makes the ledger; "" when none goes on
	Before, Next string // neighbouring passes of the car
	First        string // the pass to compare with by default
	Missed       []string
}

func (s *Server) pass(w http.ResponseWriter, r *http.Request) error {
	v, err := s.passView(r, r.PathValue("name"))
	if err != nil {
		return err
	}
	return s.show(w, r, "pass", frame{Title: v.Name, Here: "day", Body: v, Car: v.Car}, "")
}

func (s *Server) passView(r *http.Request, name string) (*passView, error) {
	ctx := r.Context()
	p, err := s.shop.st.FindOne(ctx, name)
	if err != nil {
		return nil, err
	}
	rep, inputs, err := s.shop.report(ctx, p.SHA256)
	if err != nil {
		return nil, err
	}
	if p.Number >= len(rep.Passes) {
		return nil, status(http.StatusNotFound, fmt.Errorf("%s: pass %d is not found in it any more", p.File, p.Number+1))
	}
	world := s.world(r, p.Car)
	lines, told, accounted := s.shop.account(p, inputs)
	if accounted {
		rep.Passes[p.Number].Ledger = lines
		rep.Notes = append(rep.Notes, told...)
	}
	k := &rep.Passes[p.Number]
	byShop, looking, err := s.shopHealth(ctx, p, inputs)
	if err != nil {
		return nil, err
	}
	alone := p.Verdict
	if byShop != nil {
		if k.Health != nil {
			byShop.Trends = k.Health.Trends
		}
		k.Health, p.Verdict = byShop, graver(p.Verdict, verdictIn(byShop))
	}
	v := &passView{Looking: looking, Pass: p, Words: page.Tell(rep, p.Number, world), Health: k.Health, Cautions: rep.SayCautions(world), Sensors: k.Sensors, Unread: rep.UnreadKeys()}
	v.Notes = rep.Notes[min(len(v.Unread), len(rep.Notes)):]
	v.Unsure = len(unsure(rep.Log.Channels))
	v.Fit = fitLine(k.Health)
	if byShop != nil && verdictIn(byShop) != alone {
		v.Alone = cmp.Or(alone, "not judged")
	}
	if !accounted && p.Complete {
		j, err := s.jobs.once("ledger "+p.SHA256+inputs, "accounting for the speed of "+p.Name, func(ctx context.Context, j *job) (string, error) {
			return "", s.shop.workAccount(ctx, j, p)
		})
		if err == nil && !j.now().Finished {
			v.Accounting = j.ID
		}
	}
	if v.Inspections, err = s.shop.st.Inspections(ctx, p.Name); err != nil {
		return nil, err
	}
	v.MustInspect = p.Verdict != "clear" && p.Verdict != "inspect" && len(v.Inspections) == 0
	if v.Drawings, err = s.shop.drawings(ctx, p, world, inputs); err != nil {
		v.DrawTrouble = sentence(err.Error())
	}
	mates, err := s.shop.st.Passes(ctx, store.Filter{Car: p.Car})
	if err != nil {
		return nil, err
	}
	v.neighbours(mates)
	v.used(mates)
	if v.Due, v.Counting = s.dueLines(ctx, p.Car); len(v.Due) > 0 {
		v.UsedLine = sentence(v.Due[0])
		if n := len(v.Due); n > 1 {
			v.UsedLine = fmt.Sprintf("%d parts want work or a look.", n)
		}
	}
	v.Parts = s.shop.partsText(ctx, p.Car) != ""
	_, missing := s.shop.ticks(ctx, p.Car, p.Name)
	v.Missed = missing
	return v, s.nextLine(ctx, r, v, mates)
}

// fitLine is the verdict's sentence behind its word.
func fitLine(h *report.Health) string {
	switch {
	case h == nil || h.Verdict == nil:
		return "nothing could be judged; look the car over by hand"
	case len(h.Findings) > 0:
		n := "one finding"
		if len(h.Findings) > 1 {
			n = fmt.Sprintf("%d findings", len(h.Findings))
		}
		line := n + ", first of all " + h.Findings[0].Kind
		if c := h.Findings[0].Channels; len(c) > 0 {
			line += " (" + strings.Join(c[:min(2, len(c))], ", ") + ")"
		}
		return line
	}
	return "nothing found in what was judged"
}

func (v *passView) neighbours(mates []store.Pass) {
	k := slices.IndexFunc(mates, func(p store.Pass) bool { return p.Name == v.Name })
	if k > 0 {
		v.Before = mates[k-1].Name
		v.First = v.Before
	}
	if k >= 0 && k+1 < len(mates) {
		v.Next = mates[k+1].Name
		if v.First == "" {
			v.First = v.Next
		}
	}
}

// used is what is known of what is used up: the passes themselves.
func (v *passView) used(mates []store.Pass) {
	n, full := 0, 0
	for _, p := range mates {
		if p.RunAt <= v.RunAt {
			n++
			if p.Complete {
				full++
			}
		}
	}
	v.UsedLine = fmt.Sprintf("%d passes on %s up to this one, %d of them to the line.", n, v.Car, full)
	if n == 1 {
		v.UsedLine = fmt.Sprintf("1 pass on %s is known.", v.Car)
	}
}

// nextLine says what is known of the pass to come.
func (s *Server) nextLine(ctx context.Context, r *http.Request, v *passView, mates []store.Pass) error {
	all, err := s.shop.st.Forecasts(ctx, "")
	if err != nil {
		return err
	}
	for i := len(all) - 1; i >= 0; i-- {
		f := all[i]
		if fold(f.Car) != fold(v.Car) || slices.ContainsFunc(mates, func(p store.Pass) bool { return p.NoteKey == f.Planned }) {
			continue
		}
		var a forecast.Answer
		if json.Unmarshal(f.Body, &a) == nil {
			v.NextLine, v.NextID = foretell(s.world(r, v.Car), a), f.Planned
		}
		return nil
	}
	return nil
}

// inspect writes down what was looked at and found.
func (s *Server) inspect(w http.ResponseWriter, r *http.Request) error {
	r.Body = http.MaxBytesReader(w, r.Body, 64<<10)
	p, err := s.shop.st.FindOne(r.Context(), r.PathValue("name"))
	if err != nil {
		return err
	}
	found := strings.TrimSpace(r.PostFormValue("found"))
	if found == "" {
		return wrong("an inspection needs what was looked at and found, such as \"plugs read, oil filter cut open: clean\"")
	}
	if err := s.shop.st.RecordInspection(r.Context(), p.Name, found, strings.TrimSpace(r.PostFormValue("by"))); err != nil {
		return err
	}
	if wantsJSON(r) {
		return s.apiInspections(w, r)
	}
	back := "/passes/" + url.PathEscape(p.Name) + "#fit"
	if b := r.PostFormValue("back"); strings.HasPrefix(b, "/cars/") && !strings.ContainsAny(b, "\\\r\n") {
		back = b
	}
	http.Redirect(w, r, back, http.StatusSeeOther)
	return nil
}

func (s *Server) remove(w http.ResponseWriter, r *http.Request) error {
	p, err := s.shop.st.FindOne(r.Context(), r.PathValue("name"))
	if err != nil {
		return err
	}
	if err := s.shop.st.Remove(r.Context(), p.Name); err != nil {
		return err
	}
	if wantsJSON(r) {
		return writeJSON(w, r, http.StatusOK, p)
	}
	http.Redirect(w, r, "/", http.StatusSeeOther)
	return nil
}

// notesView is what the crew wrote down for a pass.
type notesView struct {
	store.Pass
	Text string
}

func (s *Server) passNotes(w http.ResponseWriter, r *http.Request) error {
	p, err := s.shop.st.FindOne(r.Context(), r.PathValue("name"))
	if err != nil {
		return err
	}
	e, err := s.shop.entryOf(r.Context(), p)
	if err != nil {
		return err
	}
	return s.show(w, r, "notes", frame{Title: "Notes of " + p.Name, Here: "day", Body: notesView{p, e.Body}, Car: p.Car}, "")
}

// entryOf is the notes' entry of a pass, or one to fill in.
func (h *shop) entryOf(ctx context.Context, p store.Pass) (store.Entry, error) {
	all, err := h.st.Entries(ctx, store.PassEntry)
	if err != nil {
		return store.Entry{}, err
	}
	for _, e := range all {
		if e.Key == p.NoteKey && e.Key != "" || e.Key == fmt.Sprintf("%s#%d", p.File, p.Number) {
			return e, nil
		}
	}
	return store.Entry{Kind: store.PassEntry, Key: p.Name, Body: fmt.Sprintf("id = %q\nfile = %q\nindex = %d\ncar = %q\nwhen = %q\n", p.Name, p.File, p.Number, p.Car, p.RunAt)}, nil
}

func (s *Server) savePassNotes(w http.ResponseWriter, r *http.Request) error {
	r.Body = http.MaxBytesReader(w, r.Body, 256<<10)
	ctx := r.Context()
	p, err := s.shop.st.FindOne(ctx, r.PathValue("name"))
	if err != nil {
		return err
	}
	text := strings.ReplaceAll(r.PostFormValue("text"), "\r\n", "\n")
	if err := checkEntry(store.PassEntry, text); err != nil {
		f := frame{Title: "Notes of " + p.Name, Here: "day", Body: notesView{p, text}, Car: p.Car}
		return s.show(w, r, "notes", f, err.Error())
	}
	e, err := s.shop.entryOf(ctx, p)
	if err != nil {
		return err
	}
	e.Body = text
	if _, err := s.shop.st.PutEntry(ctx, e); err != nil {
		return err
	}
	j, err := s.jobs.start("working "+p.File+" out again", func(ctx context.Context, j *job) (string, error) {
		return "/passes/" + url.PathEscape(p.Name), s.shop.again(ctx, j)
	})
	if err != nil {
		return err
	}
	return s.follow(w, r, j)
}

var errOneTable = errors.New("only the keys of this one entry belong here, no [[...]] heads")
