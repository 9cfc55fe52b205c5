package plan

import (
	"context"
	"fmt"
	"math"

	"traplight/internal/forecast"
)

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
