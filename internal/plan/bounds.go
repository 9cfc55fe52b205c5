package plan

import (
	"context"
	"math"
	"slices"

	"traplight/internal/fitcar"
	"traplight/internal/forecast"
	"traplight/internal/quantity"
)

// Bounds are what may be set for the next pass.
type Bounds struct {
	Boost    [][2]float64 // Pa gauge by gear, lowest and highest
	Least    []float64    // Pa gauge by gear, lowest that a plan takes or a hand may set
	Shift    [][2]float64 // rad/s by gear, lowest and highest aim
	Now      []float64    // Pa gauge by gear, as it stands
	NowShift []float64    // rad/s by gear, as it stands
	Ran      []float64    // Pa gauge by gear, highest run in a clear pass
	RanShift []float64    // rad/s by gear, the same
}

// What a hand may turn down or up, beside the limits of the plan.
const (
	boostDown = 0.05               // 1, of absolute pressure below what was run
	handDown  = 250 * math.Pi / 30 // rad/s
	handUp    = 200 * math.Pi / 30 // rad/s
)

// BoundsOf gives the settings of base, completed for every gear, and how far each may
// go: up to the sheet's limit and one step beyond what was run (all the model is
// believed for when bold), down to one step below what was run last. The reach does not
// depend on the settings of base.
func BoundsOf(m *fitcar.Model, base *forecast.Next, bold bool) (*Bounds, error) {
	s, x, err := begin(m, base, Options{Bold: bold})
	if err != nil {
		return nil, err
	}
	b := &Bounds{Now: x.boost, NowShift: x.shift, Ran: s.ran.boost, RanShift: s.ran.shift}
	baro := base.Air.Pressure
	last := m.Passes[len(m.Passes)-1].Obs
	for g, top := range s.ran.boost {
		v := top
		if n := len(last.Target); n > 0 {
			v = min(top, last.Target[min(g, n-1)])
		}
		low := max(0, math.Ceil(((1-boostDown)*(v+baro)-baro)/1e3)*1e3)
		up := min(s.upper[g], modelReach*(slices.Max(s.ran.boost)+baro)-baro)
		b.Boost, b.Least = append(b.Boost, [2]float64{low, max(up, low)}), append(b.Least, min(low, s.least(g)))
	}
	for g, w := range s.ran.shift {
		high := w + handUp
		if l := m.Sheet.RevLimit; l > 0 {
			high = max(w, min(high, l-m.Driver.OverIn(g+1)-2*m.Driver.OverSD-5))
		}
		b.Shift = append(b.Shift, [2]float64{w - handDown, high})
	}
	return b, nil
}

// begin completes the settings of base for every gear and sets the search up.
func begin(m *fitcar.Model, base *forecast.Next, opt Options) (*search, settings, error) {
	gears := len(m.Mean.Car.Ratios)
	x := settings{boost: slices.Clone(base.Target), shift: slices.Clone(base.ShiftAim), nitrous: base.Nitrous, launch: base.LaunchSpeed,
		window: window{gears: slices.Clone(m.Mean.Car.Nitrous.Gears), below: m.Mean.Car.Nitrous.Below}}
	if len(x.boost) == 0 {
		return nil, x, ErrNoBoost
	}
	for len(x.boost) < gears {
		x.boost = append(x.boost, x.boost[len(x.boost)-1])
	}
	x.boost = x.boost[:gears]
	if len(x.shift) == 0 {
		x.shift = m.SeenAim()
	}
	for len(x.shift) > 0 && len(x.shift) < gears-1 {
		x.shift = append(x.shift, x.shift[len(x.shift)-1])
	}
	x.shift = x.shift[:min(len(x.shift), max(0, gears-1))]
	if opt.Risk <= 0 {
		opt.Risk = 0.1
	}
	told := opt.Draws
	if opt.Draws == 0 {
		opt.Draws, told = 48, tellDraws
	}
	missed := missedBoost(m)
	turbo := newRotor(m, &base.Air, opt.Map)
	s := &search{m: m, base: base, opt: opt, rotor: turbo, gauge: calibrate(m, &m.Mean, turbo, missed.by), gauges: calibrateAll(m, turbo, missed.by), heat: fitHeat(m), missed: missed, seed: opt.Seed, draws: opt.Draws, told: told}
	// what was run is the record's, not what base asks for
	was := x.clone()
	if last := m.Passes[len(m.Passes)-1].Obs.ShiftAim; len(last) > 0 {
		for g := range was.shift {
			was.shift[g] = last[min(g, len(last)-1)]
		}
	}
	s.ran = ran(m, was)
	s.hold = holds(opt.Findings)
	s.workOut()
	s.bounds()
	return s, x, nil
}

// Judged is what the plan's limits say of settings that were chosen by hand.
type Judged struct {
	Limits  []Limit
	New     []string // settings not run before
	Already []string // limits that the last pass exceeded
	Over    []string // hard limits that are exceeded too often
	Hard    float64  // 0–1, chance of exceeding any hard limit
	Notes   []string

	Settings  Settings // as they are to be entered
	DecelFrom string   // where the deceleration after the line comes from
}

// Judge holds the settings of base against the limits, as Make does with its own: under the same
// luck, so that settings which a plan chose are told the same chances again.
func Judge(ctx context.Context, m *fitcar.Model, base *forecast.Next, opt Options) (*Judged, error) {
	s, x, err := begin(m, base, opt)
	if err != nil {
		return nil, err
	}
	s.learnSpin(ctx)
	s.learnGrip(ctx, x)
	already := append(standing(m), s.asRun(ctx, x)...)
	s.seed++ // of confirm
	run := s.judge(ctx, s.lastRun(x), confirmTimes*s.draws)
	s.holdRun(&run)
	v := s.judge(ctx, x, confirmTimes*s.draws)
	s.seed = opt.Seed
	p := &Plan{}
	p.limits(ctx, s, x, v)
	p.notes(s)
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	j := &Judged{Limits: p.Limits, New: s.notRun(x, quantity.Metric), Already: already, Hard: v.hard, Notes: p.Notes, Settings: s.table(x), DecelFrom: decelFrom(m)}
	if v.hard > hardChance {
		share := hardChance / float64(max(1, len(v.worst)))
		for _, l := range v.worst {
			if l.chance > share && !s.excused(l) {
				j.Over = append(j.Over, overText(l))
			}
		}
	}
	return j, nil
}

func overText(l limitChance) string {
	where := ""
	if l.gear > 0 {
		where = " in gear " + string(rune('0'+l.gear))
	}
	return l.limit + where + ", exceeded with a chance of " + Percent(l.told)
}
