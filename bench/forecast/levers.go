package main

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"traplight/internal/app"
	"traplight/internal/car"
	"traplight/internal/demo"
	"traplight/internal/fitcar"
	"traplight/internal/forecast"
	"traplight/internal/physics/air"
)

// made is by what the last pass of an invented car was run.
type made struct {
	car  demo.Car
	last demo.PassOptions
	seed uint64
}

// pulled is one change to a pass, as its generator takes it and as a plan states it.
type pulled struct {
	name   string
	set    func(s *demo.Settings, w *demo.Weather)
	plan   func(p *car.Planned)
	cooled bool        // the charge cooler has the new air's temperature, as on another day
	refit  *demo.Refit // what the car got for the pass to come, in a new sheet; nil nothing
}

// lever gathers what one change brings, % of the trap speed.
type lever struct {
	foretold, truth, spread, width []float64
	held                           int // forecasts whose 90 % interval held the same hand's pass
}

// leversOf are the changes for a car of so many gears.
func leversOf(gears int) []pulled {
	var out []pulled
	boost := func(name string, from, to int, step float64) {
		add := make([]float64, gears)
		for g := from; g < to; g++ {
			add[g] = step
		}
		out = append(out, pulled{name: name, set: func(s *demo.Settings, _ *demo.Weather) {
			for g := range s.Boost {
				s.Boost[g] += add[g]
			}
		}, plan: func(p *car.Planned) { p.BoostAdd = add }})
	}
	for _, step := range []float64{-20e3, 20e3} {
		boost(fmt.Sprintf("boost %+.0f kPa, first gear", step/1e3), 0, 1, step)
		boost(fmt.Sprintf("boost %+.0f kPa, lower gears", step/1e3), 0, gears/2, step)
		boost(fmt.Sprintf("boost %+.0f kPa, upper gears", step/1e3), gears/2, gears, step)
	}
	boost("boost +8 kPa, all gears", 0, gears, 8e3)
	for _, rpm := range []float64{-250, 200} {
		d := rpm * math.Pi / 30
		out = append(out, pulled{name: fmt.Sprintf("shifts %+.0f rev/min", rpm),
			set: func(s *demo.Settings, _ *demo.Weather) {
				for g := range s.ShiftSpeed {
					s.ShiftSpeed[g] += d
				}
			},
			plan: func(p *car.Planned) { p.ShiftAdd = d }})
	}
	for _, rpm := range []float64{-500, 500} {
		d := rpm * math.Pi / 30
		out = append(out, pulled{name: fmt.Sprintf("launch %+.0f rev/min", rpm),
			set:  func(s *demo.Settings, _ *demo.Weather) { s.LaunchSpeed += d },
			plan: func(p *car.Planned) { p.LaunchSpeed += d }})
	}
	out = append(out,
		pulled{name: "mass +50 kg", set: func(s *demo.Settings, _ *demo.Weather) { s.MassAdd += 50 }, plan: func(p *car.Planned) { p.MassAdd = 50 }},
		pulled{name: "drag area +0.05 m²", set: func(s *demo.Settings, _ *demo.Weather) { s.DragAreaAdd += 0.05 }, plan: func(p *car.Planned) { p.DragAreaAdd = 0.05 }},
		pulled{name: "tyres -30 kPa", set: func(s *demo.Settings, _ *demo.Weather) { s.ColdPressure -= 30e3 }, plan: func(p *car.Planned) { p.ColdPressure -= 30e3 }},
		pulled{name: "tyres +30 kPa", set: func(s *demo.Settings, _ *demo.Weather) { s.ColdPressure += 30e3 }, plan: func(p *car.Planned) { p.ColdPressure += 30e3 }})
	weather := func(name string, cooled bool, d demo.Weather) {
		out = append(out, pulled{name: name, cooled: cooled,
			set: func(_ *demo.Settings, w *demo.Weather) {
				w.AirTemp, w.Pressure, w.Headwind = w.AirTemp+d.AirTemp, w.Pressure+d.Pressure, w.Headwind+d.Headwind
			},
			plan: func(p *car.Planned) {
				p.Weather.AirTemp, p.Weather.Pressure, p.Weather.Headwind = p.Weather.AirTemp+d.AirTemp, p.Weather.Pressure+d.Pressure, d.Headwind
			}})
	}
	weather("air -10 K, cooler as it was", false, demo.Weather{AirTemp: -10})
	weather("air -10 K", true, demo.Weather{AirTemp: -10})
	weather("air +15 K", true, demo.Weather{AirTemp: 15})
	weather("air -1.5 kPa", true, demo.Weather{Pressure: -1.5e3})
	weather("air -8 kPa (700 m up)", true, demo.Weather{Pressure: -8e3})
	weather("head wind +2 m/s", true, demo.Weather{Headwind: 2})
	weather("head wind -2 m/s", true, demo.Weather{Headwind: -2})
	for _, r := range []struct {
		name  string
		refit demo.Refit
	}{{"final drive +8 %", demo.Refit{FinalDrive: 1.08}}, {"final drive -6 %", demo.Refit{FinalDrive: 0.94}}, {"tyres 4 % taller", demo.Refit{TyreRadius: 1.04}}} {
		out = append(out, pulled{name: r.name, refit: &r.refit, set: func(*demo.Settings, *demo.Weather) {}, plan: func(*car.Planned) {}})
	}
	on := true
	out = append(out, pulled{name: "nitrous, never used before", set: func(s *demo.Settings, _ *demo.Weather) { s.Nitrous = true }, plan: func(p *car.Planned) { p.Nitrous = &on }})
	return out
}

