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
	"traplight/internal/quantity"
)

// Card is the content of the page, all of it text in the units of its reader.
type Card struct {
	Car, For, Made string
	Answer         string // the first line: what to expect
	Barometer      string
	Unit           string // of the boost columns
	Both           bool   // boost is given in kPa too
	Enter          string // which of the columns the engine computer wants
	Rows           []Row
	Settings       []string
	Facts          []Fact
	New            []string
	Already        []string
	Limits         []Limit
	Protection     []Trip
	Checks         []string
	Cautions       []string
	Notes          []string
}

// Row is a gear's settings.
type Row struct{ Gear, Gauge, GaugeKPa, Absolute, AbsoluteKPa, Shift, Binds string }

// Fact is a forecast figure.
type Fact struct{ Name, Value, Note string }

// Limit is one that binds.
type Limit struct{ Where, What, Class, Chance, More string }

// Trip is a threshold of the engine computer's protection.
type Trip struct{ What, Trips, When, Basis string }

// Input is what a card is made of.
type Input struct {
	Plan       *plan.Plan
	Sheet      *car.Sheet
	Protection []health.Threshold
	World      quantity.World
	Made       string // date and time, as it is to be printed; "" none
	After      string // the pass that it follows; "" unknown
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
	c := &Card{Car: in.Sheet.Name, Made: in.Made, New: p.New, Already: p.Already}
	if id := p.Forecast.Next.ID; id != "" {
		c.For = id
	} else if in.After != "" {
		c.For = "after " + in.After
	}
	w := in.World
	c.settings(p, in.Sheet, w)
	c.forecast(p, w)
	c.limits(p, w)
	c.protect(in.Protection, w)
	c.Checks = checks(p, in.Sheet)
	c.Cautions = p.Cautions(in.Sheet)
	c.Notes = p.Mind()
	return c, nil
}

const kpa = 1e3 // Pa

func (c *Card) settings(p *plan.Plan, s *car.Sheet, w quantity.World) {
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
	c.Barometer = fmt.Sprintf("Worked out for a barometer of %.1f kPa (%.0f hPa). An engine computer that holds absolute pressure does not hold this boost when the weather changes: work the card out again for more than 1 kPa.", set.Barometer, 10*set.Barometer)
	switch s.BoostSetpoint {
	case "absolute":
		c.Enter = "This car's computer holds absolute pressure: enter the absolute column."
	case "gauge":
		c.Enter = "This car's computer holds pressure over the barometer: enter the column over the barometer."
	}
	c.Settings = append(c.Settings, p.NitrousText(w))
	if set.LaunchRPM != nil {
		c.Settings = append(c.Settings, fmt.Sprintf("Launch at %.0f rpm, as before.", *set.LaunchRPM))
	}
	for _, r := range p.Ramps {
		c.Settings = append(c.Settings, r.Text(w))
	}
}

func (c *Card) forecast(p *plan.Plan, w quantity.World) {
	f := p.Forecast
	fact := func(name, value, note string) { c.Facts = append(c.Facts, Fact{name, value, note}) }
	c.Answer = fmt.Sprintf("Expect %s at the trap.", w.Estimate(quantity.DimSpeed, quantity.Estimate{Value: f.Trap.Mean, SD: f.Trap.SD}))
	if f.Aim > 0 {
		c.Answer += fmt.Sprintf(" Chance of %s: %s.", w.Speed(f.Aim), plan.Percent(f.Chance))
		if p.Today > 0 {
			c.Answer += fmt.Sprintf(" In the passes left today: %s.", plan.Percent(p.Today))
		}
	}
	fact("nine times in ten", w.Speed(f.Trap.P05)+" to "+w.Speed(f.Trap.P95), "")
	fact("time", w.Duration(f.Time.P50), "from rollout")
	if p.As != nil {
		fact("same settings again", w.Speed(p.As.Trap.Mean), "")
	}
	fact("highest speed", w.Speed(f.Top.P50), w.Speed(f.Top.P95)+" in one of twenty")
	stop := "the strip's shut-down length is not known"
	if f.Next.ShutDown > 0 {
		stop = "the strip has " + w.Length(f.Next.ShutDown)
	}
	fact("to a stop", w.Length(f.Stopping.P50), fmt.Sprintf("%s in one of twenty, at %.2f g (%s); %s", w.Length(f.Stopping.P95), f.Decel/9.80665, p.DecelFrom, stop))
}

// mostLimits is how many limits a page holds.
const mostLimits = 8

func (c *Card) limits(p *plan.Plan, w quantity.World) {
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
		c.Limits = append(c.Limits, Limit{where, l.Limit, l.Class, plan.Percent(l.Chance), more})
	}
}

func (c *Card) protect(ts []health.Threshold, w quantity.World) {
	for _, t := range ts {
		side := "above"
		if t.Below {
			side = "below"
		}
		c.Protection = append(c.Protection, Trip{t.What, fmt.Sprintf("%s %s for %.2f s", side, w.Value(t.Measure, t.Value), t.Delay), t.When, fmt.Sprintf("%d clear passes", t.Passes)})
	}
}

// checks are done by hand before the car rolls.
func checks(p *plan.Plan, s *car.Sheet) []string {
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
