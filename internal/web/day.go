package web

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
	"strings"

	"traplight/internal/app"
	"traplight/internal/forecast"
	"traplight/internal/quantity"
	"traplight/internal/store"
)

// dayView is one day's passes.
type dayView struct {
	Empty        bool // nothing is kept yet
	Count        int  // of all passes kept
	At           string
	Event        string
	Answer       string // the first line: the pass run last
	Verdict      string
	Rows         []dayRow
	Before, Next string // neighbouring days; "" none
	Cars         []store.Car
	Plans        []planLine
	Car          string
	Air          string // at the pass run last
	Left         int    // passes still possible, as the notes say; 0 not known
}

type dayRow struct {
	store.Pass
	Word              string // verdict or why there is none
	Trap, TrapSD      string
	Time, Unit, Short string
	Forecast, Outcome string // what was forecast; how it came
	Best              bool
}

type planLine struct {
	Car, ID, Words string
}

func (s *Server) day(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	v := dayView{}
	var err error
	if v.Cars, err = s.shop.st.Cars(ctx); err != nil {
		return err
	}
	all, err := s.shop.st.Passes(ctx, store.Filter{})
	if err != nil {
		return err
	}
	v.Empty, v.Count = len(all) == 0, len(all)
	f := frame{Title: "The day", Here: "day"}
	if v.Empty {
		f.Body = v
		return s.show(w, r, "day", f, "")
	}
	v.pick(all, r.URL.Query().Get("at"))
	forecasts, err := s.shop.st.Forecasts(ctx, "")
	if err != nil {
		return err
	}
	best := -1
	for _, p := range all {
		if dateOf(p) != v.At {
			continue
		}
		v.Rows = append(v.Rows, s.dayRow(ctx, r, p, forecasts))
		k := len(v.Rows) - 1
		if p.TrapSpeed != nil && (best < 0 || *p.TrapSpeed > *v.Rows[best].TrapSpeed) {
			best = k
		}
	}
	if best >= 0 {
		v.Rows[best].Best = true
	}
	if n := len(v.Rows); n > 0 {
		last := v.Rows[n-1]
		v.Verdict, v.Event, v.Car = last.Verdict, last.Event, last.Car
		v.Answer = last.Short + " on " + last.Name
		if last.Trap == "" {
			v.Answer = last.Name + " has no trap speed"
		}
		v.Answer += ", the pass run last: " + last.Word + "."
	}
	v.Plans = s.plansOf(ctx, r, forecasts, all)
	if n := len(v.Rows); n > 0 && v.Next == "" {
		if err := s.airNow(r, &v, v.Rows[n-1].Pass); err != nil {
			return err
		}
	}
	f.Body, f.Car = v, v.Car
	return s.show(w, r, "day", f, "")
}

// airNow tells the air of the pass run last, until someone states what it is now.
func (s *Server) airNow(r *http.Request, v *dayView, p store.Pass) error {
	ctx := r.Context()
	notes, err := s.shop.notes(ctx)
	if err != nil {
		return err
	}
	v.Left = app.PassesLeft(notes, p.File, p.Number)
	rep, _, err := s.shop.report(ctx, p.SHA256)
	if err != nil || p.Number >= len(rep.Passes) || rep.Passes[p.Number].Air == nil {
		return nil // a pass without air has none to tell
	}
	a, w := rep.Passes[p.Number].Air, s.world(r, p.Car)
	var said []string
	if a.Temperature != nil {
		said = append(said, fmt.Sprintf("%.0f %s", w.Of(quantity.DimTemperature, *a.Temperature), w.Unit(quantity.DimTemperature).Symbol))
	}
	if a.Pressure != nil {
		said = append(said, fmt.Sprintf("%.0f hPa", *a.Pressure/100))
	}
	if a.Humidity != nil {
		said = append(said, percent(*a.Humidity)+" humidity")
	}
	if a.DensityAltitude != nil {
		said = append(said, fmt.Sprintf("density altitude %s", whole(w, quantity.DimLength, *a.DensityAltitude)))
	}
	v.Air = strings.Join(said, ", ")
	return nil
}

func dateOf(p store.Pass) string { return p.RunAt[:min(10, len(p.RunAt))] }

