package web

import (
	"fmt"
	"math"
	"net/http"
	"net/url"

	"traplight/internal/car"
	"traplight/internal/quantity"
	"traplight/internal/store"
)

// airView is the air of the day, and the form in which it is stated.
type airView struct {
	Said, Wind  string // in words
	When        string // "now, entered …" or "at the last pass"
	Notes       []string
	Form        map[string]string
	Kinds       []string // how a pressure may be stated
	Kind        string
	Heat, Speed string // units
	Heading     string // of the strip, in degrees; "" not known
	Open        bool
}

// air tells the air as it was stated since pass p, the last one, or else what p met.
func (s *Server) air(r *http.Request, p store.Pass, entered url.Values) (*airView, error) {
	ctx, w := r.Context(), s.world(r, p.Car)
	v := &airView{Form: map[string]string{}, Heat: w.Unit(quantity.DimTemperature).Symbol, Speed: w.Unit(quantity.DimSpeed).Symbol, Open: entered != nil, Kind: entered.Get("pressure_is")}
	if u, _ := w.BarometerUnit(); v.Kind == "" {
		v.Kind = u.Symbol + ", barometer at the strip"
	}
	for _, k := range pressureKinds {
		v.Kinds = append(v.Kinds, k.Name)
	}
	a := s.shop.airMet(ctx, p)
	v.When = "at the last pass"
	if now := s.shop.weatherNow(ctx, p); now != nil {
		var err error
		if a, err = s.shop.airOf(ctx, p, now.Entry); err != nil {
			return nil, err
		}
		v.When = "now, entered " + momentOf(now.At)
		v.Notes = a.Notes
	}
	v.Said, v.Wind = a.Words(w), a.WindWords(w)
	if a != nil && a.Temperature != nil {
		v.Form["air"] = plain(w.Of(quantity.DimTemperature, *a.Temperature), 1)
	}
	if a != nil && a.Pressure != nil {
		v.Form["pressure"] = barometerTyped(*a.Pressure, w)
	}
	if a != nil && a.Humidity != nil {
		v.Form["humidity"] = plain(100**a.Humidity, 0)
	}
	for k := range entered {
		v.Form[k] = entered.Get(k)
	}
	notes, err := s.shop.notes(ctx)
	if err != nil {
		return nil, err
	}
	if h := notes.StripForPlan(&car.Planned{Event: p.Event}).Heading; !math.IsNaN(h) {
		v.Heading = fmt.Sprintf("%.0f", h*180/math.Pi)
	}
	return v, nil
}
