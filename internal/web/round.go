package web

import (
	"context"
	"encoding/json"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"traplight/internal/store"
)

// usualRound is what is due between two passes, until the crew writes its own list:
// common practice, no source.
var usualRound = []string{
	"plugs read", "oil level and smell", "hose couplers and clamps", "shafts and boots", "tyre pressures, hot and cold", "wheel nuts",
	"water in the cooler", "bottle weight and pressure", "fuel added", "battery",
}

const roundList = "turn-round list"

func roundOf(pass string) string { return "turn-round after " + pass }

// Tick is one thing of the list, done and by whom.
type Tick struct {
	What string `json:"what"`
	Done bool   `json:"done"`
}

// list is a car's own turn-round list.
func (h *shop) list(ctx context.Context, name string) []string {
	body, _, ok, err := h.st.Learnt(ctx, name, roundList)
	var own []string
	if err != nil || !ok || json.Unmarshal(body, &own) != nil || len(own) == 0 {
		return usualRound
	}
	return own
}

// ticks are the list's state after a pass, and what is not done.
func (h *shop) ticks(ctx context.Context, name, pass string) (all []Tick, missing []string) {
	var done []string
	if body, _, ok, err := h.st.Learnt(ctx, name, roundOf(pass)); err == nil && ok {
		_ = json.Unmarshal(body, &done) // unreadable counts as not done
	}
	for _, what := range h.list(ctx, name) {
		t := Tick{what, slices.Contains(done, what)}
		all = append(all, t)
		if !t.Done {
			missing = append(missing, what)
		}
	}
	return all, missing
}

type roundView struct {
	Car, Pass string
	Called    string
	Ticks     []Tick
	Missing   int
	List      string
}

// lastPass is the car's pass run last.
func (h *shop) lastPass(ctx context.Context, name string) (store.Pass, error) {
	all, err := h.st.Passes(ctx, store.Filter{Car: name})
	if err != nil {
		return store.Pass{}, err
	}
	if len(all) == 0 {
		return store.Pass{}, status(http.StatusNotFound, noPassYet(name))
	}
	p := all[len(all)-1]
	p.Verdict = h.verdict(ctx, p)
	return p, nil
}

type noPassYet string

func (c noPassYet) Error() string { return "no pass of " + string(c) + " is known yet" }

func (s *Server) round(w http.ResponseWriter, r *http.Request) error {
	name := r.PathValue("car")
	p, err := s.shop.lastPass(r.Context(), name)
	if err != nil {
		return err
	}
	v := roundView{Car: p.Car, Pass: p.Name, Called: called(p, nil), List: strings.Join(s.shop.list(r.Context(), name), "\n")}
	var missing []string
	v.Ticks, missing = s.shop.ticks(r.Context(), name, p.Name)
	v.Missing = len(missing)
	return s.show(w, r, "round", frame{Title: "Turn-round", Here: "round", Body: v, Car: p.Car}, "")
}

// saveRound keeps the ticks with the pass.
func (s *Server) saveRound(w http.ResponseWriter, r *http.Request) error {
	r.Body = http.MaxBytesReader(w, r.Body, 64<<10)
	name := r.PathValue("car")
	if err := r.ParseForm(); err != nil {
		return wrong("the form could not be read: %v", err)
	}
	p, err := s.shop.st.FindOne(r.Context(), r.PostFormValue("pass"))
	if err != nil {
		return err
	}
	if fold(p.Car) != fold(name) {
		return wrong("%s is not a pass of %s", p.Name, name)
	}
	body, err := json.Marshal(append([]string{}, r.PostForm["done"]...))
	if err != nil {
		return err
	}
	if err := s.shop.st.Learn(r.Context(), p.Car, roundOf(p.Name), "", body); err != nil {
		return err
	}
	to := "/cars/" + url.PathEscape(p.Car) + "/round"
	if wantsJSON(r) {
		_, missing := s.shop.ticks(r.Context(), p.Car, p.Name)
		return writeJSON(w, r, http.StatusOK, Left{len(missing)})
	}
	http.Redirect(w, r, to, http.StatusSeeOther)
	return nil
}

// Left says how much of the list is not done.
type Left struct {
	Missing int `json:"missing"`
}

// saveRoundList keeps the crew's own list.
func (s *Server) saveRoundList(w http.ResponseWriter, r *http.Request) error {
	r.Body = http.MaxBytesReader(w, r.Body, 64<<10)
	var list []string
	for _, l := range strings.Split(r.PostFormValue("list"), "\n") {
		if l = strings.TrimSpace(l); l != "" && !slices.Contains(list, l) {
			list = append(list, l)
		}
	}
	body, err := json.Marshal(list)
	if err != nil {
		return err
	}
	name := r.PathValue("car")
	if err := s.shop.st.Learn(r.Context(), name, roundList, "", body); err != nil {
		return err
	}
	if wantsJSON(r) {
		return s.apiRound(w, r)
	}
	http.Redirect(w, r, "/cars/"+url.PathEscape(name)+"/round", http.StatusSeeOther)
	return nil
}
