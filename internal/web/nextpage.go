package web

import (
	"cmp"
	"context"
	"net/http"

	"traplight/internal/app"
	"traplight/internal/car"
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
	Barometer   string // unit of the air's pressure
	Form        map[string]string
	Nitrous     bool
	HasNitrous  bool
	Coming      *app.Coming // as it was written down; nil when it was not
	Live        *Live       // what it will bring, if that is known already
	Plan        *planView   // why a plan chose so; nil when a hand did
	Recorded    string
	Notes       []string
	Air         string // the air of the form, in words
	NoCard      string // why there is no card; "" when there may be
	Unwritten   bool   // there would be one once the forecast is written down
	MayAccept   bool   // the plan may be written down as it is
	MustInspect bool
	Inspected   string
	Missing     []string
	Due         []string    // parts that are due or to be looked at
	Best        float64     // fastest pass so far, in the reader's unit; 0 none
	Last        float64     // the last one
	Unit        string      // of speed
	Mind        []string    // before the pass
	found       *app.Coming // by a plan; nil when a hand set it
}

// planView is why a plan chose its settings.
type planView struct {
	Line, Lesson string
	Binds        []LiveGear
	Further      []string // what the settings by gear cannot say
	Notes        []string
}

type gearField struct {
	Gear         int
	Boost, Shift string
	Limit        string // highest boost, in words
	HasShift     bool
	Binds, Gains string
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
	mercury, _ := world.BarometerUnit()
	v := &nextView{Barometer: mercury.Symbol, Car: p.Car, After: p, Pressure: world.Unit(quantity.DimPressure).Symbol, Heat: world.Unit(quantity.DimTemperature).Symbol,
		Form: map[string]string{}, HasNitrous: sheet.Nitrous.Flow > 0}
	weather := s.fillSettings(ctx, v, p, notes, sheet, id, world)
	if err := s.fillAir(ctx, v, p, notes.PlannedByID(id), weather, world); err != nil {
		return nil, err
	}
	_, v.Missing = s.shop.ticks(ctx, p.Car, p.Name)
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
	shutDown := notes.StripFor(notes.For(p.File, p.Number)).ShutDown
	if err := s.cardAllowed(ctx, v, p); err != nil {
		return nil, err
	}
	v.Mind = app.BeforePass(cmp.Or(v.Coming, v.found), sheet, p.Verdict, v.Inspected, v.Nitrous, shutDown)
	return v, nil
}

// fillSettings fills in what is set now: by the planned entry id, else by the notes of the last
// pass p, else as it was run or the sheet says. It gives the weather that goes with it.
func (s *Server) fillSettings(ctx context.Context, v *nextView, p store.Pass, notes *car.Notes, sheet *car.Sheet, id string, world quantity.World) car.Weather {
	ran := sheet.UsualBoost
	if rep, _, err := s.shop.report(ctx, p.SHA256); err == nil {
		ran = app.TargetsRun(rep, p.Number, sheet)
	}
	boost, shift := ran, sheet.UsualShiftSpeed
	weather := car.UnknownWeather()
	if n := notes.For(p.File, p.Number); n != nil {
		boost, shift = oneOf(n.BoostTarget, boost), oneOf(n.ShiftAim, shift)
		v.Nitrous = n.Nitrous != nil && *n.Nitrous
		weather = n.Weather
		v.fill("launch_rpm", rpm.Of(n.LaunchSpeed), 0)
		v.fill("cold", world.Of(quantity.DimPressure, n.ColdPressure), 1)
	}
	if planned := notes.PlannedByID(id); planned != nil {
		v.ID = id
		if n := notes.After(planned); n != nil {
			boost, shift = oneOf(n.BoostTarget, ran), oneOf(n.ShiftAim, sheet.UsualShiftSpeed)
		}
		boost = raised(oneOf(planned.BoostTarget, boost), planned.BoostAdd, len(sheet.Gears))
		shift = raised(oneOf(planned.ShiftAim, shift), []float64{planned.ShiftAdd}, len(sheet.Gears)-1)
		if planned.Nitrous != nil {
			v.Nitrous = *planned.Nitrous
		}
		weather = planned.Weather
		v.fill("launch_rpm", rpm.Of(planned.LaunchSpeed), 0)
		v.fill("cold", world.Of(quantity.DimPressure, planned.ColdPressure), 1)
	}
	v.Gears = gearFields(sheet, boost, shift, world)
	return weather
}

// gearFields are the form's rows: boost (Pa gauge) and shift speeds (rad/s) by gear; the last of
// a short list holds for the gears above.
func gearFields(sheet *car.Sheet, boost, shift []float64, world quantity.World) (out []gearField) {
	for g := range sheet.Gears {
		f := gearField{Gear: g + 1, HasShift: g+1 < len(sheet.Gears)}
		if len(boost) > 0 {
			f.Boost = plain(world.Of(quantity.DimPressure, boost[min(g, len(boost)-1)]), 1)
		}
		if len(shift) > 0 && f.HasShift {
			f.Shift = plain(rpm.Of(shift[min(g, len(shift)-1)]), 0)
		}
		if sheet.Limits.MaxBoost > 0 {
			f.Limit = plain(world.Of(quantity.DimPressure, sheet.Limits.MaxBoost), 1)
		}
		out = append(out, f)
	}
	return out
}

// raised adds to what is set by gear what a plan changes it by, by gear, all in one unit; the
// last of a short list holds for the gears above, as in the notes.
func raised(base, by []float64, gears int) []float64 {
	if len(base) == 0 || len(by) == 0 {
		return base
	}
	out := make([]float64, gears)
	for g := range out {
		out[g] = base[min(g, len(base)-1)] + by[min(g, len(by)-1)]
	}
	return out
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
