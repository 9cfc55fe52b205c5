package app

import (
	"fmt"
	"math"
	"strings"

	"traplight/internal/car"
	"traplight/internal/card"
	"traplight/internal/plan"
	"traplight/internal/quantity"
	"traplight/internal/report"
)

// CardRequest is what a card needs besides the pass that was worked out.
type CardRequest struct {
	Sheet     *car.Sheet
	Units     string   // "us", "metric", "si", or "auto" for the sheet's
	Made      string   // when the forecast was written down, as it is to be printed; "" none
	After     string   // the pass that it follows
	Verdict   string   // of that pass; "" none
	Inspected string   // what was inspected and found since; "" nothing
	Due       []string // parts that are due or to be looked at
	Missing   []string // of the turn-round list, what is not done
}

// Card makes the card of a pass that was worked out, chosen by a hand or by the plan; it
// refuses where the plan would.
func (c *Coming) Card(q CardRequest) (*card.Card, error) {
	w := report.World(q.Units, q.Sheet.Units)
	f := *c.Answer
	f.Next = "" // an id of the page's own means nothing on paper
	a := &plan.Answer{Settings: c.Settings, Forecast: &f, Limits: c.Limits, New: c.NotRun(w), Already: c.Already, Notes: c.Cautions,
		Again: c.Again, DecelFrom: c.DecelFrom, Ramps: c.Ramps, RampsGain: c.RampsGain, NoCard: c.NoCard(q.Verdict, q.Inspected)}
	a.Card = a.NoCard == ""
	if c.Today > 0 {
		a.Today = &c.Today
	}
	return card.New(card.Input{Plan: a, Sheet: q.Sheet, Protection: c.Protection, World: w, Made: q.Made, After: q.After,
		Due: q.Due, Missing: q.Missing, Verdict: q.Verdict, Inspected: q.Inspected, Bold: c.Bold, Wind: c.Weather.WindWords(w)})
}

// NoCard says why there may be no card after a pass with this verdict and what was
// inspected since; "" when there may be one.
func (c *Coming) NoCard(verdict, inspected string) string {
	if no := MustInspect(verdict, inspected); no != "" {
		return no
	}
	switch {
	case c.NoSettings != "":
		return c.NoSettings
	case len(c.Over) > 0:
		return "hard limits may be passed in one pass of a hundred at most: " + c.Over[0]
	case c.Range == nil && c.ShutDown > 0 && c.Stopping.P95 > c.ShutDown:
		return "the strip may be too short to stop in: one pass in twenty needs more than it has"
	}
	return ""
}

// NotRun names the settings that were not run before, in the units of w.
func (c *Coming) NotRun(w quantity.World) []string {
	if c.Range == nil {
		return c.New
	}
	out := []string{}
	for g, b := range c.Boost {
		if ran := c.Range.Ran[g]; b > ran+0.5e3 {
			out = append(out, fmt.Sprintf("%s in gear %d (%s so far)", w.Pressure(b), g+1, w.Pressure(ran)))
		}
	}
	const turn = math.Pi / 30 // rad/s
	for g, b := range c.Shift {
		if ran := c.Range.RanShift[g]; b > ran+1 {
			out = append(out, fmt.Sprintf("%.0f rpm out of gear %d (%.0f so far)", b/turn, g+1, ran/turn))
		}
	}
	for _, n := range c.New {
		if n == "nitrous" || strings.HasPrefix(n, "launch") {
			out = append(out, n)
		}
	}
	return out
}

// MustInspect says that there is no card before what was inspected is entered, with the
// verdict on the last pass and what was found since; "" when nothing need be.
func MustInspect(verdict, inspected string) string {
	switch {
	case !plan.MustInspect(verdict, inspected):
		return ""
	case verdict == "":
		return "the last pass could not be judged: enter what was inspected and found before there is a card"
	}
	return "the last pass was judged '" + verdict + "': enter what was inspected and found before there is a card"
}
