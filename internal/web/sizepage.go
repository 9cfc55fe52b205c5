package web

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"

	"traplight/internal/app"
	"traplight/internal/car"
	"traplight/internal/quantity"
	"traplight/internal/sizing"
	"traplight/internal/store"
)

type sizeView struct {
	Car      string
	Unit     string // of the target
	Target   string // as it stands in the form
	Free     bool
	Aimless  bool // no target is known
	Waiting  string
	Answer   string
	Bounds   string
	First    *sizing.Chapter  // what to do
	Parts    []sizing.Chapter // turbo, fuel, gearing and what they rest on
	Cautions *sizing.Chapter
	Passes   int // what it was learnt from
	Turbo    turboFiles
}

// turboFiles are a car's digitised turbo, as CSV; "" none.
type turboFiles struct {
	Map     string `json:"map"`
	Turbine string `json:"turbine"`
}

// turboKey is under which the store keeps them.
const turboKey = "turbo files"

func (h *shop) turbo(ctx context.Context, name string) (t turboFiles) {
	if body, _, ok, err := h.st.Learnt(ctx, name, turboKey); err == nil && ok {
		_ = json.Unmarshal(body, &t) // what cannot be read is typed anew
	}
	return t
}

// sizeAsked is what a reader wants worked out.
type sizeAsked struct {
	name, target, units string
	free                bool
	turbo               turboFiles
	sheet               *car.Sheet
}

// askedSize reads the address; without a target the sheet's is taken.
func (s *Server) askedSize(r *http.Request) (a sizeAsked, err error) {
	if a.sheet, err = s.shop.sheet(r.Context(), r.PathValue("car")); err != nil {
		return a, err
	}
	a.name, a.units, a.free = a.sheet.Name, s.units(r), r.URL.Query().Get("free") != ""
	a.turbo = s.shop.turbo(r.Context(), a.name)
	if t := strings.TrimSpace(r.URL.Query().Get("target")); t != "" {
		a.target = t
		if strings.Trim(t, "0123456789.,") == "" {
			a.target += s.world(r, a.name).Unit(quantity.DimSpeed).Symbol
		}
	}
	return a, nil
}

// sized gives the answer, or the work that finds it out.
func (s *Server) sized(ctx context.Context, a sizeAsked) (*app.SizeSaid, string, error) {
	k, err := s.shop.app.ModelKey(ctx, a.name)
	if err != nil {
		return nil, "", err
	}
	key := "size-" + hashOf(k, a.target, a.units, fmt.Sprint(a.free), a.turbo.Map, a.turbo.Turbine) + ".json"
	if f, ok := s.shop.st.Cached(key); ok {
		defer f.Close()
		out := &app.SizeSaid{}
		if json.NewDecoder(f).Decode(out) == nil {
			return out, "", nil
		}
	}
	id, err := s.jobs.pending(key, "working out what "+a.name+" needs", func(ctx context.Context, j *job) (string, error) {
		return "", s.shop.size(ctx, j, a, key)
	})
	return nil, id, err
}

// size works it out from the sheet and the car's own passes, and keeps it.
func (h *shop) size(ctx context.Context, j *job, a sizeAsked, key string) error {
	dir, err := os.MkdirTemp("", "traplight-size-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	file := func(name, text string) string {
		if text == "" || err != nil {
			return ""
		}
		path := filepath.Join(dir, name)
		err = os.WriteFile(path, []byte(text), 0o600)
		return path
	}
	q := app.SizeRequest{Target: a.target, FreeBoost: a.free, SheetOnly: true, Progress: func(log string, done, of int) { j.tell("reading "+log, done, of) }}
	q.Map = file("the map.csv", a.turbo.Map)
	if t := file("the turbine.csv", a.turbo.Turbine); t != "" {
		q.Turbines = []string{t}
	}
	passes, perr := h.st.Passes(ctx, store.Filter{Car: a.name})
	if err = cmp.Or(err, perr); err != nil {
		return err
	}
	if len(passes) > 0 {
		n, past, err := h.history(ctx, a.name)
		if err != nil {
			return err
		}
		defer n.Close()
		q.Learn(n, past.History)
	} else {
		sheets, err := h.st.Sheets(ctx, a.name)
		if err != nil {
			return err
		}
		q.Cars = []string{file("car.toml", string(sheets[len(sheets)-1].Body))}
	}
	if err != nil {
		return err
	}
	said, err := app.SizeInWords(ctx, q, a.units)
	if err != nil {
		return err
	}
	data, err := json.Marshal(said)
	if err != nil {
		return err
	}
	return h.st.PutCached(key, writerOf(data))
}

