package plan

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"traplight/internal/fitcar"
	"traplight/internal/forecast"
	"traplight/internal/sim"
)

// Options of Make.
type Options struct {
	Risk float64 // 0–1, accepted chance of passing a soft limit in a gear; 0 means 0.1
	Bold bool    // lift the one-step rule
	Seed uint64
	// Verdict is the health screen's on the last pass: "clear", "inspect", "stand
	// down" or "" when there is none.
	Verdict string
	// Inspected says what was looked at and found since, "" nothing.
	Inspected string
	// PassesLeft today; 0 not known.
	PassesLeft int
	// Progress is called with rounds done; nil is allowed.
	Progress func(done, of int)
	draws    int
}

// Limit is one limit of the plan.
type Limit struct {
	Gear   int     `json:"gear"` // 0: the whole pass
	Limit  string  `json:"limit"`
	Class  string  `json:"class"`
	Chance float64 `json:"chance"`     // 0–1, of passing it in the pass
	Shadow float64 `json:"shadow_mps"` // m/s of expected trap speed for 1 % more of it
	Binds  bool    `json:"binds"`
}

// Settings are what is to be entered.
type Settings struct {
	Boost     []float64 `json:"boost_target_kpa_by_gear"`          // kPa gauge
	Absolute  []float64 `json:"boost_target_absolute_kpa_by_gear"` // kPa absolute, at the barometer
	Barometer float64   `json:"barometer_kpa"`                     // kPa absolute
	Shift     []float64 `json:"shift_rpm"`                         // rpm
	Nitrous   bool      `json:"nitrous"`
	Below     float64   `json:"nitrous_below_target_kpa,omitempty"` // kPa
	LaunchRPM *float64  `json:"launch_rpm"`                         // rpm; null when no launch speed was noted
}

// Lesson is a change that would teach the model.
type Lesson struct {
	Change string  `json:"change"`
	Gain   float64 `json:"gain_mps"` // m/s, expected
	SD     float64 `json:"sd_mps"`   // m/s, what is not known of it
	Bits   float64 `json:"bits"`     // 1, information that a pass would bring
}

// Plan is the answer.
type Plan struct {
	Settings Settings
	Forecast *forecast.Result
	As       *forecast.Result // the same again, for comparison
	Limits   []Limit
	New      []string // settings not run before
	Lessons  []Lesson
	Already  []string // limits that the last pass exceeded
	Card     bool     // a card may be printed
	NoCard   string   // why not
	Notes    []string
	Passes   int     // simulated
	Today    float64 // 0–1, chance of the target in the passes left; 0 unknown
}

// ErrNoBoost says that there is nothing to choose.
var ErrNoBoost = errors.New("no boost target is known for any pass: state boost_target_kpa_by_gear in the notes")

