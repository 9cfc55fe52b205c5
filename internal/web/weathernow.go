package web

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"strings"

	"traplight/internal/app"
	"traplight/internal/car"
	"traplight/internal/quantity"
	"traplight/internal/store"
)

// weatherNow is the weather as someone read it after a pass. It serves until the car has
// run again: then what the pass met is known better.
type weatherNow struct {
	After string `json:"after"` // pass run last when it was stated
	At    string `json:"at"`    // UTC
	Entry string `json:"entry"` // as lines of the notes
}

const weatherSubject = "weather now"

// weatherNow is what was stated after pass p; nil when nothing was.
func (h *shop) weatherNow(ctx context.Context, p store.Pass) *weatherNow {
	body, _, ok, err := h.st.Learnt(ctx, p.Car, weatherSubject)
	w := &weatherNow{}
	if err != nil || !ok || json.Unmarshal(body, w) != nil || w.After != p.Name {
		return nil // what cannot be read is stated again
	}
	return w
}

// airOf works an entry's weather out at the strip of pass p.
func (h *shop) airOf(ctx context.Context, p store.Pass, entry string) (*app.AirState, error) {
	notes, err := h.st.Notes(ctx)
	if err != nil {
		return nil, err
	}
	return app.ReadWeather(notes, p.Event, entry)
}

// How a pressure may be stated: by a barometer at the strip, by a weather service's figure
// set to sea level, or by the altitude for want of both.
var pressureKinds = []struct {
	Name, Key, Unit string
}{
	{"hPa, barometer at the strip", "station_pressure_hpa", "hPa"},
	{"inHg, barometer at the strip", "station_pressure_hpa", "inHg"},
	{"hPa, set to sea level", "altimeter_hpa", "hPa"},
	{"inHg, set to sea level", "altimeter_hpa", "inHg"},
	{"ft of altitude, no barometer", "", "ft"},
	{"m of altitude, no barometer", "", "m"},
}

// weatherText writes the form's weather as lines of the notes. Speeds and temperature are
// in the reader's units.
func weatherText(form url.Values, w quantity.World) (string, error) {
	var b strings.Builder
	put := func(field, name, key string, digits int, si func(float64) float64) error {
		t := form.Get(field)
		if strings.TrimSpace(t) == "" || key == "" {
			return nil
		}
		x, err := typedNumber(name, t)
		if err == nil {
			fmt.Fprintf(&b, "%s = %s\n", key, plain(si(x), digits))
		}
		return err
	}
	same := func(x float64) float64 { return x }
	speed := func(x float64) float64 { return w.SI(quantity.DimSpeed, x) }
	pressure, key := pressureOf(form.Get("pressure_is"))
	for _, f := range []struct {
		field, name, key string
		digits           int
		si               func(float64) float64
	}{
		{"air", "air temperature", "air_temp_c", 2, func(x float64) float64 { return w.SI(quantity.DimTemperature, x) - 273.15 }},
		{"pressure", "pressure", key, 2, func(x float64) float64 { return pressure(x) / 100 }},
		{"barometer", "barometer", "station_pressure_hpa", 2, func(x float64) float64 { return barometerRead(x) / 100 }},
		{"humidity", "humidity", "humidity_pct", 1, same},
		{"headwind", "headwind", "headwind_mps", 2, speed},
		{"wind", "wind", "wind_mps", 2, speed},
		{"from", "direction of the wind", "wind_from_deg", 0, same},
		{"crosswind", "cross wind", "crosswind_mps", 2, speed},
		{"gust", "gusts", "gust_mps", 2, speed},
	} {
		if err := put(f.field, f.name, f.key, f.digits, f.si); err != nil {
			return "", err
		}
	}
	return b.String(), nil
}

// pressureOf gives what makes Pa of a pressure as stated, and the key under which it is
// kept.
func pressureOf(kind string) (pascal func(float64) float64, key string) {
	for _, k := range pressureKinds {
		u := quantity.MustUnit(k.Unit)
		switch {
		case k.Name != kind:
		case k.Key == "":
			return func(x float64) float64 { return app.StandardPressure(u.SI(x)) }, "station_pressure_hpa"
		default:
			return u.SI, k.Key
		}
	}
	return func(x float64) float64 { return 100 * x }, "station_pressure_hpa"
}

// barometerRead gives Pa of a barometer's figure, whichever of the usual units it is in: at
// no strip do inches of mercury, kPa and hPa read alike.
func barometerRead(x float64) float64 {
	switch {
	case x > 15 && x < 35:
		return quantity.MustUnit("inHg").SI(x)
	case x > 45 && x < 115:
		return 1e3 * x
	}
	return 100 * x
}

// barometerTyped prints a pressure of the air, Pa, to stand in a field for a barometer.
func barometerTyped(pa float64, w quantity.World) string {
	u, decimals := w.BarometerUnit()
	return plain(u.Of(pa), max(decimals, 1))
}

