package web

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
	"strings"

	"traplight/internal/app"
	"traplight/internal/car"
	"traplight/internal/card"
	"traplight/internal/plan"
	"traplight/internal/quantity"
	"traplight/internal/store"
)

// forecastOf puts the recorded forecast of the plan into words.
func (s *Server) forecastOf(ctx context.Context, v *nextView, w quantity.World) error {
	if v.ID == "" {
		return nil
	}
	if c, _, err := s.shop.chosen(ctx, v.Car, v.ID); err != nil {
		return err
	} else if c != nil {
		v.Plan, v.Live, v.MayAccept, v.found = planOf(c, w), liveOf(c, w), c.NoSettings == "", c
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
	v.Coming, v.Recorded, v.Live, v.MayAccept = c, momentOf(f.RecordedAt), liveOf(c, w), false
	for _, n := range slices.Concat(c.Notes, c.Cautions) {
		v.Notes = append(v.Notes, car.Retell(w, n))
	}
	return nil
}

// planOf puts a plan into words.
func planOf(c *app.Coming, w quantity.World) *planView {
	p := &planView{Line: "The best within the limits.", Binds: bindsOf(c.Limits, w)}
	if c.Again > 0 {
		p.Line = fmt.Sprintf("The best within the limits: %s over what was set before.", w.Signed(quantity.DimSpeed, c.Trap.Mean-c.Again, c.Trap.SD))
	}
	if c.NoSettings != "" {
		p.Line = sentence(c.NoSettings)
	}
	for _, n := range c.Cautions {
		p.Notes = append(p.Notes, sentence(car.Retell(w, n)))
	}
	if r := plan.RampText(c.Ramps, c.RampsGain, w); r != "" {
		p.Further = append(p.Further, r)
	}
	if c.Launch != nil {
		p.Further = append(p.Further, c.Launch.Text(w))
	}
	for i := range c.Measuring {
		p.Further = append(p.Further, c.Measuring[i].Text(w))
	}
	if len(c.Settings.NitrousGears) > 0 {
		p.Further = append(p.Further, c.Settings.NitrousText(w))
	}
	if len(c.Lessons) > 0 && c.Lessons[0].Bits > 0.2 {
		l := c.Lessons[0]
		p.Lesson = fmt.Sprintf("What would teach most: %s, %s expected.", l.Text(w), w.Estimate(quantity.DimSpeed, quantity.Estimate{Value: l.Gain, SD: l.SD}))
	}
	return p
}

// cardAllowed says why there may be no card.
func (s *Server) cardAllowed(ctx context.Context, v *nextView, p store.Pass) error {
	notes, err := s.shop.notes(ctx)
	if err != nil {
		return err
	}
	o, err := s.shop.nextOptions(ctx, p, notes)
	if err != nil {
		return err
	}
	v.Inspected = o.Inspected
	if v.MustInspect = plan.MustInspect(p.Verdict, o.Inspected); v.MustInspect {
		judged := " could not be judged"
		if p.Verdict != "" {
			judged = " was judged '" + p.Verdict + "'"
		}
		v.NoCard = sentence(called(p, nil) + judged + ": enter what was inspected and found before there is a card")
		return nil
	}
	switch {
	case v.Coming == nil:
		v.Unwritten, v.NoCard = true, "A card carries its forecast: write it down first."
	case v.Live.Refused != "":
		v.NoCard = v.Live.Refused
	default:
		v.NoCard = sentence(v.Coming.NoCard(p.Verdict, o.Inspected))
	}
	return nil
}

// passCard makes the card of a pass that was written down, or says why there is none.
func (s *Server) passCard(r *http.Request) (*card.Card, *nextView, error) {
	v, err := s.nextView(r, r.PathValue("car"), r.PathValue("id"))
	if err != nil {
		return nil, nil, err
	}
	if v.ID == "" {
		return nil, nil, status(http.StatusNotFound, fmt.Errorf("no planned pass %q is known", r.PathValue("id")))
	}
	if v.NoCard != "" {
		return nil, nil, status(http.StatusConflict, fmt.Errorf("no card: %s", strings.ToLower(v.NoCard[:1])+v.NoCard[1:]))
	}
	sheet, err := s.shop.sheet(r.Context(), v.Car)
	if err != nil {
		return nil, nil, err
	}
	c, err := v.Coming.Card(app.CardRequest{Sheet: sheet, Units: s.units(r), Made: v.Recorded, After: calledThen(v.After),
		Verdict: v.After.Verdict, Inspected: v.Inspected, Due: v.Due, Missing: v.Missing})
	if err != nil {
		return nil, nil, status(http.StatusConflict, err)
	}
	return c, v, nil
}

// cardView is the card as a page.
type cardView struct {
	*card.Card
	ID string
}

func (s *Server) card(w http.ResponseWriter, r *http.Request) error {
	c, v, err := s.passCard(r)
	if err != nil {
		return err
	}
	return s.show(w, r, "card", frame{Title: c.Title(), Here: "next", Body: cardView{c, v.ID}, Car: v.Car}, "")
}

// cardPDF is the same on one sheet of A4.
func (s *Server) cardPDF(w http.ResponseWriter, r *http.Request) error {
	c, v, err := s.passCard(r)
	if err != nil {
		return err
	}
	var b strings.Builder
	if err := c.WritePDF(&b); err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/pdf")
	w.Header().Set("Content-Disposition", `inline; filename="`+fileName("pass-card-"+v.Car+"-"+v.ID)+`.pdf"`)
	return write(w, r, []byte(b.String()))
}

// apiCard is the same for scripts.
func (s *Server) apiCard(w http.ResponseWriter, r *http.Request) error {
	c, _, err := s.passCard(r)
	if err != nil {
		return err
	}
	return writeJSON(w, r, http.StatusOK, c)
}

// fileName keeps of a text what every system takes in a file's name.
func fileName(text string) string {
	return strings.Map(func(c rune) rune {
		if c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '-' {
			return c
		}
		return '-'
	}, text)
}