// Make plans the next pass from base, the pass as it stands (last settings, or a
// planned entry's), in its air.
func Make(ctx context.Context, m *fitcar.Model, base *forecast.Next, opt Options) (*Plan, error) {
	if opt.Risk <= 0 {
		opt.Risk = 0.1
	}
	if opt.draws == 0 {
		opt.draws = 48
	}
	gears := len(m.Mean.Car.Ratios)
	x := settings{slices.Clone(base.Target), slices.Clone(base.ShiftAim), base.Nitrous}
	if len(x.boost) == 0 {
		return nil, ErrNoBoost
	}
	for len(x.boost) < gears {
		x.boost = append(x.boost, x.boost[len(x.boost)-1])
	}
	x.boost = x.boost[:gears]
	if len(x.shift) == 0 {
		usual := m.Passes[len(m.Passes)-1].Replay.ShiftSpeed
		for _, w := range usual {
			x.shift = append(x.shift, w-m.Driver.Over)
		}
	}
	for len(x.shift) < gears-1 {
		x.shift = append(x.shift, x.shift[len(x.shift)-1])
	}
	x.shift = x.shift[:max(0, gears-1)]
	s := &search{m: m, base: base, opt: opt, gauge: calibrate(m), seed: opt.Seed, draws: opt.draws}
	s.ran = ran(m, x)
	s.bounds()
	s.best = s.bestSoFar()
	p := &Plan{Already: standing(m)}
	was := s.judge(ctx, x, s.draws)
	start, v := x.clone(), was
	if was.hard > hardChance {
		var ok bool
		if start, v, ok = s.retreat(ctx, x.clone(), was); !ok {
			// the settings stay as they were run: there is nothing to recommend
			p.refuse(v)
			return p, s.finish(ctx, p, x, was)
		}
		p.Notes = append(p.Notes, "the settings as they stand exceed a hard limit: boost was lowered first")
	}
	eased, ve, kept := s.ease(ctx, start, v)
	for _, g := range kept {
		p.Notes = append(p.Notes, fmt.Sprintf("in %d the tyres slip past their peak more often than the accepted %.0f %%, but less boost would cost more than it saves: it stays as it was run", g, 100*opt.Risk))
	}
	was = ve
	y, w := s.climb(ctx, eased, ve, was)
	if m.Sheet.Nitrous.Flow > 0 && !y.nitrous && everNitrous(m) {
		z := y.clone()
		z.nitrous = true
		if u := s.judge(ctx, z, s.draws); s.allOK(&u, &was) && u.trap > w.trap+0.05 {
			y, w = s.climb(ctx, z, u, was)
		}
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	p.card(opt)
	return p, s.finish(ctx, p, y, w)
}

func everNitrous(m *fitcar.Model) bool {
	for _, p := range m.Passes {
		if p.Obs.Nitrous {
			return true
		}
	}
	return false
}

// ran is the highest setting by gear in the clear passes of the record.
func ran(m *fitcar.Model, x settings) settings {
	r := settings{boost: make([]float64, len(x.boost)), shift: slices.Clone(x.shift)}
	for _, p := range m.Passes {
		if p.Weight < 0.5 {
			continue
		}
		for g := range r.boost {
			if n := len(p.Obs.Target); n > 0 {
				r.boost[g] = max(r.boost[g], p.Obs.Target[min(g, n-1)])
			}
		}
		for g := range r.shift {
			if n := len(p.Obs.ShiftAim); n > 0 {
				r.shift[g] = max(r.shift[g], p.Obs.ShiftAim[min(g, n-1)])
			}
		}
		r.nitrous = r.nitrous || p.Obs.Nitrous
	}
	return r
}

// bounds sets how high each gear's boost may go at all.
func (s *search) bounds() {
	s.upper = make([]float64, len(s.ran.boost))
	baro := s.base.Air.Pressure
	high := slices.Max(s.ran.boost)
	for g, b := range s.ran.boost {
		up := modelReach*(high+baro) - baro
		if !s.opt.Bold {
			// torque goes nearly with absolute pressure
			up = min(up, (1+torqueStep)*(b+baro)-baro)
		}
		if l := s.m.Sheet.Limits.MaxBoost; l > 0 {
			up = min(up, l)
		}
		s.upper[g] = max(math.Floor(up/1e3)*1e3, 0)
	}
}

func (s *search) bestSoFar() float64 {
	best := 0.0
	for _, p := range s.m.Passes {
		if p.Weight > 0.5 && !math.IsNaN(p.Obs.Trap) {
			best = max(best, p.Obs.Trap)
		}
	}
	if best == 0 {
		return math.Inf(1)
	}
	return best
}

// retreat lowers the boost of the gears in which a hard limit is exceeded, step by
// step, until all of them hold; ok is false when boost cannot do it.
func (s *search) retreat(ctx context.Context, x settings, v verdict) (settings, verdict, bool) {
	baro := s.base.Air.Pressure
	lower := func(g int) bool {
		b := max(0, math.Floor((0.96*(x.boost[g]+baro)-baro)/1e3)*1e3)
		moved := b < x.boost[g]-500
		x.boost[g] = b
		return moved
	}
	for range 16 {
		if v.hard <= hardChance || ctx.Err() != nil {
			break
		}
		moved := false
		share := hardChance / float64(max(1, len(v.worst)))
		for _, l := range v.worst {
			switch {
			case l.chance <= share:
			case l.gear > 0:
				moved = lower(l.gear-1) || moved
			default:
				for g := len(x.boost) / 2; g < len(x.boost); g++ {
					moved = lower(g) || moved
				}
			}
		}
		if !moved {
			break
		}
		v = s.judge(ctx, x, s.draws)
	}
	return x, v, v.hard <= hardChance
}

// refuse says which limit no settings hold.
func (p *Plan) refuse(v verdict) {
	worst := limitChance{}
	for _, l := range v.worst {
		if l.chance > worst.chance {
			worst = l
		}
	}
	where := ""
	if worst.gear > 0 {
		where = fmt.Sprintf(" in %d", worst.gear)
	}
	p.NoCard = fmt.Sprintf("no boost holds the hard limits: %s%s would be exceeded with a chance of %.0f %% even with less boost; the settings shown are those run before", worst.limit, where, 100*worst.chance)
}

func (p *Plan) card(opt Options) {
	switch {
	case opt.Verdict == "stand down" && opt.Inspected == "":
		p.NoCard = "the last pass was judged 'stand down': look the car over and enter what was inspected and found (inspected = \"…\" in its notes) before there is a card"
	case opt.Verdict == "" && opt.Inspected == "":
		p.NoCard = "there is no verdict on the last pass: look the car over and enter what was inspected and found (inspected = \"…\" in its notes) before there is a card"
	default:
		p.Card = true
	}
}

// finish puts settings, forecast, limits and lessons into p.
func (s *search) finish(ctx context.Context, p *Plan, x settings, v verdict) error {
	m := s.m
	const rpm = math.Pi / 30
	for g := range x.boost {
		kpa := math.Round(x.boost[g] / 1e3)
		x.boost[g] = kpa * 1e3
		p.Settings.Boost = append(p.Settings.Boost, kpa)
		p.Settings.Absolute = append(p.Settings.Absolute, math.Round(kpa+s.base.Air.Pressure/1e3))
	}
	p.Settings.Barometer = math.Round(s.base.Air.Pressure/100) / 10
	for _, w := range x.shift {
		p.Settings.Shift = append(p.Settings.Shift, math.Round(w/rpm/10)*10)
	}
	p.Settings.Nitrous = x.nitrous
	if x.nitrous {
		p.Settings.Below = math.Round(m.Mean.Car.Nitrous.Below / 1e3)
	}
	if l := m.Passes[len(m.Passes)-1].Obs.LaunchAim; l > 0 {
		k := math.Round(l/rpm/10) * 10
		p.Settings.LaunchRPM = &k
	}
	p.New = s.notRun(x)
	var err error
	fopt := forecast.Options{Seed: s.opt.Seed, Draws: 1000}
	if p.Forecast, err = forecast.Run(ctx, m, s.next(x), fopt); err != nil {
		return err
	}
	if p.As, err = forecast.Run(ctx, m, s.base, forecast.Options{Seed: s.opt.Seed, Draws: 500}); err != nil {
		return err
	}
	p.limits(ctx, s, x, v)
	p.Lessons = s.lessons(ctx, x)
	p.notes(s)
	p.Passes = s.count
	if n := s.opt.PassesLeft; n > 0 && s.base.Aim > 0 {
		p.Today = 1 - math.Pow(1-p.Forecast.Chance, float64(n))
	}
	return nil
}

func (s *search) notRun(x settings) []string {
	var out []string
	for g, b := range x.boost {
		if b > s.ran.boost[g]+0.5e3 {
			out = append(out, fmt.Sprintf("boost of %.0f kPa in %d (run so far: %.0f)", b/1e3, g+1, s.ran.boost[g]/1e3))
		}
	}
	for g, w := range x.shift {
		if w > s.ran.shift[g]+1 {
			out = append(out, fmt.Sprintf("shift at %.0f rpm out of %d (run so far: %.0f)", w*30/math.Pi, g+1, s.ran.shift[g]*30/math.Pi))
		}
	}
	if x.nitrous && !s.ran.nitrous {
		out = append(out, "nitrous")
	}
	return out
}

// limits lists what holds each gear, with chances and shadow prices.
func (p *Plan) limits(ctx context.Context, s *search, x settings, v verdict) {
	for g := range x.boost {
		q := &v.gears[g]
		// what 1 % more torque in this gear would bring
		y := x.clone()
		y.boost[g] += 0.01 * (x.boost[g] + s.base.Air.Pressure)
		gain := s.judge(ctx, y, s.draws).trap - v.trap
		shadow := max(0, round3(gain))
		add := func(l Limit) { p.Limits = append(p.Limits, l) }
		top := x.boost[g] >= s.upper[g]-1.5e3
		grips := q.spin > 0.6*s.opt.Risk
		add(Limit{g + 1, "grip", Soft, round3(q.spin), pick(grips, shadow), grips})
		if s.m.Sheet.SlipCut {
			cuts := q.cut > 0.6*s.opt.Risk
			add(Limit{g + 1, "torque cut", Soft, round3(q.cut), pick(cuts, shadow), cuts})
		}
		low := q.low > 0.6*s.opt.Risk
		add(Limit{g + 1, "boost target", Soft, round3(q.low), pick(low, shadow), low})
		for _, l := range v.worst {
			if l.gear != g+1 {
				continue
			}
			binds := l.chance > 0.1*hardChance || l.limit == "boost" && s.m.Sheet.Limits.MaxBoost > 0 && x.boost[g] >= s.m.Sheet.Limits.MaxBoost-1.5e3
			add(Limit{g + 1, l.limit, Hard, l.chance, pick(binds, shadow), binds})
		}
		if top && !s.opt.Bold && !grips {
			add(Limit{g + 1, "one step a pass", Soft, 0, shadow, true})
		}
	}
	for _, l := range v.worst {
		if l.gear == 0 {
			binds := l.chance > 0.1*hardChance
			p.Limits = append(p.Limits, Limit{0, l.limit, Hard, l.chance, pick(binds, 0.01*v.trap), binds})
		}
	}
	for i := range p.Limits {
		p.Limits[i].Chance = min(1, math.Round(p.Limits[i].Chance*1e5)/1e5)
	}
}

func pick(on bool, x float64) float64 {
	if on {
		return round3(x)
	}
	return 0
}

func round3(x float64) float64 { return math.Round(x*1e3) / 1e3 }

// lessons weighs small changes by what a pass with them would teach: half the
// logarithm of one plus the variance of the effect over the ensemble by the variance of
// a pass (Lindley 1956, information of an experiment, for a normal model; from memory).
func (s *search) lessons(ctx context.Context, x settings) []Lesson {
	if ctx.Err() != nil {
		return nil
	}
	half := len(x.boost) / 2
	changes := []struct {
		text string
		do   func(y *settings)
	}{
		{"upper gears up 10 kPa", func(y *settings) {
			for g := half; g < len(y.boost); g++ {
				y.boost[g] += 10e3
			}
		}},
		{"lower gears down 10 kPa", func(y *settings) {
			for g := range half {
				y.boost[g] = max(0, y.boost[g]-10e3)
			}
		}},
		{"shift points down 200 rpm", func(y *settings) {
			for g := range y.shift {
				y.shift[g] -= 200 * math.Pi / 30
			}
		}},
	}
	if s.m.Sheet.Nitrous.Flow > 0 {
		changes = append(changes, struct {
			text string
			do   func(y *settings)
		}{"nitrous the other way", func(y *settings) { y.nitrous = !y.nitrous }})
	}
	trap := func(x settings, k int) float64 {
		car, p := forecast.Usual(s.m, s.next(x), &s.m.Members[k])
		r := sim.Runner{Car: car}
		res, err := r.Run(p)
		if err != nil || !res.Complete {
			return math.NaN()
		}
		s.count++
		return res.Trap
	}
	var out []Lesson
	noise := 0.003 * 80.0
	for _, c := range changes {
		y := x.clone()
		c.do(&y)
		var sum, ss, n float64
		for k := range s.m.Members {
			if d := trap(y, k) - trap(x, k); !math.IsNaN(d) {
				sum, ss, n = sum+d, ss+d*d, n+1
			}
		}
		if n < 2 {
			continue
		}
		mean := sum / n
		v := max(0, ss/n-mean*mean)
		out = append(out, Lesson{c.text, round3(mean), round3(math.Sqrt(v)), round3(0.5 * math.Log2(1+v/(noise*noise)))})
	}
	slices.SortFunc(out, func(a, b Lesson) int {
		if a.Bits > b.Bits {
			return -1
		}
		return 1
	})
	return out
}

func (p *Plan) notes(s *search) {
	m := s.m
	l := &m.Sheet.Limits
	var missing []string
	for _, q := range []struct {
		name  string
		limit float64
		meter *meter
	}{{"injector duty", l.MaxInjectorDuty, &s.gauge.duty}, {"back pressure", l.MaxBackPressureRatio, &s.gauge.back}, {"turbo speed", l.MaxTurboSpeed, &s.gauge.turbo}, {"exhaust temperature", l.MaxExhaustTemp, &s.gauge.exhaust}} {
		if q.limit > 0 && !q.meter.known() {
			missing = append(missing, q.name)
		}
	}
	for _, q := range missing {
		p.Notes = append(p.Notes, "the limit of "+q+" is not guarded: no channel of the logs shows it")
	}
	if l.MaxBoost == 0 && len(l.GearboxTorque) == 0 && l.MaxCrankPower == 0 && l.MaxInjectorDuty == 0 {
		p.Notes = append(p.Notes, "the car sheet states no [limits]: nothing but grip, the runway and what was run before holds this plan back")
	}
	if s.base.ShutDown == 0 {
		p.Notes = append(p.Notes, "the strip's shut_down_m is not known: whether the car can be stopped is not judged")
	}
	if l.TyreSpeed == 0 {
		p.Notes = append(p.Notes, "the tyres' speed limit (tyre_speed_kmh) is not known")
	}
	p.Notes = append(p.Notes, "knock, mixture and oil are not part of the plan: read the health of the last pass first",
		"gearbox torque is that of the pull: clutch bites at the launch and in shifts are higher and not in the model, so the stated chance of passing the gearbox's limit is too low; keep a margin")
	if m.Sheet.SlipCut {
		p.Notes = append(p.Notes, "this car's electronics cut torque on slip: the plan keeps that cut from acting, grip is what the tyres show beside it")
	}
	if p.NoCard != "" {
		p.Notes = append([]string{p.NoCard}, p.Notes...)
	}
}
