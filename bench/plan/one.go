package main

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"traplight/internal/app"
	"traplight/internal/car"
	"traplight/internal/demo"
	"traplight/internal/num/xrand"
	"traplight/internal/plan"
)

// bench is one car of the bench.
type bench struct {
	seed  uint64
	seeds int
	dir   string

	car   demo.Car
	strip demo.Strip
	air   demo.Weather
	set   demo.Settings // as run
	sane  bool          // as run it holds the limits with a margin

	sheet, notes string
	logs         []string
	absolute     bool // its computer holds absolute pressure
	then         int  // passes more that follow plans
	alone        bool // the oracle does not begin from the plan's settings too
	apart        bool // what of the oracle's settings each brings is told
}

// standardBarometer is the pressure, Pa absolute, over which set-points of cars whose
// computers hold absolute pressure are told (ISO 2533, 101 325 Pa, rounded as the generator does).
const standardBarometer = 101300

// bite is the limit that the generator does not judge: it counts the closed clutch alone.
const bite = "gearbox torque, clutch closing"

// inspected ends the notes of a pass.
const inspected = "inspected = \"looked over, nothing found\"\n\n"

// passesBefore is how many passes the plan may learn from.
const passesBefore = 2

// one makes passes of the car, a plan, and judges it.
func (b *bench) one(ctx context.Context, oracle bool) (*result, error) {
	if err := b.history(); err != nil {
		return nil, err
	}
	from := time.Now()
	p, err := b.plan(ctx)
	if err != nil {
		return nil, err
	}
	a := p.Answer()
	r := &result{id: b.car.ID, forecast: a.Gain, took: time.Since(from), sane: b.sane, limits: map[string]*tally{}, oracle: math.NaN()}
	r.what = fmt.Sprintf("   boost   %.0f\n   was     %.0f\n   shift   %.0f nitrous %v", a.Settings.Boost, scaled(b.set.Boost, 1e-3), a.Settings.Shift, a.Settings.Nitrous)
	if w := a.Settings.LaunchRPM; w != nil {
		r.what += fmt.Sprintf(" launch %.0f, was %.0f", *w, b.set.LaunchSpeed*30/math.Pi)
	}
	r.already = len(a.Already) > 0
	if !a.Card {
		r.refused = "no card: " + p.NoCard
	}
	var outs, ran []demo.Outcome
	r.base, ran = b.run(b.set, b.seeds)
	r.plan, outs = b.run(b.planned(a), b.seeds)
	for _, o := range ran {
		if len(o.Exceeded) > 0 {
			r.before++
		}
	}
	r.what += "\n   as run  " + b.reached(ran) + "\n   planned " + b.reached(outs)
	b.judge(r, a, outs)
	if r.further = r.plan; len(a.Ramps) > 0 {
		var outs []demo.Outcome
		r.further, outs = b.run(b.coursed(a), b.seeds)
		for _, o := range outs {
			if len(o.Exceeded) > 0 {
				r.furtherOver++
			}
		}
		r.furtherHard = a.RampsHard
		for _, q := range a.Ramps {
			r.what += fmt.Sprintf("\n   by engine speed in %d: %.0f at %.0f rpm to %.0f at %.0f (%+.2f)", q.Gear, q.KPa[0], q.RPM[0], q.KPa[1], q.RPM[1], q.Gain)
		}
		r.what += fmt.Sprintf("\n   so      %+.2f (forecast %+.2f), hard passed %d (stated %.3f); %s", r.further-r.base, a.Gain+a.RampsGain, r.furtherOver, a.RampsHard, b.reached(outs))
	}
	if oracle {
		plan := b.planned(a)
		from := &plan
		if !a.Card || b.alone {
			from = nil
		}
		best, told, err := b.oracle(ctx, from)
		if err != nil {
			return nil, err
		}
		var outs []demo.Outcome
		r.oracle, outs = b.run(best, b.seeds)
		r.oracle = max(r.oracle, r.base)
		r.what += fmt.Sprintf("\n   oracle  %.0f\n   shift   %.0f", scaled(best.Boost, 1e-3), scaled(best.ShiftSpeed, 30/math.Pi)) + "\n   reached " + b.reached(outs) + "\n   " + told
		if b.apart {
			r.what += b.parts(b.planned(a), best, r.plan)
		}
	}
	return r, b.follow(ctx, r, a)
}

