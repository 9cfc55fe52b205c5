package web

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"traplight/internal/app"
	"traplight/internal/car"
	"traplight/internal/forecast"
	"traplight/internal/quantity"
	"traplight/internal/store"
)

// foretold is a car fitted to its passes, kept as long as nothing of it changes.
type foretold struct {
	key    string
	fitted *app.Fitted
}

// nextView is the pass to come: what is set, and what it will bring.
type nextView struct {
	Car, ID    string
	After      store.Pass
	Gears      []gearField
	Pressure   string // unit
	Cold       string
	Heat       string // unit of temperature
	Form       map[string]string
	Nitrous    bool
	HasNitrous bool
	Answer     *forecast.Answer
	Line       string
	Recorded   string
	Notes      []string
	NoCard     string // why there is no card; "" when there may be
	Facts      []fact
	Missing    []string
	Cautions   []string
}

type gearField struct {
	Gear          int
	Boost, Shift  string
	Limit         string // highest boost, in words
	HasShift      bool
	BoostGauge    string // for the card
	BoostAbsolute string
}

// fact is a line of the forecast.
type fact struct {
	Name, Value, Note string
}

func (s *Server) next(w http.ResponseWriter, r *http.Request) error {
	v, err := s.nextView(r, r.PathValue("car"), r.URL.Query().Get("id"))
	if err != nil {
		return err
	}
	return s.show(w, r, "next", frame{Title: "Next pass", Here: "next", Body: v, Car: v.Car}, "")
}

// nextView makes the page from the planned entry id, or from the last pass.
func (s *Server) nextView(r *http.Request, name, id string) (*nextView, error) {
	ctx := r.Context()
	p, err := s.shop.lastPass(ctx, name)
	if err != nil {
		return nil, err
	}
	notes, err := s.shop.notes(ctx)
	if err != nil {
		return nil, err
	}
	sheet, err := s.shop.sheet(ctx, name)
	if err != nil {
		return nil, err
	}
	world := s.world(r, p.Car)
	v := &nextView{Car: p.Car, After: p, Pressure: world.Unit(quantity.DimPressure).Symbol, Heat: world.Unit(quantity.DimTemperature).Symbol,
		Form: map[string]string{}, HasNitrous: sheet.Nitrous.Flow > 0}
	boost, shift := sheet.UsualBoost, sheet.UsualShiftSpeed
	var weather car.Weather
	if n := notes.For(p.File, p.Number); n != nil {
		boost, shift = oneOf(n.BoostTarget, boost), oneOf(n.ShiftAim, shift)
		v.Nitrous = n.Nitrous != nil && *n.Nitrous
		weather = n.Weather
		v.fill("launch_rpm", rpm.Of(n.LaunchSpeed), 0)
		v.fill("cold", world.Of(quantity.DimPressure, n.ColdPressure), 2)
	}
	planned := notes.PlannedByID(id)
	if planned != nil {
		v.ID = id
		boost, shift = oneOf(planned.BoostTarget, boost), oneOf(planned.ShiftAim, shift)
		if planned.Nitrous != nil {
			v.Nitrous = *planned.Nitrous
		}
		weather = planned.Weather
		v.fill("launch_rpm", rpm.Of(planned.LaunchSpeed), 0)
		v.fill("cold", world.Of(quantity.DimPressure, planned.ColdPressure), 2)
	}
	v.fill("air", world.Of(quantity.DimTemperature, weather.AirTemp), 1)
	v.fill("barometer", weather.Pressure/100, 1)
	v.fill("humidity", 100*weather.Humidity, 0)
	v.fill("headwind", weather.Headwind, 1)
	for g := range sheet.Gears {
		f := gearField{Gear: g + 1, HasShift: g+1 < len(sheet.Gears)}
		if len(boost) > 0 {
			b := boost[min(g, len(boost)-1)]
			f.Boost = plain(world.Of(quantity.DimPressure, b), 1)
			f.BoostGauge = world.Pressure(b)
			if weather.Pressure > 0 {
				f.BoostAbsolute = world.Pressure(b + weather.Pressure)
			}
		}
		if len(shift) > 0 && f.HasShift {
			f.Shift = plain(rpm.Of(shift[min(g, len(shift)-1)]), 0)
		}
		if sheet.Limits.MaxBoost > 0 {
			f.Limit = plain(world.Of(quantity.DimPressure, sheet.Limits.MaxBoost), 1)
		}
		v.Gears = append(v.Gears, f)
	}
	_, v.Missing = s.shop.ticks(ctx, p.Car, p.Name)
	if err := s.forecastOf(ctx, v, world); err != nil {
		return nil, err
	}
	return v, s.cardAllowed(ctx, v, p)
}