// pull lays what each lever brings by the model beside what it brings with the same hand.
func (b *bench) pull(ctx context.Context, s set) error {
	if s.made == nil {
		return nil
	}
	f, err := b.fit(ctx, s, s.logs)
	if err != nil {
		return err
	}
	m := f.Model
	o := s.made.last
	heat := demo.Heat{Coolant: 350, Oil: 359, Charge: o.Weather.AirTemp + 9.5, Tread: 322, Bottle: 6.2e6}
	run := func(made demo.Car, set demo.Settings, w demo.Weather, h demo.Heat) demo.Outcome {
		q := o
		q.Settings, q.Weather, q.Start, q.Planned = &set, &w, &h, nil
		return demo.Run(made, q, s.made.seed)
	}
	was := run(s.made.car, *o.Settings, *o.Weather, heat)
	if !was.Complete {
		return fmt.Errorf("the last pass does not come in")
	}
	last := lastPass(m)
	cold := last.Cold
	for _, l := range leversOf(len(o.Settings.Boost)) {
		if !strings.Contains(l.name, b.pick) || l.name[:5] == "nitro" && len(m.Sheet.Nitrous.Gears) == 0 && m.Sheet.Nitrous.Flow == 0 {
			continue
		}
		set, w, h := *o.Settings, *o.Weather, heat
		set.Boost, set.ShiftSpeed = slices.Clone(set.Boost), slices.Clone(set.ShiftSpeed)
		l.set(&set, &w)
		if l.cooled {
			h.Charge += w.AirTemp - o.Weather.AirTemp
		}
		nan, later := math.NaN(), 40.0
		if l.cooled {
			later = 24 * 60
		}
		p := car.Planned{ID: l.name, MinutesLater: later, ColdPressure: cold, LaunchSpeed: o.Settings.LaunchSpeed,
			Weather: car.Weather{AirTemp: last.Air.Temperature, Pressure: last.Air.Pressure, Humidity: nan, HeadwindS: nan, Crosswind: nan, Gust: nan}}
		l.plan(&p)
		wind := p.Weather.Headwind
		p.Weather.Headwind = nan
		if p.LaunchSpeed == o.Settings.LaunchSpeed {
			p.LaunchSpeed = nan
		}
		m, made := m, s.made.car
		if l.refit != nil {
			made = made.Refitted(*l.refit)
			if m, err = b.refitted(ctx, s, made); err != nil {
				return err
			}
		}
		n, err := forecast.Prepare(m, f.Notes, &p)
		if err != nil {
			return err
		}
		n.Air.Headwind = last.Air.Headwind + wind
		if rho, ok := air.Density(n.Air.Temperature, n.Air.Pressure, last.Humidity); ok {
			r0, _ := air.Density(last.Air.Temperature, last.Air.Pressure, last.Humidity)
			n.Air.Density = last.Air.Density * rho / r0
		}
		gain, sd := effect(m, n)
		is := run(made, set, w, h)
		if !is.Complete || math.IsNaN(gain) {
			continue
		}
		r, err := forecast.Run(ctx, m, n, forecast.Options{Draws: 300})
		if err != nil {
			continue
		}
		if l.refit != nil {
			gain = r.Trap.Mean - n.From // the mean member has no pass in the car as it was
		}
		held := is.Trap >= r.Trap.P05 && is.Trap <= r.Trap.P95
		b.heave(s, l.name, held, 100*(r.Trap.P95-r.Trap.P05)/was.Trap, 100*gain/was.Trap, 100*(is.Trap/was.Trap-1), 100*sd/was.Trap)
	}
	return nil
}

