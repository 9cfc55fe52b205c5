package web

import (
	"bytes"
	"cmp"
	"compress/gzip"
	"encoding/json"
	"errors"
	"fmt"
	"html/template"
	"net/http"
	"net/url"
	"strings"
	"unicode"

	"traplight/internal/page"
	"traplight/internal/quantity"
	"traplight/internal/report"
	"traplight/internal/store"
)

// frame is what is around every page.
type frame struct {
	Title string
	Here  string // which of the main places this is: "day", "compare", "cars"
	Body  any
	Again bool // the page asks for itself again in a second, until a script takes over

	Path, Ground, Units string
	Error               string
	Pit                 bool // the pit's network can read along
	Guest               bool // the reader is one of those
	MayWrite, MayTick   bool
	Car                 string // whose list and next pass are offered in the head
	code                int
}

type views struct {
	byName map[string]*template.Template
}

var viewNames = []string{"enter", "trouble", "day", "work", "pass", "notes", "compare", "cars", "car", "channels", "next", "card", "round", "parts", "size", "trends", "record", "strips", "keep"}

func loadViews(s *Server) (*views, error) {
	v := &views{map[string]*template.Template{}}
	for _, name := range viewNames {
		t, err := page.Parts(template.New(name))
		if err == nil {
			t, err = t.Funcs(template.FuncMap{
				"asset": s.address, "together": quantity.Together, "path": url.PathEscape, "query": url.QueryEscape, "shape": page.Shape, "called": func(p store.Pass) string { return called(p, nil) }, "sentence": sentence, "with1": func(k string, v any) map[string]any { return map[string]any{k: v} }, "clock": clockOf, "day": dayOf, "moment": momentOf,
			}).ParseFS(files, "templates/frame.gohtml", "templates/"+name+".gohtml")
		}
		if err != nil {
			return nil, fmt.Errorf("page %s: %w", name, err)
		}
		v.byName[name] = t
	}
	return v, nil
}