// plan is that of the passes so far.
func (b *bench) plan(ctx context.Context) (*plan.Plan, error) {
	p, err := app.Plan(ctx, app.PlanRequest{ForecastRequest: app.ForecastRequest{Cars: []string{b.sheet}, Notes: b.notes, History: b.logs}, Bold: true})
	if err != nil {
		return nil, err
	}
	return p.Plan, nil
}

// planned are the settings of a plan for the generator.
func (b *bench) planned(a *plan.Answer) demo.Settings {
	s := b.set
	s.Boost, s.ShiftSpeed = scaled(a.Settings.Boost, 1e3), scaled(a.Settings.Shift, math.Pi/30)
	if b.absolute { // such a computer holds its set-point over the standard's barometer
		for g := range s.Boost {
			s.Boost[g] = a.Settings.Absolute[g]*1e3 - standardBarometer
		}
	}
	if n := len(s.ShiftSpeed); n < len(b.set.ShiftSpeed) {
		s.ShiftSpeed = append(s.ShiftSpeed, b.set.ShiftSpeed[n:]...)
	}
	s.Nitrous = a.Settings.Nitrous
	if w := a.Settings.LaunchRPM; w != nil {
		s.LaunchSpeed = *w * math.Pi / 30
	}
	return s
}

// coursed are the settings of a plan with its boost by engine speed.
func (b *bench) coursed(a *plan.Answer) demo.Settings {
	s := b.planned(a)
	s.Courses = make([]demo.Course, len(s.Boost))
	over := 0.0
	if b.absolute {
		over = a.Settings.Barometer*1e3 - standardBarometer
	}
	for _, q := range a.Ramps {
		g := q.Gear - 1
		s.Boost[g] = q.KPa[0]*1e3 + over
		if q.KPa[0] != q.KPa[1] {
			s.Courses[g] = demo.Course{Speed: [2]float64{q.RPM[0] * math.Pi / 30, q.RPM[1] * math.Pi / 30}, Boost: [2]float64{q.KPa[0]*1e3 + over, q.KPa[1]*1e3 + over}}
		}
	}
	return s
}

// judge counts how often each limit was passed.
func (b *bench) judge(r *result, a *plan.Answer, outs []demo.Outcome) {
	n := len(outs)
	for _, o := range outs {
		if len(o.Exceeded) > 0 {
			r.exceeded++
		}
	}
	// a limit of which the plan says nothing is stated with none
	hard, hardSum := map[string]float64{}, 0.0
	for _, o := range outs {
		for _, x := range o.Exceeded {
			hard[x] += 0
		}
	}
	for _, l := range a.Limits {
		switch {
		case l.Limit == bite:
			// the generator counts the closed clutch alone
		case l.Class == plan.Hard || l.Limit == "fuel supply": // of which a plan may only guess
			hardSum += l.Chance
			name := strings.Replace(l.Limit, "injectors", "injector duty", 1)
			hard[name] += l.Chance
			if l.Chance > 0.002 {
				r.what += fmt.Sprintf("\n   %s in %d: %.3f", l.Limit, l.Gear, l.Chance)
			}
		case l.Limit == "grip" || l.Limit == "boost target":
			seen, of := 0, 0
			for _, o := range outs {
				if g := l.Gear - 1; g < len(o.PastPeak) {
					of++
					if l.Limit == "grip" && o.PastPeak[g] > spinTime || l.Limit != "grip" && o.BoostShort[g] > 0.05*a.Settings.Boost[g]*1e3 {
						seen++
					}
				}
			}
			t := &r.short
			if l.Limit == "grip" {
				t = &r.grip
				r.bins[bin(l.Chance)].see(l.Chance, seen, of)
			}
			t.see(l.Chance, seen, of)
			if l.Chance > 0.02 || seen > 0 {
				r.what += fmt.Sprintf("\n   %s in %d: stated %.2f, seen %d of %d", l.Limit, l.Gear, l.Chance, seen, of)
			}
		}
	}
	for name, p := range hard {
		seen := 0
		for _, o := range outs {
			for _, x := range o.Exceeded {
				if x == name {
					seen++
				}
			}
		}
		t := &tally{}
		t.see(min(1, p), seen, n)
		r.limits[name] = t
	}
	r.hard.see(min(1, hardSum), r.exceeded, n)
	r.limits["any hard limit"] = &r.hard
	r.limits["grip, soft"], r.limits["boost target, soft"] = &r.grip, &r.short
}

