package web

import (
	"bytes"
	"encoding/json"
	"net/http"

	"traplight/internal/app"
	"traplight/internal/forecast"
	"traplight/internal/store"
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

// Foretold is a recorded forecast with what it says.
type Foretold struct {
	store.Forecast
	Says json.RawMessage `json:"forecast"`
}

func (s *Server) apiRoutes(do func(string, handler)) {
	for _, e := range s.endpoints() {
		do(e.method+" "+e.path, e.do)
	}
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
	for i, n := range names {
		p, err := s.shop.st.FindOne(r.Context(), n)
		if err != nil {
			return err
		}
		passes, names[i] = append(passes, p), p.Name
	}
	in, notes, err := s.shop.opened(r.Context(), passes, names)
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

func (s *Server) apiPassNotes(w http.ResponseWriter, r *http.Request) error {
	p, err := s.shop.st.FindOne(r.Context(), r.PathValue("name"))
	if err != nil {
		return err
	}
	e, err := s.shop.entryOf(r.Context(), p)
	if err != nil {
		return err
	}
	return writeJSON(w, r, http.StatusOK, e)
}

// SheetText is a car's sheet as it was written.
type SheetText struct {
	Car      string `json:"car"`
	File     string `json:"file"`
	Revision int    `json:"revision"`
	Valid    string `json:"valid"` // from when on; "" always
	Text     string `json:"text"`
}

func (s *Server) apiSheet(w http.ResponseWriter, r *http.Request) error {
	list, err := s.shop.st.Sheets(r.Context(), r.PathValue("car"))
	if err != nil {
		return err
	}
	if len(list) == 0 {
		return status(http.StatusNotFound, wrongCar(r.PathValue("car")))
	}
	l := list[len(list)-1]
	return writeJSON(w, r, http.StatusOK, SheetText{l.Car, l.File, len(list), l.Valid, string(l.Body)})
}

func (s *Server) apiJobs(w http.ResponseWriter, r *http.Request) error {
	return writeJSON(w, r, http.StatusOK, s.jobs.list())
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
