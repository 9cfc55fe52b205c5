package web

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"os"
	"path/filepath"

	"traplight/internal/app"
	"traplight/internal/card"
	"traplight/internal/compare"
	"traplight/internal/forecast"
	"traplight/internal/life"
	"traplight/internal/report"
	"traplight/internal/store"
	"traplight/internal/store/inbox"
)

// Trouble is an error as scripts see it.
type Trouble struct {
	Error string `json:"error"`
}

// Checked is the outcome of checking a sheet.
type Checked struct {
	Wrong []string `json:"wrong"` // a sentence each; empty when all is well
}

func writeJSON(w http.ResponseWriter, r *http.Request, code int, v any) error {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/json")
	return writeCode(w, r, code, b.Bytes())
}

// endpoint is one address of the interface for scripts, and its description.
type endpoint struct {
	method, path string
	says         string
	query        []string // names of parameters
	takes        string   // kind of the body; "" none
	gives        any      // an example of the answer's type
	do           handler
}

func (s *Server) endpoints() []endpoint {
	return []endpoint{
		{"GET", "/api/v1/cars", "the cars of the shop", nil, "", []store.Car{}, s.apiCars},
		{"GET", "/api/v1/passes", "passes in the order in which they were run", []string{"car", "event", "date"}, "", []store.Pass{}, s.apiPasses},
		{"GET", "/api/v1/passes/{name}", "one line of the catalogue; the name as `traplight` takes it, such as last", nil, "", store.Pass{}, s.apiPass},
		{"GET", "/api/v1/passes/{name}/report", "the report of the log in which the pass lies, all SI, as `traplight report --json` prints it", nil, "", report.Report{}, s.apiReport},
		{"GET", "/api/v1/passes/{name}/traces", "the log's samples, thinned for a screen, in the reader's units; from and to in s from launch", []string{"from", "to", "points", "units"}, "", Traces{}, s.traces},
		{"GET", "/api/v1/passes/{name}/inspections", "what was inspected after the pass, and found", nil, "", []store.Inspection{}, s.apiInspections},
		{"GET", "/api/v1/compare", "passes against the first of them; pass may be repeated", []string{"pass"}, "", compare.Answer{}, s.apiCompare},
		{"GET", "/api/v1/forecasts", "forecasts as they were written down", []string{"planned"}, "", []Foretold{}, s.apiForecasts},
		{"POST", "/api/v1/passes/{name}/inspection", "write down what was inspected, and found; by whom", nil, "application/x-www-form-urlencoded", []store.Inspection{}, s.inspect},
		{"GET", "/api/v1/entries", "the notes' entries: strips, events, passes, planned passes", []string{"kind"}, "", []store.Entry{}, s.apiEntries},
		{"POST", "/api/v1/entries", "keep a strip or an event; what it concerns is worked out again", nil, "application/x-www-form-urlencoded", Started{}, s.saveStrip},
		{"GET", "/api/v1/cars/{car}/trends", "the figures of each pass that are followed over the seasons, all SI", nil, "", []PassFigures{}, s.apiTrends},
		{"GET", "/api/v1/record", "forecasts and what came, and how good they have been, all SI", []string{"car"}, "", TrackRecord{}, s.apiRecord},
		{"GET", "/api/v1/cars/{car}/round", "the turn-round list after the car's last pass", nil, "", []Tick{}, s.apiRound},
		{"POST", "/api/v1/cars/{car}/round", "keep the ticks: pass, and done for each thing that is", nil, "application/x-www-form-urlencoded", Left{}, s.saveRound},
		{"POST", "/api/v1/cars/{car}/next", "keep these settings as a planned pass and write its forecast down (do=card), or look for the best (do=plan)", nil, "application/x-www-form-urlencoded", Started{}, s.saveNext},
		{"GET", "/api/v1/cars/{car}/card/{id}", "the pass card of a planned pass that was written down, in the reader's words and units; 409 says why there is none", []string{"units"}, "", card.Card{}, s.apiCard},
		{"GET", "/api/v1/cars/{car}/weather", "the air now, as it was stated after the car's last pass, or else as that pass met it, all SI", nil, "", Weather{}, s.apiWeather},
		{"POST", "/api/v1/cars/{car}/weather", "state the air: air, pressure, pressure_is, humidity, wind, from, gust, in the reader's units; it serves until the car has run again", nil, "application/x-www-form-urlencoded", Weather{}, s.saveWeather},
		{"POST", "/api/v1/cars/{car}/coming", "what a pass with these settings will bring, in full; nothing is written down. 202 while the car is being fitted", nil, "application/x-www-form-urlencoded", Live{}, s.coming},
		{"POST", "/api/v1/cars/{car}/guess", "the same at once, from a surface fitted to the full forecast. 202 while it is being made", nil, "application/x-www-form-urlencoded", Live{}, s.guess},
		{"GET", "/api/v1/cars/{car}/parts", "what the car's parts have endured, all SI, as `traplight parts --json` prints it. 202 while it is being counted", nil, "", life.Result{}, s.apiParts},
		{"POST", "/api/v1/logs", "take logs, sheets and notes in", nil, "multipart/form-data", Started{}, s.takeIn},
		{"GET", "/api/v1/jobs/{id}", "how far work has come", nil, "", Job{}, s.apiWork},
		{"POST", "/api/v1/check", "check the text of a car sheet, or with kind=parts of a parts file; nothing is kept", []string{"kind"}, "text/plain", Checked{}, s.apiCheck},
	}
}

