package forecast

import (
	"context"
	"math"
	"runtime"
	"sync"

	"traplight/internal/fitcar"
	"traplight/internal/sim"
)

const (
	reaction = 1.0 // s from the line to full braking, driver and transition
	gravity  = 9.80665
)

// outcome of one draw.
type outcome struct {
	trap, time, top, stop float64
	gain                  float64    // m/s over the pass before
	gears                 []sim.Gear // of the first draws only
}

// watched is how many draws are looked at gear by gear.
const watched = 200

func simulate(ctx context.Context, m *fitcar.Model, n *Next, opt Options) ([]outcome, error) {
	return simulateWith(ctx, m, n, opt, func(l *luck) luck { return *l })
}

// simulateWith runs passes with what of their luck is left.
func simulateWith(ctx context.Context, m *fitcar.Model, n *Next, opt Options, left func(*luck) luck) ([]outcome, error) {
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
				l = left(&l)
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
		return outcome{trap: nan, time: nan, top: nan, stop: nan, gain: nan}
	}
	f := 1 + p.add/res.Trap
	o := outcome{trap: res.Trap + p.add, gain: res.Trap + p.gain - n.From, time: res.Time / (1 + 0.4*(f-1)), top: max(res.Top, res.Instant) * f, gears: res.Gears}
	a := m.BrakeDecel() * math.Exp(m.BrakeSD()*l.brake)
	o.stop = o.top*reaction + o.top*o.top/(2*a)
	return o
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
	a := m.BrakeDecel() * math.Exp(m.BrakeSD()*l.brake)
	return res, p.add, top*reaction + top*top/(2*a), true
}