func (s *Server) size(w http.ResponseWriter, r *http.Request) error {
	return s.showSize(w, r, nil, "")
}

// showSize shows the page; typed is what was typed into the form and not kept.
func (s *Server) showSize(w http.ResponseWriter, r *http.Request, typed *turboFiles, trouble string) error {
	ctx := r.Context()
	a, err := s.askedSize(r)
	if err != nil {
		return err
	}
	world := s.world(r, a.name)
	v := sizeView{Car: a.name, Unit: world.Unit(quantity.DimSpeed).Symbol, Free: a.free, Turbo: a.turbo, Bounds: sizing.Bounds}
	if typed != nil {
		v.Turbo = *typed
	}
	v.Target = strings.TrimSpace(strings.TrimSuffix(cmp.Or(a.target, world.Stated(quantity.DimSpeed, a.sheet.Target)), v.Unit))
	if a.target == "" && !(a.sheet.Target > 0) {
		v.Target, v.Aimless = "", true
		return s.show(w, r, "size", frame{Title: "Before the season", Here: "cars", Body: v, Car: v.Car}, trouble)
	}
	passes, err := s.shop.st.Passes(ctx, store.Filter{Car: a.name})
	if err != nil {
		return err
	}
	v.Passes = min(len(passes), app.SizeLogs)
	said, job, err := s.sized(ctx, a)
	if err != nil {
		trouble = cmp.Or(trouble, err.Error())
	}
	v.Waiting = job
	if said != nil {
		v.fill(said)
	}
	return s.show(w, r, "size", frame{Title: "Before the season", Here: "cars", Body: v, Car: v.Car}, trouble)
}

// fill puts what to do first and the cautions last.
func (v *sizeView) fill(said *app.SizeSaid) {
	v.Answer = said.Answer
	last := len(said.Chapters) - 1
	for i := range said.Chapters {
		switch c := &said.Chapters[i]; i {
		case 0:
			v.First = c
		case last:
			v.Cautions = c
		default:
			v.Parts = append(v.Parts, *c)
		}
	}
}

// saveTurbo keeps a digitised map and a swallowing line, if they can be read.
func (s *Server) saveTurbo(w http.ResponseWriter, r *http.Request) error {
	r.Body = http.MaxBytesReader(w, r.Body, 1<<20)
	sheet, err := s.shop.sheet(r.Context(), r.PathValue("car"))
	if err != nil {
		return err
	}
	text := func(name string) string {
		t := strings.ReplaceAll(r.PostFormValue(name), "\r\n", "\n")
		if strings.TrimSpace(t) == "" {
			return ""
		}
		return t
	}
	t := turboFiles{text("map"), text("turbine")}
	if err := app.CheckTurbo(t.Map, t.Turbine); err != nil {
		if wantsJSON(r) {
			return wrong("%s", err.Error())
		}
		return s.showSize(w, r, &t, "it was not kept: "+err.Error())
	}
	body, err := json.Marshal(t)
	if err != nil {
		return err
	}
	if err := s.shop.st.Learn(r.Context(), sheet.Name, turboKey, "", body); err != nil {
		return err
	}
	if wantsJSON(r) {
		return writeJSON(w, r, http.StatusOK, t)
	}
	http.Redirect(w, r, "/cars/"+url.PathEscape(sheet.Name)+"/size", http.StatusSeeOther)
	return nil
}

func (s *Server) apiSize(w http.ResponseWriter, r *http.Request) error {
	a, err := s.askedSize(r)
	if err != nil {
		return err
	}
	if a.target == "" && !(a.sheet.Target > 0) {
		return wrong("no target is known: state it, as in ?target=200mph, or in the car's sheet")
	}
	said, job, err := s.sized(r.Context(), a)
	if err != nil {
		return err
	}
	if said == nil {
		return writeJSON(w, r, http.StatusAccepted, Started{Job: job, At: "/jobs/" + job})
	}
	return writeJSON(w, r, http.StatusOK, said)
}
