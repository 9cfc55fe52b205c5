package web

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
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
	Event        string // where it was, as people call it
	Answer       string // the first line: the pass run last
	Verdict      string
	Rows         []dayRow
	Fit          fitView  // of the pass run last
	Doubts       []dayRow // each car's last pass of the day, where it is not clear, the latest first
	Before, Next string   // neighbouring days; "" none
	Cars         []store.Car
	Plans        []planLine
	Car          string
	Air          *airView
	Left         int    // passes still possible, as the notes say; 0 not known
	Unset        string // what to reach, where no pass to come is set; "" where one is
	Foretold     bool   // some pass of the day had a forecast
}

type dayRow struct {
	store.Pass
	Called            string // among the day's passes
	Word              string // verdict or why there is none
	Trap, TrapSD      string
	Time, Unit, Short string
	Forecast, Outcome string // what was forecast; how it came
	Best              bool
	Fit               fitView // of those in Doubts
}

type planLine struct {
	Car, ID, Words string
}

func (s *Server) day(w http.ResponseWriter, r *http.Request) error {
	return s.showDay(w, r, nil, "")
}

// showDay shows the day; entered is the weather as it was typed where it could not be kept,
// and trouble says why.
func (s *Server) showDay(w http.ResponseWriter, r *http.Request, entered url.Values, trouble string) error {
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
	s.fillRows(r, &v, all, forecasts)
	if len(v.Rows) > 0 {
		if err := s.fillAnswer(ctx, &v); err != nil {
			return err
		}
	}
	s.fillDoubts(ctx, &v)
	if err := s.fillNext(r, &v, all, forecasts, entered); err != nil {
		return err
	}
	f.Body, f.Car = v, v.Car
	return s.show(w, r, "day", f, trouble)
}

// fillRows makes the rows of the day's passes; the best of each car is marked.
func (s *Server) fillRows(r *http.Request, v *dayView, all []store.Pass, forecasts []store.Forecast) {
	best := map[string]int{} // by car
	for _, p := range all {
		if dateOf(p) != v.At {
			continue
		}
		v.Rows = append(v.Rows, s.dayRow(r.Context(), r, p, forecasts))
		k := len(v.Rows) - 1
		v.Foretold = v.Foretold || v.Rows[k].Forecast != ""
		if b, ok := best[p.Car]; p.TrapSpeed != nil && (!ok || *p.TrapSpeed > *v.Rows[b].TrapSpeed) {
			best[p.Car] = k
		}
	}
	for _, k := range best {
		v.Rows[k].Best = true
	}
}

// fillAnswer says how the pass run last came out.
func (s *Server) fillAnswer(ctx context.Context, v *dayView) (err error) {
	last := v.Rows[len(v.Rows)-1]
	v.Verdict, v.Car = last.Verdict, last.Car
	if v.Event, err = s.shop.place(ctx, last.Pass); err != nil {
		return err
	}
	v.call()
	whose := "the"
	if name := v.Rows[len(v.Rows)-1].Called; strings.Contains(name, ", ") { // of several cars
		whose = last.Car + "'s"
	}
	v.Answer = sentence(last.Word + ": " + last.Short + " in " + whose + " last pass")
	if last.Trap == "" {
		v.Answer = sentence(last.Word + ": " + whose + " last pass has no trap speed")
	}
	v.Fit = s.fitOf(ctx, last.Pass)
	return nil
}

// fillDoubts gathers each car's last pass of the day that is not clear, the latest first.
func (s *Server) fillDoubts(ctx context.Context, v *dayView) {
	for i, k := range v.Rows {
		later := func(o dayRow) bool { return o.Car == k.Car }
		if k.Verdict != "clear" && !slices.ContainsFunc(v.Rows[i+1:], later) {
			k.Fit = s.fitOf(ctx, k.Pass)
			v.Doubts = append(v.Doubts, k)
		}
	}
	slices.Reverse(v.Doubts)
}

// fillNext tells what is planned and, on the last day, what is left of it and the air.
func (s *Server) fillNext(r *http.Request, v *dayView, all []store.Pass, forecasts []store.Forecast, entered url.Values) error {
	v.Plans = s.plansOf(r, forecasts, all)
	unset := func() bool {
		return v.Car != "" && v.Next == "" && !slices.ContainsFunc(v.Plans, func(l planLine) bool { return l.Car == v.Car })
	}
	if n := len(v.Rows); n > 0 && v.Next == "" {
		last := v.Rows[n-1].Pass
		notes, err := s.shop.notes(r.Context())
		if err != nil {
			return err
		}
		v.Left = app.PassesLeft(notes, last.File, last.Number)
		if v.Air, err = s.air(r, last, entered); err != nil {
			return err
		}
		if p := notes.PlanAfter(notes.For(last.File, last.Number)); p != nil && unset() {
			v.Plans = append(v.Plans, planLine{v.Car, p.ID, plannedLine(p)})
		}
	}
	if unset() {
		v.Unset = s.aimLine(r, v.Car, all)
	}
	return nil
}

// call gives each row the name that the crew would use.
func (v *dayView) call() {
	var passes []store.Pass
	for _, r := range v.Rows {
		passes = append(passes, r.Pass)
	}
	for i := range v.Rows {
		v.Rows[i].Called = called(v.Rows[i].Pass, passes)
	}
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
	p.Verdict = s.shop.verdict(ctx, p)
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
	part := func(v float64) string {
		number, _, _ := w.Parts(quantity.DimSpeed, v, a.Trap.SD)
		return number
	}
	return fmt.Sprintf("%s (%s to %s)", part(a.Trap.Mean), part(a.Trap.P05), part(a.Trap.P95))
}
