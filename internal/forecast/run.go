package forecast

import (
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync"

	"traplight/internal/fitcar"
	"traplight/internal/ledger"
	"traplight/internal/sim"
)

const (
	reaction = 1.0  // s from the line to full braking, driver and transition
	brakeSD  = 0.12 // 1, relative
	gravity  = 9.80665
)

// Options of Run.
type Options struct {
	Draws   int    // 0 means 2000
	Which   []int  // of the luck's draws those to run, in this order; nil: the first Draws
	Seed    uint64 // of the luck
	Ledger  bool   // account for the pass to come as well
	Workers int    // 0 means all processors
	// Track is how earlier forecasts of this car came out; its Widen stretches the spread
	// of trap speed and time. nil means none.
	Track *Track
	// Progress is called now and then with draws done; nil is allowed.
	Progress func(done, of int)
}

// Spread is a forecast quantity.
type Spread struct {
	Mean, SD      float64 // own unit
	P05, P50, P95 float64 // own unit, quantiles
}

// Result is the forecast.
type Result struct {
	Next     *Next
	Trap     Spread  // m/s
	Time     Spread  // s from rollout at the line
	Top      Spread  // m/s, highest speed
	Stopping Spread  // m after the line
	Aim      float64 // m/s; 0 none
	Chance   float64 // 0–1, of reaching the aim
	Binding  []string
	Ledger   []ledger.Line
	Notes    []string
	Track    *Track    // of earlier forecasts; nil none
	Traps    []float64 // m/s, the draws in order of luck; NaN where the model did not reach the line
	Draws    []Draw    // the same with all that is known of them
	Decel    float64   // m/s², after the line
	Expected float64   // m/s, of the mean member with the driver's means: what the settings give
	Standard float64   // m/s, mean in still air of the standard atmosphere at sea level; 0 when the car does not get there
	Past     []InStandardAir
}

// ErrDraws says that hardly any draw reached the line.
var ErrDraws = errors.New("the fitted car does not reach the line in the model")

// Run forecasts. The same seed and record give the same answer.
func Run(ctx context.Context, m *fitcar.Model, n *Next, opt Options) (*Result, error) {
	if opt.Draws <= 0 {
		opt.Draws = 2000
	}
	runs, err := simulate(ctx, m, n, opt)
	if err != nil {
		return nil, err
	}
	res := &Result{Next: n, Aim: n.Aim, Notes: append(slices.Clone(n.Notes), m.Notes...)}
	if t := opt.Track; t != nil && t.Count > 0 {
		stretch(runs, t.Widen)
		res.Track = t
		res.Notes = append(res.Notes, fmt.Sprintf("%d earlier forecasts of this car were scored: %.0f %% came within their interval; this interval is stretched by %.2f for it",
			t.Count, 100*t.Coverage, t.Widen))
	}
	res.Draws = drawsOf(runs, len(m.Mean.Car.Ratios))
	var trap, times, top, stop []float64
	for _, r := range runs {
		res.Traps = append(res.Traps, r.trap)
		if math.IsNaN(r.trap) {
			continue
		}
		trap, times, top, stop = append(trap, r.trap), append(times, r.time), append(top, r.top), append(stop, r.stop)
		if n.Aim > 0 && r.trap >= n.Aim {
			res.Chance++
		}
	}
	if len(trap) < opt.Draws/2 {
		return nil, ErrDraws
	}
	res.Chance /= float64(len(trap))
	res.Trap, res.Time, res.Top, res.Stopping = summary(trap), summary(times), summary(top), summary(stop)
	res.Binding = binding(runs, n)
	res.Decel = m.BrakeDecel()
	res.expect(m, n)
	res.Past = standardAir(m)
	if opt.Ledger {
		res.Ledger, err = ledger.Coming(ctx, m, func(mem *fitcar.Member) (*sim.Car, *sim.Pass) { return Usual(m, n, mem) })
		if err != nil && ctx.Err() != nil {
			return nil, ctx.Err()
		}
	}
	return res, nil
}

// stretch moves every draw from the middle of all by a factor.
func stretch(runs []outcome, w float64) {
	about := func(get func(*outcome) *float64) {
		var x []float64
		for i := range runs {
			if v := *get(&runs[i]); !math.IsNaN(v) {
				x = append(x, v)
			}
		}
		if len(x) == 0 {
			return
		}
		mid := summary(x).P50
		for i := range runs {
			v := get(&runs[i])
			*v = mid + w*(*v-mid)
		}
	}
	about(func(o *outcome) *float64 { return &o.trap })
	about(func(o *outcome) *float64 { return &o.time })
}

