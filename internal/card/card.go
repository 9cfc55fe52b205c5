package card

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"traplight/internal/car"
	"traplight/internal/health"
	"traplight/internal/plan"
	"traplight/internal/prose"
	"traplight/internal/quantity"
)

// Card is the content of the page, all of it text in the units of its reader.
type Card struct {
	Car        string   `json:"car"`
	For        string   `json:"for"`
	Made       string   `json:"made"`
	Answer     string   `json:"answer"` // the first line: what to expect
	Barometer  string   `json:"barometer"`
	Unit       string   `json:"unit"`  // of the boost columns
	Both       bool     `json:"both"`  // boost is given in kPa too
	Enter      string   `json:"enter"` // which of the columns the engine computer wants
	Rows       []Row    `json:"gears"`
	Settings   []string `json:"settings"`
	Facts      []Fact   `json:"forecast"`
	New        []string `json:"not_run_before"`
	Already    []string `json:"exceeded_already"`
	Limits     []Limit  `json:"limits"`
	Protection []Trip   `json:"protection"`
	Due        []string `json:"due"`      // parts that are due or to be looked at
	Missing    []string `json:"not_done"` // of the turn-round list
	Checks     []string `json:"checks"`
	Cautions   []string `json:"cautions"`
	Notes      []string `json:"notes"`
}

// Row is a gear's settings.
type Row struct {
	Gear        string `json:"gear"`
	Gauge       string `json:"boost"`
	GaugeKPa    string `json:"boost_kpa"`
	Absolute    string `json:"absolute"`
	AbsoluteKPa string `json:"absolute_kpa"`
	Shift       string `json:"shift_rpm"`
	Binds       string `json:"held_back_by"`
}

// Fact is a forecast figure.
type Fact struct {
	Name  string `json:"name"`
	Value string `json:"value"`
	Note  string `json:"note"`
}

// Limit is one that binds.
type Limit struct {
	Where  string `json:"where"`
	What   string `json:"limit"`
	Class  string `json:"class"`
	Chance string `json:"chance"`
	More   string `json:"more"`
}

// Trip is a threshold of the engine computer's protection.
type Trip struct {
	What  string `json:"what"`
	Trips string `json:"trips"`
	When  string `json:"when"`
	Basis string `json:"basis"`
}

// Input is what a card is made of.
type Input struct {
	Plan       *plan.Answer
	Sheet      *car.Sheet
	Protection []health.Threshold
	World      quantity.World
	Made       string   // date and time, as it is to be printed; "" none
	After      string   // the pass that it follows; "" unknown
	Due        []string // parts that are due or to be looked at
	Missing    []string // of the turn-round list, what is not done
	Verdict    string   // on the last pass; "" it could not be judged
	Inspected  string   // what was inspected and found since; "" nothing
	Bold       bool     // more than one step beyond what was run
	Wind       string   // wind of the day in words, with what comes across; "" not stated
}

// ErrRefused is at the root of a refusal.
var ErrRefused = errors.New("no card")

// New makes a card; it refuses where the plan does.
func New(in Input) (*Card, error) {
	p := in.Plan
	if !p.Card || p.NoCard != "" {
		return nil, fmt.Errorf("%w: %s", ErrRefused, p.NoCard)
	}
	if p.Forecast == nil {
		return nil, fmt.Errorf("%w: the plan has no forecast", ErrRefused)
	}
	c := &Card{Car: in.Sheet.Name, Made: in.Made, New: p.New, Already: slices.Clone(p.Already), Due: in.Due, Missing: in.Missing}
	if in.After != "" {
		c.For = "after " + in.After
	}
	if id := p.Forecast.Next; id != "" {
		c.For = id
	}
	w := in.World
	c.settings(p, in.Sheet, w)
	c.forecast(p, w)
	c.limits(p, w)
	c.protect(in.Protection, w)
	c.Checks = checks(p, in.Sheet)
	c.Cautions = p.Cautions(in.Sheet, in.Verdict, in.Inspected, in.Bold)
	if in.Wind != "" {
		c.Cautions = append([]string{in.Wind}, c.Cautions...)
	}
	for _, n := range p.Mind() {
		c.Notes = append(c.Notes, car.Retell(w, n))
	}
	for i, what := range c.Already {
		c.Already[i] = prose.Upper(what)
	}
	return c, nil
}

// ProtectedBy is the basis that all thresholds share, said once above them; "" where they
// differ and each says its own.
func (c *Card) ProtectedBy() string {
	for _, t := range c.Protection {
		if t.Basis != c.Protection[0].Basis {
			return ""
		}
	}
	if len(c.Protection) == 0 {
		return ""
	}
	return c.Protection[0].Basis
}

// protections are the thresholds with their heading, a line each.
func (c *Card) protections(head string) (title string, lines []string) {
	shared := c.ProtectedBy()
	if shared != "" {
		head += " (" + shared + ")"
	}
	for _, t := range c.Protection {
		line := t.What + " " + t.Trips + ", " + t.When
		if shared == "" {
			line += " (" + t.Basis + ")"
		}
		lines = append(lines, line)
	}
	return head, lines
}

const kpa = 1e3 // Pa