// fillAir puts the weather for the pass to come into the form: what was planned, else what
// was stated since the last pass, else what that pass met.
func (s *Server) fillAir(ctx context.Context, v *nextView, p store.Pass, planned *car.Planned, met car.Weather, w quantity.World) error {
	a, said := app.AirOf(met), "as at the last pass"
	if now := s.shop.weatherNow(ctx, p); planned != nil {
		said = "as planned"
	} else if now != nil {
		var err error
		if a, err = s.shop.airOf(ctx, p, now.Entry); err != nil {
			return err
		}
		said = "entered " + momentOf(now.At)
	}
	put := func(key string, x *float64, d quantity.Dimension, digits int) {
		if x != nil {
			v.Form[key] = plain(w.Of(d, *x), digits)
		}
	}
	put("air", a.Temperature, quantity.DimTemperature, 1)
	put("headwind", a.Headwind, quantity.DimSpeed, 1)
	put("crosswind", a.Crosswind, quantity.DimSpeed, 1)
	put("gust", a.Gust, quantity.DimSpeed, 1)
	if a.Pressure != nil {
		v.Form["barometer"] = barometerTyped(*a.Pressure, w)
	}
	if a.Humidity != nil {
		v.Form["humidity"] = plain(100**a.Humidity, 0)
	}
	if t := a.Words(w); t != "" {
		v.Air = t + ", " + said
	}
	return nil
}

// saveWeather keeps what someone read, for all cars that ran last at the same event.
func (s *Server) saveWeather(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	r.Body = http.MaxBytesReader(w, r.Body, 64<<10)
	if err := r.ParseForm(); err != nil {
		return wrong("the form could not be read: %v", err)
	}
	p, err := s.shop.lastPass(ctx, r.PathValue("car"))
	if err != nil {
		return err
	}
	if err := s.keepWeather(r, p); err != nil {
		if wantsJSON(r) {
			return err
		}
		return s.showDay(w, r, r.PostForm, err.Error())
	}
	if wantsJSON(r) {
		return s.apiWeather(w, r)
	}
	http.Redirect(w, r, "/#air", http.StatusSeeOther)
	return nil
}

func (s *Server) keepWeather(r *http.Request, p store.Pass) error {
	ctx := r.Context()
	entry, err := weatherText(r.PostForm, s.world(r, p.Car))
	if err != nil {
		return err
	}
	if entry == "" {
		return wrong("no weather was stated")
	}
	if err := checkForm(store.PlannedEntry, "id = \"weather\"\nafter = \"x\"\n"+entry); err != nil {
		return wrong("%v", err)
	}
	if _, err := s.shop.airOf(ctx, p, entry); err != nil {
		return wrong("%v", err)
	}
	cars, err := s.shop.st.Cars(ctx)
	if err != nil {
		return err
	}
	for _, c := range cars {
		last, err := s.shop.lastPass(ctx, c.Name)
		if err != nil || last.Event != p.Event || dateOf(last) != dateOf(p) {
			continue // a car without a pass, or elsewhere
		}
		body, err := json.Marshal(weatherNow{last.Name, s.opt.Now().UTC().Format("2006-01-02T15:04:05Z"), entry})
		if err != nil {
			return err
		}
		if err := s.shop.st.Learn(ctx, c.Name, weatherSubject, "", body); err != nil {
			return err
		}
	}
	return nil
}

// Weather is the air now, as scripts see it.
type Weather struct {
	Car   string `json:"car"`
	After string `json:"after"` // pass run last
	At    string `json:"at"`    // when it was stated, UTC; "" when it is that of the pass
	app.AirState
}

func (s *Server) apiWeather(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	p, err := s.shop.lastPass(ctx, r.PathValue("car"))
	if err != nil {
		return err
	}
	out := Weather{Car: p.Car, After: p.Name, AirState: app.AirState{Notes: []string{}}}
	if now := s.shop.weatherNow(ctx, p); now != nil {
		a, err := s.shop.airOf(ctx, p, now.Entry)
		if err != nil {
			return err
		}
		out.At, out.AirState = now.At, *a
	} else if a := s.shop.airMet(ctx, p); a != nil {
		out.AirState = *a
	}
	return writeJSON(w, r, http.StatusOK, out)
}

// airMet is the air that a pass met, by its report; nil when it has none.
func (h *shop) airMet(ctx context.Context, p store.Pass) *app.AirState {
	rep, _, err := h.report(ctx, p.SHA256)
	if err != nil || p.Number >= len(rep.Passes) || rep.Passes[p.Number].Air == nil {
		return nil
	}
	a := rep.Passes[p.Number].Air
	return &app.AirState{Temperature: a.Temperature, Pressure: a.Pressure, Humidity: a.Humidity, Density: a.Density, DensityAltitude: a.DensityAltitude, Notes: []string{}}
}