func oneOf(a, b []float64) []float64 {
	if a != nil {
		return a
	}
	return b
}

func (v *nextView) fill(key string, x float64, digits int) {
	if !math.IsNaN(x) && !math.IsInf(x, 0) && x != 0 {
		v.Form[key] = plain(x, digits)
	}
}

func plain(x float64, digits int) string {
	return strconv.FormatFloat(tidy(x, digits), 'f', -1, 64)
}

// forecastOf puts the recorded forecast of the plan into words.
func (s *Server) forecastOf(ctx context.Context, v *nextView, w quantity.World) error {
	if v.ID == "" {
		return nil
	}
	all, err := s.shop.st.Forecasts(ctx, v.ID)
	if err != nil || len(all) == 0 {
		return err
	}
	f := all[len(all)-1]
	a := &forecast.Answer{}
	if err := json.Unmarshal(f.Body, a); err != nil {
		return err
	}
	v.Answer, v.Line, v.Recorded, v.Notes = a, foretell(w, *a), momentOf(f.RecordedAt), a.Notes
	add := func(name, value, note string) { v.Facts = append(v.Facts, fact{name, value, note}) }
	add("Half mile from rollout", fmt.Sprintf("%.2f s", a.Time.P50), fmt.Sprintf("%.2f to %.2f", a.Time.P05, a.Time.P95))
	if a.Target != nil {
		add("Chance of "+whole(w, quantity.DimSpeed, a.Target.Speed), percent(a.Target.Chance), "in this pass")
	}
	stop := fmt.Sprintf("at a deceleration of %.2f g", a.Decel/9.80665)
	if a.ShutDown > 0 {
		stop += "; the strip has " + whole(w, quantity.DimLength, a.ShutDown)
	} else {
		stop += "; the strip's shut-down length is not stated"
	}
	add("Stopping after the line", whole(w, quantity.DimLength, a.Stopping.P50)+", one in twenty over "+whole(w, quantity.DimLength, a.Stopping.P95), stop)
	add("Highest speed", whole(w, quantity.DimSpeed, a.Top), "plain Y tyres end at 300 km/h, 186 mph; beyond that only the maker's written statement")
	for _, b := range a.Binding {
		add("What binds", b, "")
	}
	return nil
}

// cardAllowed says why there may be no card.
func (s *Server) cardAllowed(ctx context.Context, v *nextView, p store.Pass) error {
	seen, err := s.shop.st.Inspections(ctx, p.Name)
	if err != nil {
		return err
	}
	switch {
	case len(seen) > 0 || p.Verdict == "clear" || p.Verdict == "inspect":
	case p.Verdict == "stand down":
		v.NoCard = "stand down was said of " + p.Name + ": enter what was inspected and found before there is a card"
	default:
		v.NoCard = p.Name + " could not be judged: enter what was inspected and found before there is a card"
	}
	if v.NoCard == "" && v.Answer == nil {
		v.NoCard = "a card carries its forecast: work it out first"
	}
	if a := v.Answer; v.NoCard == "" && a.ShutDown > 0 && a.Stopping.P95 > a.ShutDown {
		v.NoCard = "the strip may be too short to stop in: one pass in twenty needs more than it has"
	}
	v.NoCard = sentence(v.NoCard)
	return nil
}

