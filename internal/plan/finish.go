package plan

import (
	"context"
	"fmt"
	"math"

	"traplight/internal/forecast"
	"traplight/internal/quantity"
)

// finish puts settings, forecast, limits and lessons into p.
func (s *search) finish(ctx context.Context, p *Plan, x settings, v verdict) error {
	m := s.m
	for g := range x.boost {
		x.boost[g] = math.Round(x.boost[g]/1e3) * 1e3 // nobody sets it finer
	}
	p.Settings = s.table(x)
	p.notRun = func(w quantity.World) []string { return s.notRun(x, w) }
	p.New = p.NotRun(quantity.Metric)
	var err error
	fopt := forecast.Options{Seed: s.opt.Seed, Draws: 20 * s.draws}
	if p.Forecast, err = forecast.Run(ctx, m, s.next(x), fopt); err != nil {
		return err
	}
	if p.As, err = forecast.Run(ctx, m, s.base, forecast.Options{Seed: s.opt.Seed, Draws: 10 * s.draws}); err != nil {
		return err
	}
	if p.Launch != nil {
		p.Launch.PassSD = round3(p.As.Trap.SD)
	}
	p.limits(ctx, s, x, v)
	p.Lessons = s.lessons(ctx, x)
	p.notes(s)
	p.Passes = s.count
	if n := s.opt.PassesLeft; n > 0 && s.base.Aim > 0 {
		p.Today = s.reaching(p.Forecast.Traps)
	}
	return ctx.Err() // what was stopped on the way is no plan
}

// NotRun names the settings that were not run before, in the units of w.
func (p *Plan) NotRun(w quantity.World) []string {
	if p.notRun == nil {
		return p.New
	}
	return p.notRun(w)
}

func (s *search) notRun(x settings, w quantity.World) []string {
	var out []string
	for g, b := range x.boost {
		if b > s.ran.boost[g]+0.5e3 {
			out = append(out, fmt.Sprintf("boost of %s in gear %d (run so far: %s)", w.Pressure(b), g+1, w.Pressure(s.ran.boost[g])))
		}
	}
	for g, w := range x.shift {
		if w > s.ran.shift[g]+1 {
			out = append(out, fmt.Sprintf("shift at %.0f rpm out of gear %d (run so far: %.0f)", w*30/math.Pi, g+1, s.ran.shift[g]*30/math.Pi))
		}
	}
	if run, low, high := s.m.LaunchRun(); x.launch > 0 && run > 0 && forecast.NewLaunch(x.launch, low, high) {
		out = append(out, fmt.Sprintf("launch at %.0f rpm (run so far: %.0f)", roundRPM(x.launch), roundRPM(run)))
	}
	if x.nitrous && !s.ran.nitrous {
		out = append(out, "nitrous")
	}
	return out
}

// limits lists what holds each gear, with chances and shadow prices.
func (p *Plan) limits(ctx context.Context, s *search, x settings, v verdict) {
	base := v
	if len(v.traps) != s.draws {
		base = s.judge(ctx, x, s.draws) // under the same luck as what it is compared with
	}
	add := func(l Limit, gain, sd float64) {
		if l.Binds {
			l.Shadow, l.ShadowSD = max(0, round3(gain)), round3(sd)
		}
		l.Chance, l.More = min(1, math.Round(l.Chance*1e5)/1e5), min(1, math.Round(l.More*1e5)/1e5)
		p.Limits = append(p.Limits, l)
	}
	near := func(chance float64) bool { return chance > 0.6*s.opt.Risk }
	for g := range x.boost {
		q := &v.gears[g]
		// what 1 % more torque in this gear would bring
		y := x.clone()
		y.boost[g] += 0.01 * (x.boost[g] + s.base.Air.Pressure)
		more := s.judge(ctx, y, s.draws)
		gain, sd := differ(base.traps, more.traps)
		top := x.boost[g] >= s.upper[g]-1.5e3
		grips := near(q.pull)
		add(Limit{Gear: g + 1, Limit: gripLimit, Class: Soft, Chance: q.spin, Binds: grips}, gain, sd)
		if s.m.Sheet.SlipCut {
			add(Limit{Gear: g + 1, Limit: torqueCut, Class: Soft, Chance: q.cut, Binds: near(q.cut)}, gain, sd)
		}
		add(Limit{Gear: g + 1, Limit: "boost target", Class: Soft, Chance: q.low, Binds: near(q.low)}, gain, sd)
		for _, l := range v.worst {
			if l.gear != g+1 {
				continue
			}
			next := more.next(l)
			forbids := next.chance > hardChance && next.chance > 2*l.chance && gain > 2*sd/math.Sqrt(float64(s.draws)) && !s.opt.ForTarget
			binds := (l.chance > 0.1*hardChance || forbids) && !s.excused(l) || l.limit == "boost" && s.m.Sheet.Limits.MaxBoost > 0 && x.boost[g] >= s.m.Sheet.Limits.MaxBoost-1.5e3
			add(Limit{Gear: g + 1, Limit: l.limit, Class: l.class, Chance: l.told, More: next.told, Binds: binds}, gain, sd)
		}
		if top && !s.opt.Bold && !grips && !s.hold {
			add(Limit{Gear: g + 1, Limit: oneStep, Class: Soft, Binds: true}, gain, sd)
		}
	}
	for _, l := range v.worst {
		if l.gear == 0 {
			worth := 0.01 * v.trap
			if l.limit == "shut-down" {
				worth /= 2 // the way to a stop goes with the square of speed
			}
			add(Limit{Limit: l.limit, Class: l.class, Chance: l.told, Binds: l.chance > 0.1*hardChance}, worth, 0.2*worth)
		}
	}
}

// next is the same limit's chance in another verdict; none where it does not name it.
func (v *verdict) next(l limitChance) limitChance {
	for _, c := range v.worst {
		if c.gear == l.gear && c.limit == l.limit {
			return c
		}
	}
	return limitChance{}
}

// differ is the mean and spread of b over a, draw by draw, m/s.
func differ(a, b []float64) (mean, sd float64) {
	n, ss := 0.0, 0.0
	for i := range min(len(a), len(b)) {
		if d := b[i] - a[i]; !math.IsNaN(d) {
			n++
			mean += d
			ss += d * d
		}
	}
	if n == 0 {
		return 0, 0
	}
	mean /= n
	return mean, math.Sqrt(max(0, ss/n-mean*mean))
}

func round3(x float64) float64 { return math.Round(x*1e3) / 1e3 }