func (c *Card) settings(p *plan.Answer, s *car.Sheet, w quantity.World) {
	c.Unit = strings.TrimSpace(strings.TrimLeft(w.Pressure(100e3), "0123456789.,-"))
	c.Both = c.Unit != "kPa"
	number := func(pa float64) string {
		return strings.TrimSpace(strings.TrimSuffix(w.Pressure(pa), c.Unit))
	}
	set := p.Settings
	for g, b := range set.Boost {
		r := Row{Gear: fmt.Sprint(g + 1), Gauge: number(b * kpa), GaugeKPa: fmt.Sprintf("%.0f", b), Absolute: number(set.Absolute[g] * kpa), AbsoluteKPa: fmt.Sprintf("%.0f", set.Absolute[g])}
		if g < len(set.Shift) {
			r.Shift = fmt.Sprintf("%.0f", set.Shift[g])
		}
		for _, l := range p.Limits {
			if l.Gear == g+1 && l.Binds {
				if r.Binds != "" {
					r.Binds += ", "
				}
				r.Binds += l.Limit
			}
		}
		c.Rows = append(c.Rows, r)
	}
	again := "10 hPa" // 1 kPa, the step of the tables above
	if u, _ := w.BarometerUnit(); u.Symbol == "inHg" {
		again = "0.3 inHg"
	}
	c.Barometer = fmt.Sprintf("Worked out for a barometer of %s (%.1f kPa). An engine computer that holds absolute pressure does not hold this boost when the weather changes: work the card out again when the barometer has moved by more than %s.", w.Barometer(set.Barometer*kpa), set.Barometer, again)
	switch s.BoostSetpoint {
	case "absolute":
		c.Enter = "This car's computer holds absolute pressure: enter the absolute column."
	case "gauge":
		c.Enter = "This car's computer holds pressure over the barometer: enter the column over the barometer."
	}
	c.Settings = append(c.Settings, set.NitrousText(w))
	if set.LaunchRPM != nil {
		c.Settings = append(c.Settings, fmt.Sprintf("Launch at %.0f rpm.", *set.LaunchRPM))
	}
	if set.TyreCold > 0 {
		c.Settings = append(c.Settings, fmt.Sprintf("Tyres cold %s.", w.Pressure(set.TyreCold*kpa)))
	}
	if r := plan.RampText(p.Ramps, p.RampsGain, w); r != "" {
		c.Settings = append(c.Settings, r)
	}
}

func (c *Card) forecast(p *plan.Answer, w quantity.World) {
	f := p.Forecast
	fact := func(name, value, note string) { c.Facts = append(c.Facts, Fact{name, value, note}) }
	c.Answer = fmt.Sprintf("Expect %s at the trap.", f.Trap.Text(w))
	if t := f.Target; t != nil {
		c.Answer += fmt.Sprintf(" The chance of %s.", t.Text(w))
		if p.Today != nil {
			c.Answer += fmt.Sprintf(" In the passes left today: %s.", plan.Percent(*p.Today))
		}
	}
	fact("nine times in ten", f.Trap.Span(w, "to"), "")
	fact("time", f.Time.Text(w), "from rollout")
	if p.Again > 0 {
		fact("as set before", w.Rounded(quantity.DimSpeed, p.Again, f.Trap.SD), "")
	}
	fact("highest speed", f.TopText(w), "one pass in twenty over "+f.TopFar(w))
	stop, rest, _ := strings.Cut(f.Stop(w, p.DecelFrom), ", ")
	fact("to a stop", stop, rest)
}

// mostLimits is how many limits a page holds.
const mostLimits = 8

func (c *Card) limits(p *plan.Answer, w quantity.World) {
	binding := slices.DeleteFunc(slices.Clone(p.Limits), func(l plan.Limit) bool { return !l.Binds })
	slices.SortStableFunc(binding, func(a, b plan.Limit) int { return cmp.Compare(b.Shadow, a.Shadow) })
	for _, l := range binding[:min(mostLimits, len(binding))] {
		where := "whole pass"
		if l.Gear > 0 {
			where = fmt.Sprintf("gear %d", l.Gear)
		}
		more := ""
		if l.Shadow > 0 {
			more = w.Estimate(quantity.DimSpeed, quantity.Estimate{Value: l.Shadow, SD: l.ShadowSD})
		}
		if more != "" && l.Gear == 0 {
			more += " for " + l.Step()
		}
		c.Limits = append(c.Limits, Limit{where, l.Limit, l.Class, l.ShortChance(), more})
	}
}

func (c *Card) protect(ts []health.Threshold, w quantity.World) {
	for _, t := range ts {
		side := "above"
		if t.Below {
			side = "below"
		}
		c.Protection = append(c.Protection, Trip{t.What, fmt.Sprintf("%s %s for %.2f s", side, t.Limit(w), t.Delay), t.Condition(w), quantity.Count(t.Passes, "clear pass", "clear passes")})
	}
}

// checks are done by hand before the car rolls.
func checks(p *plan.Answer, s *car.Sheet) []string {
	c := []string{
		"settings entered and read back, by gear",
		"wheel nuts to torque, valve caps on, tyre pressures cold",
		"hoses, clamps, oil level and leaks; metal in the oil looked for",
		"fuel enough for the pass and the way back; barometer read again",
	}
	if p.Settings.Nitrous {
		c = append(c, "fuel flow proven at the nitrous setting; bottle secured, valve opened slowly, body clear of the outlet")
	}
	if s.SlipCut {
		c = append(c, "traction electronics on, at the setting of the passes this rests on")
	}
	return append(c, "shut-down area seen free; wind and gusts looked at now", "driver asked: he or she may refuse any pass")
}