// saveNext keeps the settings as a planned entry and begins the forecast.
func (s *Server) saveNext(w http.ResponseWriter, r *http.Request) error {
	r.Body = http.MaxBytesReader(w, r.Body, 64<<10)
	ctx := r.Context()
	name := r.PathValue("car")
	p, err := s.shop.lastPass(ctx, name)
	if err != nil {
		return err
	}
	if err := r.ParseForm(); err != nil {
		return wrong("the form could not be read: %v", err)
	}
	id, err := s.shop.freshID(ctx, p)
	if err != nil {
		return err
	}
	text, err := plannedText(id, p, r.PostForm, s.world(r, p.Car))
	if err == nil {
		err = checkEntry(store.PlannedEntry, text)
	}
	if err != nil {
		v, verr := s.nextView(r, name, r.PostFormValue("id"))
		if verr != nil {
			return verr
		}
		return s.show(w, r, "next", frame{Title: "Next pass", Here: "next", Body: v, Car: v.Car}, err.Error())
	}
	if _, err := s.shop.st.PutEntry(ctx, store.Entry{Kind: store.PlannedEntry, Key: id, Body: text}); err != nil {
		return err
	}
	j, err := s.jobs.start("fitting "+p.Car+" to its passes", func(ctx context.Context, j *job) (string, error) {
		return "/cars/" + url.PathEscape(p.Car) + "/next?id=" + url.QueryEscape(id), s.shop.foretell(ctx, j, p.Car, id)
	})
	if err != nil {
		return err
	}
	return s.follow(w, r, j)
}

// freshID is an id that no planned entry has.
func (h *shop) freshID(ctx context.Context, p store.Pass) (string, error) {
	all, err := h.st.Entries(ctx, store.PlannedEntry)
	if err != nil {
		return "", err
	}
	for i := 1; ; i++ {
		id := fmt.Sprintf("after-%s-%d", strings.ReplaceAll(p.Name, " ", "-"), i)
		if !slices.ContainsFunc(all, func(e store.Entry) bool { return e.Key == id }) {
			return id, nil
		}
	}
}

// plannedText writes a form as an entry of the notes.
func plannedText(id string, p store.Pass, form url.Values, w quantity.World) (string, error) {
	var b strings.Builder
	fmt.Fprintf(&b, "id = %q\nafter = %q\nafter_index = %d\nevent = %q\n", id, p.File, p.Number, p.Event)
	read := func(key, text string) (float64, error) {
		x, err := strconv.ParseFloat(strings.Replace(strings.TrimSpace(text), ",", ".", 1), 64)
		if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
			return 0, wrong("%q is not a number (%s)", text, key)
		}
		return x, nil
	}
	list := func(field, key string, convert func(float64) float64, digits int) error {
		var out []string
		for i, t := range form[field] {
			if strings.TrimSpace(t) == "" {
				return wrong("%s of gear %d is missing", field, i+1)
			}
			x, err := read(fmt.Sprintf("%s of gear %d", field, i+1), t)
			if err != nil {
				return err
			}
			out = append(out, plain(convert(x), digits))
		}
		if len(out) > 0 {
			fmt.Fprintf(&b, "%s = [%s]\n", key, strings.Join(out, ", "))
		}
		return nil
	}
	if err := list("boost", "boost_target_kpa_by_gear", func(x float64) float64 { return w.SI(quantity.DimPressure, x) / 1e3 }, 3); err != nil {
		return "", err
	}
	if err := list("shift", "shift_rpm_aim", func(x float64) float64 { return x }, 0); err != nil {
		return "", err
	}
	fmt.Fprintf(&b, "nitrous = %v\n", form.Get("nitrous") != "")
	one := func(field, key string, convert func(float64) float64, digits int) error {
		t := form.Get(field)
		if strings.TrimSpace(t) == "" {
			return nil
		}
		x, err := read(field, t)
		if err == nil {
			fmt.Fprintf(&b, "%s = %s\n", key, plain(convert(x), digits))
		}
		return err
	}
	same := func(x float64) float64 { return x }
	for _, f := range []struct {
		field, key string
		convert    func(float64) float64
		digits     int
	}{
		{"launch_rpm", "launch_rpm", same, 0},
		{"cold", "tyre_cold_bar", func(x float64) float64 { return w.SI(quantity.DimPressure, x) / 1e5 }, 4},
		{"air", "air_temp_c", func(x float64) float64 { return w.SI(quantity.DimTemperature, x) - 273.15 }, 2},
		{"barometer", "station_pressure_hpa", same, 2},
		{"humidity", "humidity_pct", same, 1},
		{"headwind", "headwind_mps", same, 2},
	} {
		if err := one(f.field, f.key, f.convert, f.digits); err != nil {
			return "", err
		}
	}
	return b.String(), nil
}