// Foretold is a recorded forecast with what it says.
type Foretold struct {
	store.Forecast
	Says json.RawMessage `json:"forecast"`
}

func (s *Server) apiRoutes(do func(string, handler)) {
	for _, e := range s.endpoints() {
		do(e.method+" "+e.path, e.do)
	}
	do("GET /api/v1/openapi.json", s.openAPI)
}

func (s *Server) apiCars(w http.ResponseWriter, r *http.Request) error {
	list, err := s.shop.st.Cars(r.Context())
	if err != nil {
		return err
	}
	return writeJSON(w, r, http.StatusOK, append([]store.Car{}, list...))
}

func (s *Server) apiPasses(w http.ResponseWriter, r *http.Request) error {
	q := r.URL.Query()
	list, err := s.shop.st.Passes(r.Context(), store.Filter{Car: q.Get("car"), Event: q.Get("event"), Date: q.Get("date")})
	if err != nil {
		return err
	}
	return writeJSON(w, r, http.StatusOK, append([]store.Pass{}, list...))
}

func (s *Server) apiPass(w http.ResponseWriter, r *http.Request) error {
	p, err := s.shop.st.FindOne(r.Context(), r.PathValue("name"))
	if err != nil {
		return err
	}
	return writeJSON(w, r, http.StatusOK, p)
}

func (s *Server) apiReport(w http.ResponseWriter, r *http.Request) error {
	p, err := s.shop.st.FindOne(r.Context(), r.PathValue("name"))
	if err != nil {
		return err
	}
	rep, _, err := s.shop.report(r.Context(), p.SHA256)
	if err != nil {
		return err
	}
	return writeJSON(w, r, http.StatusOK, rep)
}

func (s *Server) apiInspections(w http.ResponseWriter, r *http.Request) error {
	p, err := s.shop.st.FindOne(r.Context(), r.PathValue("name"))
	if err != nil {
		return err
	}
	list, err := s.shop.st.Inspections(r.Context(), p.Name)
	if err != nil {
		return err
	}
	return writeJSON(w, r, http.StatusOK, append([]store.Inspection{}, list...))
}

func (s *Server) apiEntries(w http.ResponseWriter, r *http.Request) error {
	list, err := s.shop.st.Entries(r.Context(), store.Kind(r.URL.Query().Get("kind")))
	if err != nil {
		return err
	}
	return writeJSON(w, r, http.StatusOK, append([]store.Entry{}, list...))
}

func (s *Server) apiRound(w http.ResponseWriter, r *http.Request) error {
	p, err := s.shop.lastPass(r.Context(), r.PathValue("car"))
	if err != nil {
		return err
	}
	all, _ := s.shop.ticks(r.Context(), p.Car, p.Name)
	return writeJSON(w, r, http.StatusOK, append([]Tick{}, all...))
}

// PassFigures are the figures of a pass that are followed over the seasons.
type PassFigures struct {
	Pass    string       `json:"pass"`
	RunAt   string       `json:"run_at"`
	Figures []app.Figure `json:"figures"`
}

func (s *Server) apiTrends(w http.ResponseWriter, r *http.Request) error {
	passes, err := s.shop.st.Passes(r.Context(), store.Filter{Car: r.PathValue("car")})
	if err != nil {
		return err
	}
	out := []PassFigures{}
	for _, p := range passes {
		rep, _, err := s.shop.report(r.Context(), p.SHA256)
		if err == nil && p.Number < len(rep.Passes) {
			out = append(out, PassFigures{p.Name, p.RunAt, append([]app.Figure{}, app.Figures(&rep.Passes[p.Number])...)})
		}
	}
	return writeJSON(w, r, http.StatusOK, out)
}

