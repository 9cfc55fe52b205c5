package app

import (
	"context"
	"fmt"
	"math"

	"traplight/internal/car"
	"traplight/internal/forecast"
	"traplight/internal/plan"
	"traplight/internal/surface"
)

// Coming is a pass to come, worked out: what it will bring, what holds it back and what
// may be set. The page writes it down as the forecast.
type Coming struct {
	*forecast.Answer
	Limits     []plan.Limit `json:"limits"`
	New        []string     `json:"not_run_before"`
	Already    []string     `json:"exceeded_already"`     // limits that the last pass exceeded
	Over       []string     `json:"hard_limits_exceeded"` // too often for a card
	Hard       float64      `json:"hard_chance"`          // 0–1, of exceeding any hard limit
	Cautions   []string     `json:"not_guarded"`
	Range      *Range       `json:"range"`
	Boost      []float64    `json:"boost_pa"`   // Pa gauge by gear, as set
	Shift      []float64    `json:"shift_rads"` // rad/s by gear, as set
	PassesLeft int          `json:"passes_left,omitempty"`
	Today      float64      `json:"chance_in_passes_left,omitempty"` // 0–1
}

// Range is what may be set, one step from what was run.
type Range struct {
	Boost    [][2]float64 `json:"boost_pa"`       // Pa gauge by gear
	Shift    [][2]float64 `json:"shift_rads"`     // rad/s by gear
	Ran      []float64    `json:"ran_boost_pa"`   // Pa gauge by gear
	RanShift []float64    `json:"ran_shift_rads"` // rad/s by gear
}

// NextOptions are what the last pass and the day say about the next.
type NextOptions struct {
	Verdict    string  // of the last pass; "" none
	Inspected  string  // what was looked at and found since; "" nothing
	PassesLeft int     // today; 0 not known
	Risk       float64 // 0–1, accepted chance of passing a soft limit; 0 means the usual one
	Bold       bool    // beyond one step
	// Progress is called with passes done; nil is allowed.
	Progress func(done, of int)
}

func (o NextOptions) plan() plan.Options {
	return plan.Options{Risk: o.Risk, Bold: o.Bold, Verdict: o.Verdict, Inspected: o.Inspected, PassesLeft: o.PassesLeft, Progress: o.Progress}
}

// Coming works a planned entry out, as Forecast does, and holds it against the limits.
// notes are those of now: they may be newer than the ones that the car was fitted to.
func (f *Fitted) Coming(ctx context.Context, notes *car.Notes, planned *car.Planned, o NextOptions) (*Coming, error) {
	n, err := forecast.Prepare(f.Model, notes, planned)
	if err != nil {
		return nil, err
	}
	r, err := forecast.Run(ctx, f.Model, n, forecast.Options{Progress: o.Progress})
	if err != nil {
		return nil, err
	}
	c := &Coming{Answer: r.Answer(), PassesLeft: o.PassesLeft}
	if o.PassesLeft > 0 && n.Aim > 0 {
		c.Today = 1 - math.Pow(1-r.Chance, float64(o.PassesLeft))
	}
	if len(n.Target) == 0 {
		return c, nil // a car without boost: there is nothing to turn up
	}
	j, err := plan.Judge(ctx, f.Model, n, o.plan())
	if err != nil {
		return nil, err
	}
	c.Limits, c.New, c.Already, c.Over, c.Hard, c.Cautions = j.Limits, j.New, j.Already, j.Over, j.Hard, j.Notes
	b, err := plan.BoundsOf(f.Model, n, o.Bold)
	if err != nil {
		return nil, err
	}
	c.Range = &Range{Boost: b.Boost, Shift: b.Shift, Ran: b.Ran, RanShift: b.RanShift}
	c.Boost, c.Shift = b.Now, b.NowShift
	return c, nil
}

// Best finds the best settings within the limits for a planned entry's air and strip.
func (f *Fitted) Best(ctx context.Context, notes *car.Notes, planned *car.Planned, o NextOptions) (*plan.Plan, error) {
	n, err := forecast.Prepare(f.Model, notes, planned)
	if err != nil {
		return nil, err
	}
	return plan.Make(ctx, f.Model, n, o.plan())
}

// Surface makes what answers at once while a setting is dragged.
func (f *Fitted) Surface(ctx context.Context, notes *car.Notes, planned *car.Planned, o NextOptions) (*surface.Surface, error) {
	n, err := forecast.Prepare(f.Model, notes, planned)
	if err != nil {
		return nil, err
	}
	return surface.Make(ctx, f.Model, n, o.Bold, 0, o.Progress)
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
