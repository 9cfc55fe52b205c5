// Plan runs the plans of package plan through the demo's generator, which shares
// no code with the model: the gain over the settings run, beside the gain of an
// oracle that optimises on the generator itself under the same hard limits, and how
// often each limit was passed against what the plan stated.
//
//	go run ./bench/plan [-cars 8] [-seeds 10] [-seed 1] [-keep DIR]
//
// All cars are invented.
package main

import (
	"context"
	"flag"
	"fmt"
	"log"
	"math"
	"os"
	"os/signal"
	"path/filepath"
	"slices"

	"traplight/internal/app"
	"traplight/internal/demo"
	"traplight/internal/num/xrand"
)

func main() {
	log.SetFlags(0)
	log.SetPrefix("plan: ")
	cars := flag.Int("cars", 8, "invented cars")
	seeds := flag.Int("seeds", 10, "passes to judge each plan")
	seed := flag.Uint64("seed", 1, "seed of the cars")
	oracle := flag.Bool("oracle", true, "optimise on the generator too")
	keep := flag.String("keep", "", "folder in which logs are kept between runs")
	only := flag.Int("only", -1, "one car alone")
	flag.Parse()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	dir := *keep
	if dir == "" {
		d, err := os.MkdirTemp("", "plan")
		if err != nil {
			log.Fatal(err)
		}
		defer os.RemoveAll(d)
		dir = d
	}
	var shares, gains []float64
	worse, hard, hardRuns := 0, 0, 0
	stated := 0.0
	done := 0
	for i := range *cars {
		if *only >= 0 && i != *only {
			continue
		}
		if ctx.Err() != nil {
			log.Fatal("interrupted")
		}
		r, err := one(ctx, filepath.Join(dir, fmt.Sprintf("plan%d-%d", *seed, i)), *seed*1000+500+uint64(i), *seeds, *oracle)
		if err != nil {
			fmt.Printf("car %d: %v\n", i, err)
			continue
		}
		done++
		gains = append(gains, r.plan-r.base)
		if r.plan < r.base-0.02 {
			worse++
		}
		hard += r.exceeded
		hardRuns += *seeds
		stated += r.stated * float64(*seeds)
		share := math.NaN()
		if r.oracle-r.base > 0.1 {
			share = (r.plan - r.base) / (r.oracle - r.base)
			shares = append(shares, share)
		}
		fmt.Printf("car %-6s as run %.2f m/s, plan %+.2f (forecast %+.2f), oracle %+.2f, share %.2f; hard limits passed in %d of %d (stated %.1f), before %d; %s\n",
			r.id, r.base, r.plan-r.base, r.forecast, r.oracle-r.base, share, r.exceeded, *seeds, r.stated*float64(*seeds), r.before, r.what)
	}
	slices.Sort(shares)
	slices.Sort(gains)
	if len(shares) > 0 {
		fmt.Printf("\nmedian share of the oracle's gain %.2f over %d cars\n", shares[len(shares)/2], len(shares))
	}
	fmt.Printf("worse than as run in %d of %d; hard limits passed in %d of %d passes, stated %.1f\n", worse, done, hard, hardRuns, stated)
}

type result struct {
	id                           string
	base, plan, oracle, forecast float64 // m/s; forecast is the expected gain
	exceeded, before             int
	stated                       float64 // 0–1
	what                         string
}