// TrackRecord is what became of the forecasts.
type TrackRecord struct {
	Track    forecast.Track `json:"track"`
	Outcomes []app.Outcome  `json:"outcomes"`
}

func (s *Server) apiRecord(w http.ResponseWriter, r *http.Request) error {
	all, err := s.shop.st.Forecasts(r.Context(), "")
	if err != nil {
		return err
	}
	passes, err := s.shop.st.Passes(r.Context(), store.Filter{Car: r.URL.Query().Get("car")})
	if err != nil {
		return err
	}
	out, track := app.Record(all, passes, readAnswer)
	return writeJSON(w, r, http.StatusOK, TrackRecord{track, append([]app.Outcome{}, out...)})
}

func (s *Server) apiCompare(w http.ResponseWriter, r *http.Request) error {
	var passes []store.Pass
	names := r.URL.Query()["pass"]
	if len(names) < 2 || len(names) > maxCompared {
		return wrong("a comparison takes two to six passes: ?pass=NAME&pass=NAME")
	}
	for _, n := range names {
		p, err := s.shop.st.FindOne(r.Context(), n)
		if err != nil {
			return err
		}
		passes = append(passes, p)
	}
	in, notes, err := s.shop.opened(r.Context(), passes)
	if err != nil {
		return err
	}
	c, err := along(in)
	if err != nil {
		return err
	}
	a := c.Answer()
	a.Notes = append(a.Notes, notes...)
	return writeJSON(w, r, http.StatusOK, a)
}

func (s *Server) apiForecasts(w http.ResponseWriter, r *http.Request) error {
	list, err := s.shop.st.Forecasts(r.Context(), r.URL.Query().Get("planned"))
	if err != nil {
		return err
	}
	out := []Foretold{}
	for _, f := range list {
		out = append(out, Foretold{f, f.Body})
	}
	return writeJSON(w, r, http.StatusOK, out)
}

func (s *Server) apiWork(w http.ResponseWriter, r *http.Request) error {
	j, err := s.jobs.find(r.PathValue("id"))
	if err != nil {
		return err
	}
	return writeJSON(w, r, http.StatusOK, j.now())
}

func (s *Server) apiCheck(w http.ResponseWriter, r *http.Request) error {
	var b bytes.Buffer
	if _, err := b.ReadFrom(http.MaxBytesReader(w, r.Body, 1<<20)); err != nil {
		return err
	}
	if r.URL.Query().Get("kind") == "parts" {
		return writeJSON(w, r, http.StatusOK, Checked{append([]string{}, checkParts(b.String())...)})
	}
	return writeJSON(w, r, http.StatusOK, Checked{append([]string{}, checkSheet("car.toml", b.String())...)})
}

// FromFiles takes files of this machine in and waits; it is for the command line.
func (s *Server) FromFiles(paths []string) (at string, err error) {
	for _, p := range paths {
		if _, err := os.Stat(p); err != nil {
			return "", err
		}
	}
	name := "reading"
	if len(paths) > 0 {
		name += " " + filepath.Base(paths[0])
	}
	j, err := s.jobs.start(name, s.intake(paths, ""))
	if err != nil {
		return "", err
	}
	return "/jobs/" + j.ID, nil
}

// Watch takes the logs in that appear in folders, until ctx ends. Sheets and notes lying
// there are left alone: an old copy must not undo a newer one.
func (s *Server) Watch(ctx context.Context, folders []string) error {
	tell := func(what string) func(string) {
		return func(f string) { s.opt.Log.Info(what, "folder", f) }
	}
	w := inbox.Watcher{Folders: folders, Lost: tell("not seen any more"), Back: tell("is back")}
	err := w.Run(ctx, func(files []inbox.File) {
		var logs []string
		for _, f := range files {
			if !inbox.IsSheetOrNotes(f.Path) {
				logs = append(logs, f.Path)
			}
		}
		if len(logs) == 0 {
			return
		}
		s.gate.RLock()
		defer s.gate.RUnlock()
		if _, err := s.jobs.start("reading "+filepath.Base(logs[0]), s.intake(logs, "")); err != nil {
			s.opt.Log.Error("watched folder", "error", err)
		}
	})
	if errors.Is(err, context.Canceled) {
		return nil
	}
	return err
}

// Demo begins to take the invented shop in; at is the page that shows how far it is.
func (s *Server) Demo(seed uint64) (at string, err error) {
	j, err := s.jobs.start("inventing a day at the strip", s.intakeDemo(seed))
	if err != nil {
		return "", err
	}
	return "/jobs/" + j.ID, nil
}
