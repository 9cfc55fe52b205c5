package web

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"strings"

	"traplight/internal/quantity"
	"traplight/internal/store"
)

// notesView is what the crew wrote down for a pass.
type notesView struct {
	store.Pass
	Text string
	Slip []slipField
	Such []string // lines as they may be written
}

// suchLines are lines as the crew may write them, in the keys that it would use.
func suchLines(w quantity.World) []string {
	if w.Name == quantity.Imperial.Name {
		return []string{"air_temp_f = 70", "station_pressure_inhg = 29.65", "humidity_pct = 50", "headwind_mph = 3", "slip_half_s = 17.92", "slip_trap_mph = 188.4", "boost_target_psi_by_gear = [9, 16, 25, 33]"}
	}
	return []string{"air_temp_c = 21", "station_pressure_hpa = 1004", "humidity_pct = 50", "headwind_mps = 1.5", "slip_half_s = 17.92", "slip_trap_kmh = 303.2", "boost_target_kpa_by_gear = [60, 110, 170, 230]"}
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
	return s.show(w, r, "notes", frame{Title: "Notes of " + p.Name, Here: "day", Body: notesView{p, e.Body, slipOf(e.Body, s.world(r, p.Car)), suchLines(s.world(r, p.Car))}, Car: p.Car}, "")
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
	when := ""
	if p.ByAdding {
		when = "# added then; say when it was run: "
	}
	return store.Entry{Kind: store.PassEntry, Key: p.Name, Body: fmt.Sprintf("id = %q\nfile = %q\nindex = %d\ncar = %q\n%swhen = %q\n", p.Name, p.File, p.Number, p.Car, when, whenOf(p))}, nil
}

func (s *Server) savePassNotes(w http.ResponseWriter, r *http.Request) error {
	r.Body = http.MaxBytesReader(w, r.Body, 256<<10)
	ctx := r.Context()
	p, err := s.shop.st.FindOne(ctx, r.PathValue("name"))
	if err != nil {
		return err
	}
	e, err := s.shop.entryOf(ctx, p)
	if err != nil {
		return err
	}
	text := e.Body
	if err := r.ParseForm(); err != nil {
		return wrong("%v", err)
	}
	if r.PostForm.Has("text") {
		text = strings.ReplaceAll(r.PostForm.Get("text"), "\r\n", "\n")
	}
	world := s.world(r, p.Car)
	text, err = withSlip(text, r.PostForm, world)
	if err == nil {
		err = checkEntry(store.PassEntry, text)
	}
	if err != nil {
		f := frame{Title: "Notes of " + p.Name, Here: "day", Body: notesView{p, text, slipOf(text, world), suchLines(world)}, Car: p.Car}
		return s.show(w, r, "notes", f, err.Error())
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