// show writes a page; trouble is a sentence that stands on it.
func (s *Server) show(w http.ResponseWriter, r *http.Request, name string, f frame, trouble string) error {
	if trouble != "" && name != "trouble" && wantsJSON(r) {
		return status(cmp.Or(f.code, http.StatusUnprocessableEntity), errors.New(trouble))
	}
	f.Path, f.Error = r.URL.RequestURI(), sentence(trouble)
	f.Ground, f.Units = look(r, "ground"), s.units(r)
	f.Pit = s.opt.Code != ""
	f.Guest = !local(r)
	f.MayWrite, f.MayTick = s.guard.may(r, MayWrite), s.guard.may(r, MayTick)
	var b bytes.Buffer
	if err := s.views.byName[name].ExecuteTemplate(&b, name, f); err != nil {
		return err
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	if f.code == 0 {
		f.code = http.StatusOK
	}
	if len(trouble) > 0 && f.code == http.StatusOK {
		f.code = http.StatusUnprocessableEntity
	}
	return writeCode(w, r, f.code, b.Bytes())
}

// write sends bytes, packed where the browser takes that.
func write(w http.ResponseWriter, r *http.Request, data []byte) error {
	return writeCode(w, r, http.StatusOK, data)
}

func writeCode(w http.ResponseWriter, r *http.Request, code int, data []byte) error {
	w.Header().Add("Vary", "Accept-Encoding")
	if len(data) < 1400 || !strings.Contains(r.Header.Get("Accept-Encoding"), "gzip") {
		w.WriteHeader(code)
		_, _ = w.Write(data) // the reader has gone: nothing to tell
		return nil
	}
	w.Header().Set("Content-Encoding", "gzip")
	w.WriteHeader(code)
	z, err := gzip.NewWriterLevel(w, gzip.BestSpeed)
	if err != nil {
		return err
	}
	_, _ = z.Write(data)
	_ = z.Close()
	return nil
}

// fail tells an error: on a page in one sentence, to a script as JSON.
func (s *Server) fail(w http.ResponseWriter, r *http.Request, err error) {
	code := codeOf(err)
	text := sentence(err.Error())
	var h *store.Hinted
	if errors.As(err, &h) && h.Hint != "" {
		text += " " + sentence(h.Hint)
	}
	if code >= 500 {
		s.opt.Log.Error("request", "path", r.URL.Path, "error", err)
	}
	if wantsJSON(r) {
		data, _ := json.Marshal(Trouble{Error: text})
		w.Header().Set("Content-Type", "application/json")
		_ = writeCode(w, r, code, append(data, '\n'))
		return
	}
	if err := s.show(w, r, "trouble", frame{Title: "Trouble", Body: cameFrom(r), code: code}, text); err != nil {
		http.Error(w, text, code)
	}
}

// cameFrom is the page of this server from which a request came; "" not known.
func cameFrom(r *http.Request) string {
	u, err := url.Parse(r.Referer())
	if err != nil || u.Host != r.Host || u.Path == r.URL.Path || !strings.HasPrefix(u.Path, "/") || strings.HasPrefix(u.Path, "//") {
		return ""
	}
	return u.RequestURI()
}

func codeOf(err error) int {
	var e *statusError
	var tooLong *http.MaxBytesError
	switch {
	case errors.As(err, &e):
		return e.code
	case errors.As(err, &tooLong):
		return http.StatusRequestEntityTooLarge
	case errors.Is(err, store.ErrNotFound):
		return http.StatusNotFound
	case errors.Is(err, store.ErrAmbiguous):
		return http.StatusUnprocessableEntity
	case errors.Is(err, store.ErrBusy):
		return http.StatusServiceUnavailable
	}
	return http.StatusInternalServerError
}

func wantsJSON(r *http.Request) bool {
	return strings.HasPrefix(r.URL.Path, "/api/") || strings.Contains(r.Header.Get("Accept"), "application/json")
}

// sentence begins with a capital and ends with a full stop.
func sentence(s string) string {
	s = strings.TrimSpace(s)
	if s == "" {
		return ""
	}
	first := []rune(s)
	// A file's or channel's name keeps its case.
	if w, _, _ := strings.Cut(s, " "); !strings.ContainsAny(w, "._/[") {
		first[0] = unicode.ToUpper(first[0])
	}
	s = string(first)
	if !strings.ContainsAny(s[len(s)-1:], ".!?") {
		s += "."
	}
	return s
}

// look is what the reader has chosen: "ground", "units".
func look(r *http.Request, what string) string {
	c, err := r.Cookie("traplight_" + what)
	if err != nil {
		return ""
	}
	switch c.Value {
	case "dark", "light", "us", "metric", "si", "auto":
		return c.Value
	}
	return ""
}

// look remembers how the reader wants the page.
func (s *Server) look(w http.ResponseWriter, r *http.Request) error {
	r.Body = http.MaxBytesReader(w, r.Body, 4<<10)
	for _, what := range []string{"ground", "units"} {
		if v := r.PostFormValue(what); v != "" {
			http.SetCookie(w, &http.Cookie{Name: "traplight_" + what, Value: v, Path: "/", SameSite: http.SameSiteStrictMode, HttpOnly: true, MaxAge: 365 * 86400})
		}
	}
	back := r.PostFormValue("back")
	if !strings.HasPrefix(back, "/") || strings.HasPrefix(back, "//") || strings.Contains(back, "\\") {
		back = "/"
	}
	http.Redirect(w, r, back, http.StatusSeeOther)
	return nil
}

func (s *Server) units(r *http.Request) string {
	if u := r.URL.Query().Get("units"); u != "" {
		return u
	}
	if u := look(r, "units"); u != "" {
		return u
	}
	return s.opt.Units
}

// world is the units of a car's page for this reader.
func (s *Server) world(r *http.Request, car string) quantity.World {
	return report.World(s.units(r), s.shop.unitsOf(r.Context(), car))
}
