package web

import (
	"cmp"
	"context"
	"fmt"
	"net/http"
	"regexp"
	"strings"

	"traplight/internal/quantity"
	"traplight/internal/store"
)

type stripsView struct {
	Kind    store.Kind
	Key     string
	Text    string
	Entries []stripRow
}

type stripRow struct {
	Kind store.Kind
	Key  string
	Body string
	Name string // as people call it; its key where nobody said
	Says string
}

// strips shows places and events, to read and to change.
func (s *Server) strips(w http.ResponseWriter, r *http.Request) error {
	v := stripsView{Kind: store.Kind(r.URL.Query().Get("kind")), Key: r.URL.Query().Get("id")}
	if err := s.fillStrips(r, &v); err != nil {
		return err
	}
	return s.show(w, r, "strips", frame{Title: "Strips and events", Here: "cars", Body: v}, "")
}

func (s *Server) fillStrips(r *http.Request, v *stripsView) error {
	ctx := r.Context()
	notes, err := s.shop.notes(ctx)
	if err != nil {
		return err
	}
	world := s.world(r, "")
	for _, kind := range []store.Kind{store.StripEntry, store.EventEntry} {
		all, err := s.shop.st.Entries(ctx, kind)
		if err != nil {
			return err
		}
		for _, e := range all {
			row := stripRow{Kind: e.Kind, Key: e.Key, Body: e.Body, Name: e.Key}
			for _, t := range notes.Strips {
				if kind == store.StripEntry && t.ID == e.Key {
					row.Name = cmp.Or(t.Name, e.Key)
					row.Says = world.Stated(quantity.DimLength, t.Length) + " timed"
					if t.ShutDown > 0 {
						row.Says += ", " + world.Stated(quantity.DimLength, t.ShutDown) + " to stop in"
					} else {
						row.Says += ", the length to stop in is not stated: there is no telling whether the car can be stopped"
					}
					if t.Elevation == t.Elevation {
						row.Says += ", " + world.Stated(quantity.DimLength, t.Elevation) + " above the sea"
					}
				}
			}
			for _, t := range notes.Events {
				if kind == store.EventEntry && t.ID == e.Key {
					row.Name = cmp.Or(t.Name, e.Key)
					row.Says = strings.TrimSpace(t.From + " to " + t.To)
					if t.PassesLeft > 0 {
						row.Says += fmt.Sprintf(", %d passes left", t.PassesLeft)
					}
				}
			}
			if v.Text == "" && e.Kind == v.Kind && e.Key == v.Key {
				v.Text = e.Body
			}
			v.Entries = append(v.Entries, row)
		}
	}
	if v.Text == "" {
		switch v.Kind {
		case store.StripEntry:
			v.Text = newStrip(world)
		case store.EventEntry:
			v.Text = newEvent
		}
	}
	return nil
}

// newStrip is a strip to fill in. What only the place itself can tell stands behind a #: a figure
// that is kept as it was shown would be one that nobody measured, and the shut-down length is a
// hard limit of every plan.
func newStrip(w quantity.World) string {
	const lines = `id = "field"
name = "The airfield"
length_m = 804.672
trap_window_m = 20.1168
# Take the # away and put your own figure in:
# shut_down_m = 1100
# elevation_m = 100
# heading_deg = 90
`
	if w.Name == quantity.Imperial.Name {
		return strings.NewReplacer("length_m = 804.672", "length_ft = 2640", "window_m = 20.1168", "window_ft = 66",
			"down_m = 1100", "down_ft = 3600", "elevation_m = 100", "elevation_ft = 330").Replace(lines)
	}
	return lines
}

const newEvent = `id = "june"
name = "June days"
strip = "field"
from = 2033-06-11
to = 2033-06-12
# Take the # away and put your own figure in:
# passes_left = 4
`

var entryID = regexp.MustCompile(`(?m)^\s*id\s*=\s*"([^"]+)"`)

// saveStrip keeps a strip or an event and works out again what it concerns.
func (s *Server) saveStrip(w http.ResponseWriter, r *http.Request) error {
	r.Body = http.MaxBytesReader(w, r.Body, 64<<10)
	kind, text := store.Kind(r.PostFormValue("kind")), strings.ReplaceAll(r.PostFormValue("text"), "\r\n", "\n")
	if kind != store.StripEntry && kind != store.EventEntry {
		return wrong("only strips and events are kept here")
	}
	err := checkEntry(kind, text)
	id := entryID.FindStringSubmatch(text)
	if err == nil && id == nil {
		err = wrong(`it needs an id = "..." by which passes name it`)
	}
	if err != nil {
		v := stripsView{Kind: kind, Key: r.PostFormValue("id"), Text: text}
		if err := s.fillStrips(r, &v); err != nil {
			return err
		}
		return s.show(w, r, "strips", frame{Title: "Strips and events", Here: "cars", Body: v}, err.Error())
	}
	if _, err := s.shop.st.PutEntry(r.Context(), store.Entry{Kind: kind, Key: id[1], Body: text}); err != nil {
		return err
	}
	j, err := s.jobs.start("working out again what this concerns", func(ctx context.Context, j *job) (string, error) {
		return "/strips", s.shop.again(ctx, j)
	})
	if err != nil {
		return err
	}
	return s.follow(w, r, j)
}
