package web

import (
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
	"traplight/internal/life"
	"traplight/internal/quantity"
)

// partsFile is under which the store keeps a car's parts, as they were written.
const partsFile = "parts file"

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

// partsText is a car's parts file; "" when there is none.
func (h *shop) partsText(ctx context.Context, name string) string {
	var text string
	body, _, ok, err := h.st.Learnt(ctx, name, partsFile)
	if err != nil || !ok || json.Unmarshal(body, &text) != nil {
		return ""
	}
	return text
}

// endured is what the parts have endured, from the cache; key is under which it is kept.
func (h *shop) endured(ctx context.Context, name, text string) (res *app.PartsAnswer, key string, err error) {
	k, err := h.modelKey(ctx, name)
	if err != nil {
		return nil, "", err
	}
	key = "parts-" + hashOf(k, text) + ".json"
	f, ok := h.st.Cached(key)
	if !ok {
		return nil, key, nil
	}
	defer f.Close()
	res = &app.PartsAnswer{}
	if json.NewDecoder(f).Decode(res) != nil {
		return nil, key, nil
	}
	return res, key, nil
}

// endure works out what the parts have endured, and keeps it.
func (h *shop) endure(ctx context.Context, j *job, name, text, key string) error {
	dir, err := os.MkdirTemp("", "traplight-parts-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	path := filepath.Join(dir, "parts.toml")
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		return err
	}
	n, q, err := h.history(ctx, name)
	if err != nil {
		return err
	}
	defer n.Close()
	a, err := app.Parts(ctx, app.PartsRequest{Parts: path, Cars: q.Cars, Notes: q.Notes, Logs: q.History, Progress: func(log string, done, of int) { j.tell("counting "+log, done, of) }})
	if err != nil {
		return err
	}
	data, err := json.Marshal(a)
	if err != nil {
		return err
	}
	return h.st.PutCached(key, writerOf(data))
}

// countParts gives what the parts have endured, or the work that finds it out.
func (s *Server) countParts(ctx context.Context, name, text string) (*app.PartsAnswer, string, error) {
	res, key, err := s.shop.endured(ctx, name, text)
	if err != nil || res != nil {
		return res, "", err
	}
	j, err := s.jobs.once(key, "counting what the parts of "+name+" endured", func(ctx context.Context, j *job) (string, error) {
		return "", s.shop.endure(ctx, j, name, text, key)
	})
	if err != nil {
		return nil, "", err
	}
	now := j.now()
	if now.Error != "" {
		return nil, "", wrong("%s", now.Error)
	}
	return nil, now.ID, nil
}

// dueLines are the parts that the card must name.
func (s *Server) dueLines(ctx context.Context, name string) (due []string, waiting string) {
	text := s.shop.partsText(ctx, name)
	if text == "" {
		return nil, ""
	}
	res, job, err := s.countParts(ctx, name, text)
	if err != nil || res == nil {
		return nil, job
	}
	return res.DueLines(), ""
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
	kept := s.shop.partsText(ctx, v.Car)
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
			v.fill(res, world)
		}
	}
	return s.show(w, r, "parts", frame{Title: "What is used up", Here: "cars", Body: v, Car: v.Car}, trouble)
}

func (v *partsView) fill(res *app.PartsAnswer, w quantity.World) {
	v.Due, v.Notes, v.Cautions = res.DueLines(), res.Notes, res.Cautions
	switch n := len(v.Due); n {
	case 0:
		v.Answer = "Nothing is due by what was counted."
	case 1:
		v.Answer = sentence(v.Due[0])
	default:
		v.Answer = fmt.Sprintf("%d parts want work or a look.", n)
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
			row.Took = fmt.Sprintf("hardest pass %s, %.1f times the usual", p.Hardest.Name, p.Hardest.Times)
		}
		if p.Left != nil {
			row.LeftSay = fmt.Sprintf("at least %d passes, by %s", p.Left.Passes, p.Left.By)
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
	body, err := json.Marshal(text)
	if err != nil {
		return err
	}
	if err := s.shop.st.Learn(r.Context(), sheet.Name, partsFile, "", body); err != nil {
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
	text := s.shop.partsText(ctx, name)
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