// foretell works the forecast of a planned pass out and writes it down, before the
// pass is run.
func (h *shop) foretell(ctx context.Context, j *job, name, id string) error {
	files, q, err := h.history(ctx, name)
	if err != nil {
		return err
	}
	defer files.Close()
	q.Next = id
	q.Progress = func(what string, done, of int) { j.tell(what, done, of) }
	key, err := h.modelKey(ctx, name)
	if err != nil {
		return err
	}
	h.mu.Lock()
	kept := h.models[fold(name)]
	h.mu.Unlock()
	if kept == nil || kept.key != key {
		f, err := app.FitHistory(ctx, q, "")
		if err != nil {
			return err
		}
		kept = &foretold{key, f}
		h.mu.Lock()
		h.models[fold(name)] = kept
		h.mu.Unlock()
	}
	notes, err := h.notes(ctx)
	if err != nil {
		return err
	}
	planned := notes.PlannedByID(id)
	if planned == nil {
		return wrong("no planned pass %q in the notes", id)
	}
	n, err := forecast.Prepare(kept.fitted.Model, notes, planned)
	if err != nil {
		return err
	}
	res, err := forecast.Run(ctx, kept.fitted.Model, n, forecast.Options{Progress: func(done, of int) { j.tell("running passes", done, of) }})
	if err != nil {
		return err
	}
	body, err := json.Marshal(res.Answer())
	if err != nil {
		return err
	}
	_, err = h.st.RecordForecast(ctx, name, id, key, body)
	return err
}

// modelKey tells apart all that a car's model is fitted to.
func (h *shop) modelKey(ctx context.Context, name string) (string, error) {
	sheets, err := h.st.Sheets(ctx, name)
	if err != nil {
		return "", err
	}
	passes, err := h.st.Passes(ctx, store.Filter{Car: name})
	if err != nil {
		return "", err
	}
	entries, err := h.st.Entries(ctx, "")
	if err != nil {
		return "", err
	}
	settled, err := h.st.Corrections(ctx, name)
	if err != nil {
		return "", err
	}
	parts := []string{h.program, fmt.Sprint(settled)}
	for _, s := range sheets {
		parts = append(parts, s.SHA256)
	}
	for _, p := range passes {
		parts = append(parts, p.SHA256)
	}
	for _, e := range entries {
		if e.Kind != store.PlannedEntry {
			parts = append(parts, e.Body)
		}
	}
	return hashOf(parts...), nil
}

// card is the one printed page for the next pass.
func (s *Server) card(w http.ResponseWriter, r *http.Request) error {
	v, err := s.nextView(r, r.PathValue("car"), r.PathValue("id"))
	if err != nil {
		return err
	}
	if v.ID == "" {
		return status(http.StatusNotFound, fmt.Errorf("no planned pass %q is known", r.PathValue("id")))
	}
	if v.NoCard != "" {
		return status(http.StatusConflict, fmt.Errorf("no card: %s", strings.ToLower(v.NoCard[:1])+v.NoCard[1:]))
	}
	return s.show(w, r, "card", frame{Title: "Pass card", Here: "next", Body: v, Car: v.Car}, "")
}

// rpm is the unit in which shifts are set, whoever reads.
var rpm = quantity.MustUnit("rpm")

// whole prints without decimals what no one reads closer.
func whole(w quantity.World, d quantity.Dimension, x float64) string {
	return fmt.Sprintf("%.0f %s", w.Of(d, x), w.Unit(d).Symbol)
}