// reached says how near passes came to the sheet's limits, in percent of each, mean.
func (b *bench) reached(outs []demo.Outcome) string {
	l := b.car.Limits()
	var boost, in, duty, pump, lean, back, turbo, power, exhaust, tyre, stop float64
	for _, o := range outs {
		n := float64(len(outs)) / 100
		boost += o.MaxBoost / l.Boost / n
		in += slices.Max(o.MaxInput) / l.GearboxTorque / n
		duty += o.MaxDuty / l.InjectorDuty / n
		pump, lean = pump+o.MaxPump/n, lean+o.MaxLean/n
		back += o.MaxBackPres / l.BackPressure / n
		turbo += o.MaxTurbo / l.TurboSpeed / n
		power += o.MaxCrank / l.CrankPower / n
		exhaust += (o.MaxExhaust - l.ExhaustTemp) / n / 100
		tyre += o.MaxWheel / l.TyreSpeed / n
		stop += o.Stopping / l.ShutDown / n
	}
	past := make([]float64, len(outs[0].PastPeak))
	for _, o := range outs {
		for g, t := range o.PastPeak {
			past[g] += t / float64(len(outs))
		}
	}
	return fmt.Sprintf("past peak %.2f s; boost %.0f gearbox %.0f duty %.0f pump %.0f lambda %.0f back %.0f turbo %.0f power %.0f tyre %.0f stop %.0f, exhaust %+.0f K", past, boost, in, duty, pump, lean, back, turbo, power, tyre, stop, exhaust)
}

func (b *bench) options(s demo.Settings) demo.PassOptions {
	return demo.PassOptions{Settings: &s, Weather: &b.air, Strip: &b.strip, DaySeed: xrand.Sub(b.seed, "rig")}
}

// pass is judging pass k.
func (b *bench) pass(s demo.Settings, k int) demo.Outcome {
	return demo.Run(b.car, b.options(s), xrand.Sub(b.seed, fmt.Sprintf("judge/%d", k)))
}

// run is the mean trap speed of n passes, m/s, and what they brought.
func (b *bench) run(s demo.Settings, n int) (mean float64, outs []demo.Outcome) {
	for k := range n {
		o := b.pass(s, k)
		mean += o.Trap / float64(n)
		outs = append(outs, o)
	}
	return
}

// history writes sheet, notes and logs of the passes before, once.
func (b *bench) history() error {
	b.sheet, b.notes = filepath.Join(b.dir, "car_"+b.car.ID+".toml"), filepath.Join(b.dir, "passes.toml")
	if err := os.MkdirAll(b.dir, 0o755); err != nil {
		return err
	}
	text := b.strip.StripTOML()
	fresh := false
	for i := range passesBefore {
		o := b.options(b.set)
		o.ID, o.When, o.NoTruth = fmt.Sprintf("%s-%d", b.car.ID, i+1), fmt.Sprintf("2033-06-11 1%d:20", i), true
		path := filepath.Join(b.dir, o.ID+"_"+b.car.ID+".csv")
		b.logs = append(b.logs, path)
		if _, err := os.Stat(path); err == nil {
			continue
		}
		fresh = true
		rec := demo.Generate(b.car, o, xrand.Sub(b.seed, o.ID))
		if rec.Name+".csv" != filepath.Base(path) {
			return fmt.Errorf("the recording is called %s, not %s", rec.Name, filepath.Base(path))
		}
		text = append(text, rec.NoteTOML...)
		text = append(text, inspected...)
		if err := os.WriteFile(path, rec.CSV, 0o644); err != nil {
			return err
		}
	}
	sheet, err := car.ParseSheet(b.sheet, b.car.SheetTOML())
	if err != nil {
		return err
	}
	b.absolute = sheet.BoostSetpoint == "absolute"
	// the sheet grows with what owners state, the passes stay
	owned := b.car.SheetTOML()
	if m := b.car.MapCSV(); m != nil {
		name := "map_" + b.car.ID + ".csv"
		if err := os.WriteFile(filepath.Join(b.dir, name), m, 0o644); err != nil {
			return err
		}
		owned = bytes.Replace(owned, []byte("[engine]\n"), fmt.Appendf(nil, "[engine]\ncompressor_map = %q\n", name), 1)
	}
	if err := os.WriteFile(b.sheet, owned, 0o644); err != nil {
		return err
	}
	if !fresh {
		return b.same()
	}
	return os.WriteFile(b.notes, text, 0o644)
}

func scaled(x []float64, f float64) []float64 {
	out := make([]float64, len(x))
	for i := range x {
		out[i] = x[i] * f
	}
	return out
}