// expect works out what the settings give with the driver's means, in the air to come
// and in standard air.
func (r *Result) expect(m *fitcar.Model, n *Next) {
	car, p := Usual(m, n, &m.Mean)
	run := sim.Runner{Car: car, Rel: sim.Rough}
	res, err := run.Run(p)
	if err != nil || !res.Complete {
		return
	}
	r.Expected = res.Trap
	other := *n
	other.Air, other.Target, other.Notes = ledger.Reference, slices.Clone(n.Target), nil
	if other.hold(m.Sheet.BoostSetpoint == "absolute", n.Air.Pressure-other.Air.Pressure) != nil {
		return
	}
	run.Car, p = Usual(m, &other, &m.Mean)
	if res, err := run.Run(p); err == nil && res.Complete {
		r.Standard = r.Trap.Mean + res.Trap - r.Expected
	}
}

// outcome of one draw.
type outcome struct {
	trap, time, top, stop float64
	gears                 []sim.Gear // of the first draws only
}

// watched is how many draws are looked at gear by gear.
const watched = 200

func simulate(ctx context.Context, m *fitcar.Model, n *Next, opt Options) ([]outcome, error) {
	workers := opt.Workers
	if workers <= 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	if opt.Which != nil {
		opt.Draws = len(opt.Which)
	}
	out := make([]outcome, opt.Draws)
	var wg sync.WaitGroup
	next := make(chan int)
	for range workers {
		wg.Go(func() {
			r := sim.Runner{Rel: sim.Rough}
			for i := range next {
				k := i
				if opt.Which != nil {
					k = opt.Which[i]
				}
				l := draw(opt.Seed, k, len(m.Members))
				out[i] = one(&r, build(m, n, &l), n, m, &l, i < watched)
			}
		})
	}
	var err error
	for i := range opt.Draws {
		if i%64 == 0 {
			if err = ctx.Err(); err != nil {
				break
			}
			if opt.Progress != nil {
				opt.Progress(i, opt.Draws)
			}
		}
		next <- i
	}
	close(next)
	wg.Wait()
	return out, err
}

func one(r *sim.Runner, p plant, n *Next, m *fitcar.Model, l *luck, watch bool) outcome {
	r.Car, r.Watch = p.car, watch
	nan := math.NaN()
	res, err := r.Run(p.pass)
	if err != nil || !res.Complete {
		return outcome{trap: nan, time: nan, top: nan, stop: nan}
	}
	f := 1 + p.add/res.Trap
	o := outcome{trap: res.Trap + p.add, time: res.Time / (1 + 0.4*(f-1)), top: max(res.Top, res.Instant) * f, gears: res.Gears}
	a := m.BrakeDecel() * math.Exp(brakeSD*l.brake)
	o.stop = o.top*reaction + o.top*o.top/(2*a)
	return o
}

func summary(x []float64) Spread {
	s := slices.Clone(x)
	slices.Sort(s)
	var sum, ss float64
	for _, v := range s {
		sum += v
	}
	mean := sum / float64(len(s))
	for _, v := range s {
		ss += (v - mean) * (v - mean)
	}
	q := func(p float64) float64 {
		u := p * float64(len(s)-1)
		i := int(u)
		if i+1 >= len(s) {
			return s[len(s)-1]
		}
		return s[i] + (u-float64(i))*(s[i+1]-s[i])
	}
	return Spread{Mean: mean, SD: math.Sqrt(ss / float64(max(1, len(s)-1))), P05: q(0.05), P50: q(0.5), P95: q(0.95)}
}

// binding says what holds the car back in each gear.
func binding(runs []outcome, n *Next) []string {
	type count struct{ seen, grip, low int }
	var by [maxGears]count
	for _, r := range runs {
		for _, g := range r.gears {
			c := &by[min(g.Gear-1, maxGears-1)]
			c.seen++
			if g.PastPeak > 0.05 {
				c.grip++
			}
			if !g.Reached && g.Gear-1 < len(n.Target) {
				c.low++
			}
		}
	}
	var out []string
	for i, c := range by {
		if c.seen == 0 {
			continue
		}
		if share := float64(c.grip) / float64(c.seen); share > 0.3 {
			out = append(out, fmt.Sprintf("grip in %d", i+1))
		} else if float64(c.low)/float64(c.seen) > 0.5 {
			out = append(out, fmt.Sprintf("boost not reached in %d", i+1))
		}
	}
	return out
}

// One runs draw i of a seed under n, watching the gears, and gives besides what is
// known to be missed at the trap (add, m/s) and the way to a stop after the line (stop,
// m); ok is false when the line was not reached. r's Car is replaced.
func One(r *sim.Runner, m *fitcar.Model, n *Next, seed uint64, i int) (res *sim.Result, add, stop float64, ok bool) {
	l := draw(seed, i, len(m.Members))
	p := build(m, n, &l)
	r.Car, r.Watch = p.car, true
	res, err := r.Run(p.pass)
	if err != nil || !res.Complete {
		return nil, 0, 0, false
	}
	top := max(res.Top, res.Instant) + p.add
	a := m.BrakeDecel() * math.Exp(brakeSD*l.brake)
	return res, p.add, top*reaction + top*top/(2*a), true
}
