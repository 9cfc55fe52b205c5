package forecast

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"traplight/internal/fitcar"
	"traplight/internal/ledger"
	"traplight/internal/sim"
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

// Result is the forecast.
type Result struct {
	Next     *Next
	Car      string  // by its sheet
	Trap     Spread  // m/s
	Gain     *Spread // m/s of trap speed over the pass before; nil where that had none. Errors that both share are not in it
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
	Mind     []string // cautions of this car and strip, a clause each; whoever knows the sheet sets them
}

// ErrDraws says that hardly any draw reached the line.
var ErrDraws = errors.New("the fitted car does not reach the line in the model")

// Run forecasts. The same seed and record give the same answer. ErrDraws where the car does not
// reach the line; else the error of ctx.
func Run(ctx context.Context, m *fitcar.Model, n *Next, opt Options) (*Result, error) {
	if opt.Draws <= 0 {
		opt.Draws = 2000
	}
	runs, err := simulate(ctx, m, n, opt)
	if err != nil {
		return nil, err
	}
	res := &Result{Next: n, Car: m.Sheet.Name, Aim: n.Aim}
	var stretched []string
	if t := opt.Track; t != nil && t.Count > 0 {
		stretch(runs, t.Widen)
		res.Track = t
		stretched = append(stretched, fmt.Sprintf("%d earlier forecasts of this car were scored: %.0f %% came within their interval; this interval is stretched by %.2f for it",
			t.Count, 100*t.Coverage, t.Widen))
	}
	res.Draws = drawsOf(runs)
	var trap, times, top, stop, gain []float64
	for _, r := range runs {
		res.Traps = append(res.Traps, r.trap)
		if math.IsNaN(r.trap) {
			continue
		}
		trap, times, top, stop = append(trap, r.trap), append(times, r.time), append(top, r.top), append(stop, r.stop)
		gain = append(gain, r.gain)
		if n.Aim > 0 && r.trap >= n.Aim {
			res.Chance++
		}
	}
	if len(trap) < opt.Draws/2 {
		return nil, ErrDraws
	}
	res.Chance /= float64(len(trap))
	res.Trap, res.Time, res.Top, res.Stopping = summary(trap), summary(times), summary(top), summary(stop)
	if !math.IsNaN(n.From) {
		g := summary(gain)
		res.Gain = &g
	}
	res.Notes = slices.Concat(n.Notes, m.Notes, knownNote(m, res.Gain), springNote(m, n), stretched)
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
	other.Air, other.Target, other.Notes, other.Hour = ledger.Reference, slices.Clone(n.Target), nil, n.KnownHour+24 // a day on which all has followed the air
	if other.hold(m.Sheet.BoostSetpoint == "absolute", n.Air.Pressure-other.Air.Pressure) != nil {
		return
	}
	run.Car, p = Usual(m, &other, &m.Mean)
	if res, err := run.Run(p); err == nil && res.Complete {
		r.Standard = r.Trap.Mean + res.Trap - r.Expected
	}
}
