package app

import (
	"context"
	"fmt"
	"math"

	"traplight/internal/car"
	"traplight/internal/forecast"
	"traplight/internal/health"
	"traplight/internal/plan"
	"traplight/internal/surface"
)

// Coming is a pass to come, worked out: what it will bring, what holds it back and what
// may be set. The page writes it down as the forecast, and makes the card of it.
type Coming struct {
	*forecast.Answer
	Settings   plan.Settings      `json:"settings"` // as they are to be entered
	Limits     []plan.Limit       `json:"limits"`
	New        []string           `json:"not_run_before"`
	Already    []string           `json:"exceeded_already"`     // limits that the last pass exceeded
	Over       []string           `json:"hard_limits_exceeded"` // too often for a card
	Hard       float64            `json:"hard_chance"`          // 0–1, of exceeding any hard limit
	Cautions   []string           `json:"not_guarded"`
	DecelFrom  string             `json:"deceleration_from"` // where the deceleration after the line comes from
	Protection []health.Threshold `json:"protection"`        // of the engine computer, from the clear passes
	Weather    *AirState          `json:"weather"`
	Bold       bool               `json:"bold,omitempty"` // more than one step was allowed
	Range      *Range             `json:"range"`
	Boost      []float64          `json:"boost_pa"`   // Pa gauge by gear, as set
	Shift      []float64          `json:"shift_rads"` // rad/s by gear, as set
	PassesLeft int                `json:"passes_left,omitempty"`
	result     *forecast.Result   // when it was worked out just now
	Today      float64            `json:"chance_in_passes_left,omitempty"` // 0–1

	// Of settings that the plan chose.
	Chosen     bool            `json:"chosen,omitempty"`
	NoSettings string          `json:"no_settings,omitempty"`                    // which limit no settings hold, or what of the sheet is to be confirmed first; "" otherwise
	Again      float64         `json:"same_again_mps,omitempty"`                 // m/s, mean trap speed of what was set before the search
	Lessons    []plan.Lesson   `json:"learns_most,omitempty"`                    // what small changes would teach
	Ramps      []plan.Ramp     `json:"boost_by_engine_speed,omitempty"`          // beside the settings by gear
	RampsGain  float64         `json:"boost_by_engine_speed_gain_mps,omitempty"` // m/s, over them
	Measuring  []plan.Measured `json:"measuring,omitempty"`                      // what knowing limits that no channel shows would bring
	Launch     *plan.Launch    `json:"launch,omitempty"`                         // what other launch engine speeds would bring
}

// Range is what may be set: up to one step from what was run, down to where a plan goes.
type Range struct {
	Boost    [][2]float64 `json:"boost_pa"`       // Pa gauge by gear
	Shift    [][2]float64 `json:"shift_rads"`     // rad/s by gear
	Ran      []float64    `json:"ran_boost_pa"`   // Pa gauge by gear
	RanShift []float64    `json:"ran_shift_rads"` // rad/s by gear
}

// NextOptions are what the last pass and the day say about the next.
type NextOptions struct {
	Verdict    string   // of the last pass; "" none
	Findings   []string // kinds of what the health screen found in it, the subtle left out
	Inspected  string   // what was looked at and found since; "" nothing
	PassesLeft int      // today; 0 not known
	Risk       float64  // 0–1, accepted chance of passing a soft limit; 0 means the usual one
	Bold       bool     // beyond one step
	Draws      int      // passes that are run; 0 means the usual number
	Search     int      // passes behind each set of settings that a plan tries; 0 means the usual number
	// Progress is called with passes done; nil is allowed.
	Progress func(done, of int)
}

func (f *Fitted) planOptions(o NextOptions, planned *car.Planned) plan.Options {
	return plan.Options{Map: f.Map, NoMap: f.NoMap, Risk: o.Risk, Bold: o.Bold, Draws: o.Search, Verdict: o.Verdict, Findings: o.Findings, Inspected: o.Inspected,
		PassesLeft: o.PassesLeft, StoppedFrom: f.stoppedFrom(planned), Progress: o.Progress}
}