// one makes a car, two passes of it, a plan, and judges it.
func one(ctx context.Context, dir string, seed uint64, seeds int, oracle bool) (*result, error) {
	c := demo.RandomCar(seed)
	st := demo.HomeStrip()
	air := demo.DrawWeather(st, xrand.Sub(seed, "day"))
	set := c.Usual()
	for g := range set.Boost { // the crew has not gone to the edge yet
		set.Boost[g] = math.Round(0.92*(set.Boost[g]+1e5)/1e3)*1e3 - 1e5
		set.Boost[g] = max(20e3, set.Boost[g])
	}
	opts := func(s demo.Settings) demo.PassOptions {
		return demo.PassOptions{Settings: &s, Weather: &air, Strip: &st, DaySeed: xrand.Sub(seed, "rig")}
	}
	sheet, notes := filepath.Join(dir, "car_"+c.ID+".toml"), filepath.Join(dir, "passes.toml")
	var logs []string
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return nil, err
	}
	fresh := false
	var text []byte
	for i := range 2 {
		o := opts(set)
		o.ID, o.When, o.NoTruth = fmt.Sprintf("%s-%d", c.ID, i+1), fmt.Sprintf("2033-06-11 1%d:20", i), true
		path := filepath.Join(dir, o.ID+"_"+c.ID+".csv")
		logs = append(logs, path)
		if _, err := os.Stat(path); err == nil {
			continue
		}
		fresh = true
		rec := demo.Generate(c, o, xrand.Sub(seed, o.ID))
		if rec.Name+".csv" != filepath.Base(path) {
			return nil, fmt.Errorf("the recording is called %s, not %s", rec.Name, filepath.Base(path))
		}
		text = append(text, rec.NoteTOML...)
		text = append(text, "inspected = \"looked over, nothing found\"\n\n"...)
		if err := os.WriteFile(path, rec.CSV, 0o644); err != nil {
			return nil, err
		}
	}
	if fresh {
		if err := os.WriteFile(sheet, c.SheetTOML(), 0o644); err != nil {
			return nil, err
		}
		if err := os.WriteFile(notes, append(st.StripTOML(), text...), 0o644); err != nil {
			return nil, err
		}
	}
	p, err := app.Plan(ctx, app.PlanRequest{ForecastRequest: app.ForecastRequest{Cars: []string{sheet}, Notes: notes, History: logs}, Bold: true})
	if err != nil {
		return nil, err
	}
	a := p.Plan.Answer()
	r := &result{id: c.ID, forecast: a.Gain, what: fmt.Sprintf("boost %.0f was %.0f, shift %.0f", a.Settings.Boost, kpa(set.Boost), a.Settings.Shift)}
	for _, l := range a.Limits {
		if l.Class == "hard" {
			r.stated += l.Chance
			if l.Chance > 0.002 {
				r.what += fmt.Sprintf("; %s in %d %.3f", l.Limit, l.Gear, l.Chance)
			}
		}
	}
	planned := set
	planned.Boost, planned.ShiftSpeed = nil, nil
	for g, b := range a.Settings.Boost {
		planned.Boost = append(planned.Boost, b*1e3)
		_ = g
	}
	for _, w := range a.Settings.Shift {
		planned.ShiftSpeed = append(planned.ShiftSpeed, w*math.Pi/30)
	}
	if len(planned.ShiftSpeed) < len(set.ShiftSpeed) {
		planned.ShiftSpeed = append(planned.ShiftSpeed, set.ShiftSpeed[len(planned.ShiftSpeed):]...)
	}
	run := func(s demo.Settings, n int) (mean float64, exceeded int) {
		for k := range n {
			o := demo.Run(c, opts(s), xrand.Sub(seed, fmt.Sprintf("judge/%d", k)))
			mean += o.Trap / float64(n)
			if len(o.Exceeded) > 0 {
				exceeded++
			}
		}
		return
	}
	r.base, r.before = run(set, seeds)
	r.plan, r.exceeded = run(planned, seeds)
	r.oracle = math.NaN()
	if oracle {
		best := climb(ctx, c, set, func(s demo.Settings) (float64, bool) {
			m, e := run(s, 3)
			return m, e == 0
		})
		r.oracle, _ = run(best, seeds)
		r.oracle = max(r.oracle, r.base)
	}
	return r, ctx.Err()
}

func kpa(x []float64) []float64 {
	out := make([]float64, len(x))
	for i := range x {
		out[i] = x[i] / 1e3
	}
	return out
}

// climb is the oracle: coordinate search on the generator.
func climb(ctx context.Context, c demo.Car, s demo.Settings, judge func(demo.Settings) (float64, bool)) demo.Settings {
	clone := func(s demo.Settings) demo.Settings {
		s.Boost, s.ShiftSpeed = slices.Clone(s.Boost), slices.Clone(s.ShiftSpeed)
		return s
	}
	best, _ := judge(s)
	step, turn := 24e3, 26.0
	for range 3 {
		for g := range s.Boost {
			for _, d := range []float64{step, -step} {
				y := clone(s)
				y.Boost[g] = max(0, y.Boost[g]+d)
				if v, ok := judge(y); ok && v > best+0.01 {
					s, best = y, v
					break
				}
				if ctx.Err() != nil {
					return s
				}
			}
		}
		for g := range s.ShiftSpeed {
			for _, d := range []float64{turn, -turn} {
				y := clone(s)
				y.ShiftSpeed[g] += d
				if v, ok := judge(y); ok && v > best+0.01 {
					s, best = y, v
					break
				}
				if ctx.Err() != nil {
					return s
				}
			}
		}
		step, turn = step*0.7, turn*0.7
	}
	return s
}
