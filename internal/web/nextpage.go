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
	"traplight/internal/plan"
	"traplight/internal/quantity"
	"traplight/internal/store"
)

// nextView is the pass to come: what is set, and what it will bring.
type nextView struct {
	Car, ID     string
	After       store.Pass
	Gears       []gearField
	Pressure    string // unit
	Cold        string
	Heat        string // unit of temperature
	Form        map[string]string
	Nitrous     bool
	HasNitrous  bool
	Coming      *app.Coming // as it was written down; nil when it was not
	Live        *Live       // what it will bring, if that is known already
	Plan        *planView   // why a plan chose so; nil when a hand did
	Recorded    string
	Notes       []string
	NoCard      string // why there is no card; "" when there may be
	Unwritten   bool   // there would be one once the forecast is written down
	MustInspect bool
	Missing     []string
	Ticked      int
	Due         []string // parts that are due or to be looked at
	Best        float64  // fastest pass so far, in the reader's unit; 0 none
	Last        float64  // the last one
	Unit        string   // of speed
}

// planView is why a plan chose its settings.
type planView struct {
	Line, Lesson string
	Binds        []LiveGear
	Notes        []string
}

type gearField struct {
	Gear          int
	Boost, Shift  string
	Limit         string // highest boost, in words
	HasShift      bool
	BoostGauge    string // for the card
	BoostAbsolute string
	Binds, Gains  string
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
	all, missing := s.shop.ticks(ctx, p.Car, p.Name)
	v.Missing, v.Ticked = missing, len(all)-len(missing)
	v.Due, _ = s.dueLines(ctx, p.Car)
	if err := s.marks(ctx, v, world); err != nil {
		return nil, err
	}
	if err := s.forecastOf(ctx, v, world); err != nil {
		return nil, err
	}
	if v.Live != nil {
		for _, b := range v.Live.Gears {
			if b.Gear >= 1 && b.Gear <= len(v.Gears) {
				v.Gears[b.Gear-1].Binds, v.Gears[b.Gear-1].Gains = b.Binds, b.Gains
			}
		}
	}
	return v, s.cardAllowed(ctx, v, p)
}

// marks are the speeds of passes already run, to hold the forecast against.
func (s *Server) marks(ctx context.Context, v *nextView, w quantity.World) error {
	passes, err := s.shop.st.Passes(ctx, store.Filter{Car: v.Car})
	if err != nil {
		return err
	}
	v.Unit = w.Unit(quantity.DimSpeed).Symbol
	for _, p := range passes {
		if p.TrapSpeed != nil && p.Complete {
			v.Last = tidy(w.Of(quantity.DimSpeed, *p.TrapSpeed), 2)
			v.Best = max(v.Best, v.Last)
		}
	}
	return nil
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
	if body, _, ok, err := s.shop.st.Learnt(ctx, v.Car, planSubject(v.ID)); err == nil && ok {
		p := &plan.Answer{}
		if json.Unmarshal(body, p) == nil {
			v.chosen(p, w)
		}
	}
	all, err := s.shop.st.Forecasts(ctx, v.ID)
	if err != nil || len(all) == 0 {
		return err
	}
	f := all[len(all)-1]
	c := &app.Coming{}
	if err := json.Unmarshal(f.Body, c); err != nil {
		return err
	}
	v.Coming, v.Recorded, v.Live = c, momentOf(f.RecordedAt), liveOf(c, w)
	for _, n := range append(slices.Clone(c.Notes), c.Cautions...) {
		v.Notes = append(v.Notes, n)
	}
	return nil
}

// chosen puts a plan into words.
func (v *nextView) chosen(p *plan.Answer, w quantity.World) {
	d := w.Of(quantity.DimSpeed, p.Gain)
	unit := w.Unit(quantity.DimSpeed).Symbol
	v.Plan = &planView{Line: fmt.Sprintf("The best within the limits: %+.1f %s over the same settings again.", d, unit), Binds: bindsOf(p.Limits, w)}
	if p.Forecast != nil && v.Live == nil {
		v.Live = liveOf(&app.Coming{Answer: p.Forecast, Limits: p.Limits, New: p.New, Already: p.Already}, w)
	}
	for _, n := range p.Notes {
		v.Plan.Notes = append(v.Plan.Notes, sentence(n))
	}
	if len(p.Lessons) > 0 && p.Lessons[0].Bits > 0.2 {
		l := p.Lessons[0]
		v.Plan.Lesson = fmt.Sprintf("What would teach most: %s, %+.1f %s expected (± %.1f).", l.Change, w.Of(quantity.DimSpeed, l.Gain), unit, w.Of(quantity.DimSpeed, l.SD))
	}
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
		v.NoCard, v.MustInspect = "stand down was said of "+p.Name+": enter what was inspected and found before there is a card", true
	default:
		v.NoCard, v.MustInspect = p.Name+" could not be judged: enter what was inspected and found before there is a card", true
	}
	if v.NoCard == "" && v.Coming == nil {
		v.Unwritten = true
		v.NoCard = "a card carries its forecast: write it down first"
	}
	if c := v.Coming; v.NoCard == "" && c.Range == nil && c.ShutDown > 0 && c.Stopping.P95 > c.ShutDown {
		v.NoCard = "the strip may be too short to stop in: one pass in twenty needs more than it has"
	}
	if v.NoCard == "" && v.Live != nil {
		v.NoCard = v.Live.Refused
	}
	v.NoCard = sentence(v.NoCard)
	return nil
}

// saveNext keeps the settings as a planned entry and writes the forecast down, or looks
// for better ones.
func (s *Server) saveNext(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	name := r.PathValue("car")
	a, err := s.ask(w, r)
	if err != nil {
		v, verr := s.nextView(r, name, r.PostFormValue("id"))
		if verr != nil {
			return verr
		}
		return s.show(w, r, "next", frame{Title: "Next pass", Here: "next", Body: v, Car: v.Car}, err.Error())
	}
	p := a.pass
	id, err := s.shop.freshID(ctx, p)
	if err != nil {
		return err
	}
	text, err := plannedText(id, p, r.PostForm, a.world)
	if err != nil {
		return err
	}
	here := "/cars/" + url.PathEscape(p.Car) + "/next?id=" + url.QueryEscape(id)
	if r.PostFormValue("do") == "plan" {
		if risk, err := strconv.ParseFloat(r.PostFormValue("risk"), 64); err == nil && risk >= 1 && risk <= 50 {
			a.opt.Risk = risk / 100
		}
		j, err := s.jobs.start("fitting "+p.Car+" to its passes", func(ctx context.Context, j *job) (string, error) {
			return here, s.shop.best(ctx, j, a, id, text)
		})
		if err != nil {
			return err
		}
		return s.follow(w, r, j)
	}
	if _, err := s.shop.st.PutEntry(ctx, store.Entry{Kind: store.PlannedEntry, Key: id, Body: text}); err != nil {
		return err
	}
	j, err := s.jobs.start("fitting "+p.Car+" to its passes", func(ctx context.Context, j *job) (string, error) {
		c, err := s.shop.foretell(ctx, j, p, id)
		if err != nil {
			return here, err
		}
		if r.PostFormValue("do") == "card" && len(c.Over) == 0 && (a.opt.Inspected != "" || p.Verdict == "clear" || p.Verdict == "inspect") {
			return "/cars/" + url.PathEscape(p.Car) + "/card/" + url.PathEscape(id), nil
		}
		return here, nil
	})
	if err != nil {
		return err
	}
	return s.follow(w, r, j)
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