// Coming works a planned entry out, as Forecast does, and holds it against the limits.
// notes are those of now: they may be newer than the ones that the car was fitted to.
func (f *Fitted) Coming(ctx context.Context, notes *car.Notes, planned *car.Planned, o NextOptions) (*Coming, error) {
	n, err := forecast.Prepare(f.Model, notes, planned)
	if err != nil {
		return nil, err
	}
	r, err := forecast.Run(ctx, f.Model, n, forecast.Options{Draws: o.Draws, Progress: o.Progress})
	if err != nil {
		return nil, err
	}
	c := &Coming{Answer: r.Answer(), result: r, PassesLeft: o.PassesLeft, Protection: f.Protection, Weather: airOf(n, notes.WeatherFor(planned)), Bold: o.Bold}
	if o.PassesLeft > 0 {
		c.Today = plan.Reaching(f.Model, r.Traps, n.Aim, o.PassesLeft)
	}
	if len(n.Target) == 0 {
		return c, nil // a car without boost: there is nothing to turn up
	}
	j, err := plan.Judge(ctx, f.Model, n, f.planOptions(o, planned))
	if err != nil {
		return nil, err
	}
	c.Limits, c.New, c.Already, c.Over, c.Hard, c.Cautions = j.Limits, j.New, j.Already, j.Over, j.Hard, j.Notes
	c.Settings, c.DecelFrom, c.NoSettings = j.Settings, j.DecelFrom, plan.Doubted(f.Model.Sheet)
	c.byHand(planned)
	return c, c.reach(f, n, o.Bold)
}

// byHand takes what a hand states and a plan leaves as it was.
func (c *Coming) byHand(p *car.Planned) {
	if !math.IsNaN(p.ColdPressure) {
		c.Settings.TyreCold = p.ColdPressure / 1e3
	}
}

// reach says how far each setting may go.
func (c *Coming) reach(f *Fitted, n *forecast.Next, bold bool) error {
	b, err := plan.BoundsOf(f.Model, n, bold)
	if err != nil {
		return err
	}
	c.Range = &Range{Boost: b.Boost, Shift: b.Shift, Ran: b.Ran, RanShift: b.RanShift}
	for g, low := range b.Least {
		c.Range.Boost[g][0] = low // a plan's settings can be dragged too
	}
	c.Boost, c.Shift = b.Now, b.NowShift
	return nil
}

// Best finds the best settings within the limits for a planned entry's air and strip.
func (f *Fitted) Best(ctx context.Context, notes *car.Notes, planned *car.Planned, o NextOptions) (*Coming, error) {
	n, err := forecast.Prepare(f.Model, notes, planned)
	if err != nil {
		return nil, err
	}
	p, err := plan.Make(ctx, f.Model, n, f.planOptions(o, planned))
	if err != nil {
		return nil, err
	}
	a := p.Answer()
	c := &Coming{Answer: a.Forecast, Chosen: true, Settings: a.Settings, Limits: a.Limits, New: a.New, Already: a.Already, Cautions: a.Notes, DecelFrom: a.DecelFrom,
		PassesLeft: o.PassesLeft, Today: p.Today, Again: a.Again, Lessons: a.Lessons, Measuring: a.Measuring, Ramps: a.Ramps, RampsGain: a.RampsGain, Launch: a.Launch, Protection: f.Protection, Weather: airOf(n, notes.WeatherFor(planned)), Bold: o.Bold}
	if !p.Card && !plan.MustInspect(o.Verdict, o.Inspected) {
		c.NoSettings = p.NoCard
	}
	c.byHand(planned)
	best := *n
	best.Target, best.ShiftAim = nil, nil
	for _, kpa := range a.Settings.Boost {
		best.Target = append(best.Target, kpa*1e3)
	}
	for _, turns := range a.Settings.Shift {
		best.ShiftAim = append(best.ShiftAim, turns*math.Pi/30)
	}
	return c, c.reach(f, &best, o.Bold)
}

// Surface begins what answers at once while a setting is dragged.
func (f *Fitted) Surface(notes *car.Notes, planned *car.Planned, o NextOptions) (*surface.Surface, error) {
	n, err := forecast.Prepare(f.Model, notes, planned)
	if err != nil {
		return nil, err
	}
	return surface.New(f.Model, n, o.Bold, 0)
}

// Teach gives a surface what was worked out in full.
func (c *Coming) Teach(s *surface.Surface) {
	if c.result != nil && s.Covers(c.Boost, c.Shift) {
		s.Learn(c.Boost, c.Shift, c.result)
	}
}

// SurfaceKey tells apart what a surface is made for, the settings that it covers apart.
func (f *Fitted) SurfaceKey(notes *car.Notes, planned *car.Planned, bold bool) (string, error) {
	n, err := forecast.Prepare(f.Model, notes, planned)
	if err != nil {
		return "", err
	}
	b, err := plan.BoundsOf(f.Model, n, bold)
	if err != nil {
		return "", err
	}
	bare := *n
	bare.Target, bare.ShiftAim, bare.ID, bare.Notes = nil, nil, "", nil
	return hashOf(fmt.Sprint(bare), fmt.Sprint(b.Boost, b.Shift)), nil
}

// PassesLeft is how many passes the notes still give to the event of a planned pass, or
// of the pass before it; 0 not known.
func PassesLeft(notes *car.Notes, file string, index int) int {
	n := notes.For(file, index)
	if n == nil {
		return 0
	}
	if e := notes.EventFor(n); e != nil {
		return e.PassesLeft
	}
	return 0
}
