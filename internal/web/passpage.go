package web

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
	"strings"

	"traplight/internal/car"
	"traplight/internal/forecast"
	"traplight/internal/page"
	"traplight/internal/quantity"
	"traplight/internal/report"
	"traplight/internal/store"
)

// passView is a pass by the owner's five questions.
type passView struct {
	store.Pass
	page.Words
	page.Drawings
	Place        string // where it was run, as people call it
	Health       *report.Health
	Fit          string // the first line
	LookFirst    []string
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
	FirstCalled  string
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
	byShop, looking, err := s.shopHealth(ctx, p)
	if err != nil {
		return nil, err
	}
	alone := p.Verdict
	if byShop != nil {
		if k.Health != nil {
			byShop.Trends = k.Health.Trends
		}
		k.Health, p.Verdict = byShop, byShop.Word()
	}
	v := &passView{Looking: looking, Pass: p, Words: page.Tell(rep, p.Number, world), Health: k.Health, Cautions: rep.SayCautions(world), Sensors: k.Sensors, Unread: rep.Leading()}
	notes, err := s.shop.notes(ctx)
	if err != nil {
		return nil, err
	}
	v.Place = placeOf(notes, p)
	for _, n := range rep.Notes[min(len(v.Unread), len(rep.Notes)):] {
		v.Notes = append(v.Notes, car.Retell(world, n))
	}
	v.Unsure = len(unsure(rep.Log.Channels))
	v.Fit, v.LookFirst = fitLine(k.Health), lookFirst(k.Health)
	if byShop != nil && byShop.Word() != alone {
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
	v.Parts = s.shop.app.PartsText(ctx, p.Car) != ""
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
		line := h.Findings[0].Kind
		if c := h.Findings[0].Channels; len(c) > 0 {
			line += " (" + strings.Join(c[:min(2, len(c))], ", ") + ")"
		}
		if n := len(h.Findings) - 1; n > 0 {
			line += ", and " + quantity.Count(n, "more finding", "more findings")
		}
		return line
	}
	return "nothing found in what was judged"
}

func (v *passView) neighbours(mates []store.Pass) {
	k := slices.IndexFunc(mates, func(p store.Pass) bool { return p.Name == v.Name })
	if k > 0 {
		v.Before = mates[k-1].Name
		v.First, v.FirstCalled = v.Before, called(mates[k-1], mates[k:k+1])
	}
	if k >= 0 && k+1 < len(mates) {
		v.Next = mates[k+1].Name
		if v.First == "" {
			v.First, v.FirstCalled = v.Next, called(mates[k+1], mates[k:k+1])
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

// nextLine says what is known of the pass to come: what was forecast, else what the notes plan.
func (s *Server) nextLine(ctx context.Context, r *http.Request, v *passView, mates []store.Pass) error {
	if v.Next != "" {
		return nil // it has been run
	}
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
			v.NextLine, v.NextID = a.Sentence(s.world(r, v.Car))+".", f.Planned
		}
		return nil
	}
	notes, err := s.shop.notes(ctx)
	if err != nil {
		return err
	}
	if p := notes.PlanAfter(notes.For(v.File, v.Number)); p != nil {
		v.NextLine, v.NextID = sentence(strings.TrimSuffix(plannedLine(p), ".")), p.ID
	}
	return nil
}
