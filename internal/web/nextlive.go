package web

import (
	"context"
	"fmt"
	"math"
	"strings"
	"sync"

	"traplight/internal/app"
	"traplight/internal/forecast"
	"traplight/internal/plan"
	"traplight/internal/quantity"
	"traplight/internal/surface"
)

// foretold is a car fitted to its passes, kept as long as nothing of it changes, with
// the surfaces made from it.
type foretold struct {
	key    string
	fitted *app.Fitted

	mu       sync.Mutex
	surfaces map[string]*quickLook
	full     map[string]*app.Coming // what was worked out in full of late, by what was asked
}

// How many passes worked out in full are remembered: a page that is opened again, or looked
// at on another screen, asks for the same one.
const keepFull = 12

// inFull works a pass out in full, or remembers it.
func (m *foretold) inFull(ctx context.Context, a *asked) (*app.Coming, error) {
	m.mu.Lock()
	c := m.full[a.key]
	m.mu.Unlock()
	if c != nil {
		return c, nil
	}
	c, err := m.fitted.Coming(ctx, a.notes, a.planned, a.opt)
	if err != nil {
		return nil, err
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	if len(m.full) >= keepFull {
		clear(m.full)
	}
	m.full[a.key] = c
	return c, nil
}

// Live is what a pass to come will bring, in the reader's units and words.
type Live struct {
	Ready bool   `json:"ready"`
	Job   string `json:"job,omitempty"` // the work that is waited for when it is not ready, or that sharpens the quick look
	Full  bool   `json:"full"`          // of the full forecast; else of the quick look
	Trap  string `json:"trap"`
	SD    string `json:"sd"`
	Unit  string `json:"unit"`
	Line  string `json:"line"`
	// P05, Mean, P95 and Aim are in the reader's unit; Aim 0 is none.
	P05     float64    `json:"p05"`
	Mean    float64    `json:"mean"`
	P95     float64    `json:"p95"`
	Aim     float64    `json:"aim"`
	Facts   []Fact     `json:"facts"`
	Gears   []LiveGear `json:"gears"`
	New     []string   `json:"not_run_before"`
	Said    []string   `json:"said"`    // what is over a limit already, what is not guarded
	Refused string     `json:"refused"` // why there would be no card; "" when there may be
	Range   *Reach     `json:"range,omitempty"`
}

// Reach is how far each setting may go in one step, in the reader's units and rpm.
type Reach struct {
	Boost [][2]float64 `json:"boost"`
	Ran   []float64    `json:"ran"` // highest boost run so far, by gear
	Shift [][2]float64 `json:"shift"`
	Step  float64      `json:"step"` // of boost
	// What the forecast was worked out for, by gear: a form left blank means it.
	SetBoost []float64 `json:"set_boost"`
	SetShift []float64 `json:"set_shift"`
}

// reachOf puts what may be set into the reader's units, whole steps inside what is allowed;
// what is set, which a plan may have taken to the very end, is within it as it is shown.
func reachOf(coming *app.Coming, w quantity.World) *Reach {
	c := coming.Range
	out := &Reach{Step: 1, Boost: [][2]float64{}, Shift: [][2]float64{}, Ran: []float64{}, SetBoost: []float64{}, SetShift: []float64{}}
	for w.SI(quantity.DimPressure, out.Step) > 1100 {
		out.Step /= 10
	}
	digits := int(math.Round(-math.Log10(out.Step)))
	inside := func(lo, hi, step float64, digits int) [2]float64 {
		return [2]float64{tidy(math.Ceil(lo/step-1e-6)*step, digits), tidy(math.Floor(hi/step+1e-6)*step, digits)}
	}
	of := func(pa float64) float64 { return w.Of(quantity.DimPressure, pa) }
	for g, b := range c.Boost {
		in := inside(of(b[0]), of(b[1]), out.Step, digits)
		set := tidy(of(coming.Boost[g]), digits)
		out.SetBoost = append(out.SetBoost, set)
		if math.Abs(set-of(b[0])) < out.Step || math.Abs(set-of(b[1])) < out.Step {
			in[0], in[1] = min(in[0], set), max(in[1], set)
		}
		out.Boost = append(out.Boost, in)
		out.Ran = append(out.Ran, tidy(of(c.Ran[g]), digits))
	}
	const turn = 10 // rpm
	for g, b := range c.Shift {
		out.Shift = append(out.Shift, inside(rpm.Of(b[0]), rpm.Of(b[1]), turn, 0))
		out.SetShift = append(out.SetShift, turn*math.Round(rpm.Of(coming.Shift[g])/turn))
	}
	return out
}

// Fact is a line of the forecast.
type Fact struct {
	Name  string `json:"name"`
	Value string `json:"value"`
	Note  string `json:"note"`
}

// LiveGear is what holds a gear back.
type LiveGear struct {
	Gear  int    `json:"gear"` // 0: the whole pass
	Binds string `json:"binds"`
	Gains string `json:"gains"`
}

// liveOf puts a worked-out pass into words.
func liveOf(c *app.Coming, w quantity.World) *Live {
	l := &Live{Ready: true, Full: true, New: c.NotRun(w), Said: []string{}, Gears: []LiveGear{}}
	l.trap(w, c.Trap)
	l.facts(w, c.Answer, c.DecelFrom, c.Today, c.PassesLeft)
	l.Line = c.Sentence(w) + "."
	for _, a := range c.Already {
		l.Said = append(l.Said, sentence(a))
	}
	l.Gears = append(l.Gears, bindsOf(c.Limits, w)...)
	l.Refused = refusal(c, w)
	if c.Range != nil {
		l.Range = reachOf(c, w)
	}
	return l
}

func (l *Live) trap(w quantity.World, t forecast.Speeds) {
	l.Trap, l.SD, l.Unit = w.Parts(quantity.DimSpeed, t.Mean, t.SD)
	l.P05, l.Mean, l.P95 = tidy(w.Of(quantity.DimSpeed, t.P05), 2), tidy(w.Of(quantity.DimSpeed, t.Mean), 2), tidy(w.Of(quantity.DimSpeed, t.P95), 2)
}

// facts are the lines below the forecast.
func (l *Live) facts(w quantity.World, a *forecast.Answer, from string, today float64, left int) {
	add := func(name, value, note string) { l.Facts = append(l.Facts, Fact{name, value, note}) }
	if a.Target != nil {
		l.Aim = tidy(w.Of(quantity.DimSpeed, a.Target.Speed), 2)
		note := "in this pass"
		if left > 1 && today > 0 {
			note += fmt.Sprintf("; %s in the %d passes left today", percent(today), left)
		}
		add("Chance of "+w.Stated(quantity.DimSpeed, a.Target.Speed), percent(a.Target.Chance), note)
	}
	add("Half mile from rollout", a.Time.Text(w), "nine in ten from "+w.Between(quantity.DimTime, a.Time.P05, a.Time.P95, a.Time.SD, "to"))
	stop, rest, _ := strings.Cut(a.Stop(w, from), ", ")
	add("To a stop after the line", stop, rest)
	add("Highest speed", a.TopText(w), "one pass in twenty over "+a.TopFar(w)+"; plain Y tyres end at 300 km/h, 186 mph: beyond that only the maker's written statement")
}

// bindsOf says what holds each gear back, the strongest first.
func bindsOf(limits []plan.Limit, w quantity.World) (out []LiveGear) {
	seen := map[int]bool{}
	for _, l := range limits {
		if !l.Binds {
			continue
		}
		g := LiveGear{Gear: l.Gear, Binds: l.Limit}
		if l.OwnRule() {
			g.Binds = "our own rule of " + l.Limit
		} else if l.Chance >= 0.01 {
			g.Binds += ", exceeded in " + percent(l.Chance) + " of passes"
		} else if l.More >= 0.01 {
			g.Binds += ", exceeded in " + percent(l.More) + " of passes with 1\u00a0% more boost"
		}
		if w.Of(quantity.DimSpeed, l.Shadow) >= 0.01 {
			g.Gains = quantity.Together(l.Step()) + " brings " + w.Rounded(quantity.DimSpeed, l.Shadow, l.ShadowSD)
		}
		if seen[l.Gear] {
			out[len(out)-1].Binds += "; " + g.Binds
			continue
		}
		seen[l.Gear] = true
		out = append(out, g)
	}
	return out
}

// refusal explains the limit that forbids a card.
func refusal(c *app.Coming, w quantity.World) string {
	if c.NoSettings != "" {
		return sentence(c.NoSettings)
	}
	if len(c.Over) == 0 {
		return ""
	}
	var said []string
	for _, o := range c.Over {
		if strings.HasPrefix(o, "shut-down") {
			o = fmt.Sprintf("the strip has %s after the line, and one pass in twenty would need %s to stop (half of them %s, at %.2f g): less speed at the line, a longer strip, or a coast and a stop in the log that show better brakes",
				w.Stated(quantity.DimLength, c.ShutDown), c.Stopping.Far(w), c.Stopping.Text(w), c.Decel/9.80665)
		}
		said = append(said, o)
	}
	return sentence("hard limits may be passed in one pass of a hundred at most: " + strings.Join(said, "; "))
}

// guessOf puts what the surface says into the same words. What holds the gears is told when the
// settings are worked out in full: the surface's wheelspin is the model's alone, without what the
// passes run showed of it.
func guessOf(g *surface.Guess, full *app.Coming, w quantity.World) *Live {
	a := *full.Answer // what settings do not change stays
	a.Trap, a.Time, a.Target, a.Top, a.Stopping = g.Trap, g.Time, g.Target, g.Top, g.Stop
	a.TopP95 += g.Top - full.Top // the glance knows the middle; the rest keeps its distance
	l := &Live{Ready: true, New: []string{}, Said: []string{}, Gears: []LiveGear{}}
	l.trap(w, g.Trap)
	l.facts(w, &a, full.DecelFrom, 0, 0)
	l.Line = a.Sentence(w) + "."
	return l
}