func (b *bench) heave(s set, name string, held bool, width, foretold, truth, spread float64) {
	x := b.lever[name]
	if x == nil {
		x = &lever{}
		b.lever[name] = x
		b.levered = append(b.levered, name)
	}
	x.foretold, x.truth, x.spread = append(x.foretold, foretold), append(x.truth, truth), append(x.spread, spread)
	fmt.Printf("%-12s %-30s %+6.2f ± %.2f %%, true %+6.2f %%, over it %+6.2f, held %v %.2f\n", s.made.car.ID, name, foretold, spread, truth, foretold-truth, held, width)
	if held {
		x.held++
	}
	x.width = append(x.width, width)
}

func (b *bench) leverSummary() {
	fmt.Printf("\nlever, %% of the trap speed: cars, true mean, foretold less true: mean, median size, rms, greatest; members' spread; signs right of those over 0.2 %%; 90 %% intervals that hold the pass, mean width\n")
	for _, name := range b.levered {
		x := b.lever[name]
		var over, size []float64
		signs, of := 0, 0
		for i, t := range x.truth {
			d := x.foretold[i] - t
			over, size = append(over, d), append(size, math.Abs(d))
			if math.Abs(t) > 0.2 {
				of++
				if (t > 0) == (x.foretold[i] > 0) {
					signs++
				}
			}
		}
		fmt.Printf("%-30s %3d %+6.2f  %+6.2f %5.2f %5.2f %5.2f  %5.2f  %d of %d; %d %.2f\n", name, len(over), mean(x.truth), mean(over), quantile(size, 0.5), rms(over), slices.Max(size), mean(x.spread), signs, of, x.held, mean(x.width))
	}
}

// refitted fits the car to the same passes for a pass to come under a new sheet.
func (b *bench) refitted(ctx context.Context, s set, made demo.Car) (*fitcar.Model, error) {
	last := s.made.last.When // of the day, hour and minute
	path := filepath.Join(b.dir, "refitted.toml")
	sheet := append([]byte(fmt.Sprintf("valid_from = \"%s:40\"\n", last[:len(last)-3])), made.SheetTOML()...)
	if err := os.WriteFile(path, sheet, 0o644); err != nil {
		return nil, err
	}
	obs, err := b.observations(ctx, s, s.logs)
	if err != nil {
		return nil, err
	}
	f, err := app.FitObservations(ctx, app.ForecastRequest{Cars: []string{s.sheet, path}, Notes: s.notes}, obs, 0)
	if err != nil {
		return nil, err
	}
	return f.Model, nil
}