// pick settles on a day, the last by default, and its neighbours.
func (v *dayView) pick(all []store.Pass, want string) {
	var days []string
	for _, p := range all {
		if d := dateOf(p); !slices.Contains(days, d) {
			days = append(days, d)
		}
	}
	slices.Sort(days)
	k := slices.Index(days, want)
	if k < 0 {
		k = len(days) - 1
	}
	v.At = days[k]
	if k > 0 {
		v.Before = days[k-1]
	}
	if k+1 < len(days) {
		v.Next = days[k+1]
	}
}

func (s *Server) dayRow(ctx context.Context, r *http.Request, p store.Pass, forecasts []store.Forecast) dayRow {
	w := s.world(r, p.Car)
	d := dayRow{Pass: p, Word: p.Verdict}
	if d.Word == "" {
		d.Word = "not judged"
	}
	if p.TrapSpeed != nil {
		d.Short = w.Speed(*p.TrapSpeed)
		d.Trap, d.TrapSD, d.Unit = w.Parts(quantity.DimSpeed, *p.TrapSpeed, or(p.TrapSpeedSD))
	}
	if p.HalfMile != nil {
		n, _, _ := w.Parts(quantity.DimTime, *p.HalfMile, or(p.HalfMileSD))
		d.Time = n
	}
	for _, f := range forecasts {
		if p.NoteKey == "" || f.Planned != p.NoteKey {
			continue
		}
		var a forecast.Answer
		if json.Unmarshal(f.Body, &a) != nil {
			continue
		}
		d.Forecast = spanOf(w, a)
		if p.TrapSpeed != nil && p.Complete {
			d.Outcome = "inside"
			if *p.TrapSpeed < a.Trap.P05 {
				d.Outcome = "slower than that"
			} else if *p.TrapSpeed > a.Trap.P95 {
				d.Outcome = "faster than that"
			}
		}
	}
	return d
}

func spanOf(w quantity.World, a forecast.Answer) string {
	return fmt.Sprintf("%.1f (%.1f to %.1f)", w.Of(quantity.DimSpeed, a.Trap.P50), w.Of(quantity.DimSpeed, a.Trap.P05), w.Of(quantity.DimSpeed, a.Trap.P95))
}

// plansOf are the forecasts whose pass has not been run.
func (s *Server) plansOf(ctx context.Context, r *http.Request, forecasts []store.Forecast, all []store.Pass) (out []planLine) {
	for i := len(forecasts) - 1; i >= 0; i-- {
		f := forecasts[i]
		if slices.ContainsFunc(all, func(p store.Pass) bool { return p.NoteKey == f.Planned }) ||
			slices.ContainsFunc(out, func(l planLine) bool { return l.Car == f.Car }) {
			continue
		}
		var a forecast.Answer
		if json.Unmarshal(f.Body, &a) != nil {
			continue
		}
		w := s.world(r, f.Car)
		words := foretell(w, a)
		var c struct {
			Left  int     `json:"passes_left"`
			Today float64 `json:"chance_in_passes_left"`
		}
		if json.Unmarshal(f.Body, &c) == nil && c.Left > 1 && c.Today > 0 {
			words = strings.TrimSuffix(words, ".") + fmt.Sprintf(", in the %d passes left today %s.", c.Left, percent(c.Today))
		}
		out = append(out, planLine{f.Car, f.Planned, words})
	}
	return out
}

// foretell puts a forecast into one sentence.
func foretell(w quantity.World, a forecast.Answer) string {
	unit := w.Unit(quantity.DimSpeed).Symbol
	t := fmt.Sprintf("%.1f %s at the trap, nine times in ten between %.1f and %.1f", w.Of(quantity.DimSpeed, a.Trap.P50), unit,
		w.Of(quantity.DimSpeed, a.Trap.P05), w.Of(quantity.DimSpeed, a.Trap.P95))
	if a.Target != nil {
		t += fmt.Sprintf("; the chance of %.0f %s is %s", w.Of(quantity.DimSpeed, a.Target.Speed), unit, percent(a.Target.Chance))
	}
	return t + "."
}

// percent prints a chance, 0–1, without claiming certainty.
func percent(p float64) string {
	switch {
	case p < 0.01:
		return "under 1 %"
	case p > 0.99:
		return "over 99 %"
	}
	return fmt.Sprintf("%.0f %%", 100*p)
}

func or(v *float64) float64 {
	if v == nil {
		return 0
	}
	return *v
}
