package plan

import (
	"context"
	"math"
	"runtime"
	"sync"

	"traplight/internal/forecast"
	"traplight/internal/sim"
)

// verdict is how a set of settings does.
type verdict struct {
	trap   float64   // m/s, mean
	score  float64   // m/s, what is climbed: trap, or a rank of the target's chance
	chance float64   // 0–1, of the target in the passes left; 0 without a target
	traps  []float64 // m/s by draw; NaN where the line was not reached
	gears  []gearVerdict
	hard   float64       // chance of exceeding any hard limit
	worst  []limitChance // by gear
	kinds  []limitChance // of the whole pass, whichever gear
	runs   int
	failed int
}

type gearVerdict struct {
	spin  float64 // chance of slip past the peak
	pull  float64 // the same of the pull, without the clutch's bite
	low   float64 // chance of boost not reached
	cut   float64 // chance that electronics act
	input float64 // N·m, mean highest crank torque
	used  float64 // passes in which the gear was reached
	use   float64 // 1, mean highest share of the available grip; summed while counting
}

// drawn is one simulated pass of the common luck.
type drawn struct {
	trap    float64
	gears   []sim.Gear
	margins []margin
}

// judge runs the settings under the common luck.
func (s *search) judge(ctx context.Context, x settings, draws int) verdict {
	out := make([]drawn, draws)
	s.drawAll(ctx, x, out, 0)
	return s.weigh(x, out)
}

// glance judges as judge does, but gives up after glanceDraws passes where those are far over
// the hard limits or far slower than v: false then.
func (s *search) glance(ctx context.Context, x settings, v *verdict) (verdict, bool) {
	out := make([]drawn, s.draws)
	few := min(glanceDraws, s.draws)
	s.drawAll(ctx, x, out[:few], 0)
	w := s.weigh(x, out[:few])
	if few == s.draws {
		return w, true
	}
	gain, sd := differ(v.traps, w.traps)
	if w.hard > glanceHard*hardChance || !s.opt.ForTarget && gain < -glanceSlow-3*sd/math.Sqrt(float64(few)) {
		w.score = v.score + gain // under the same luck
		return w, false
	}
	s.drawAll(ctx, x, out, few)
	return s.weigh(x, out), true
}

const (
	glanceDraws = 12   // as many as the ensemble has members
	glanceHard  = 4.0  // 1, of the accepted chance
	glanceSlow  = 0.02 // m/s
)

// weigh makes a verdict on x of passes drawn.
func (s *search) weigh(x settings, out []drawn) verdict {
	v := verdict{gears: make([]gearVerdict, len(s.m.Mean.Car.Ratios)), traps: make([]float64, len(out))}
	low := x.lows()
	for i := range out {
		o := &out[i]
		v.traps[i] = o.trap
		if math.IsNaN(o.trap) || o.gears == nil {
			v.traps[i] = math.NaN()
			v.failed++
			continue
		}
		v.runs++
		v.trap += o.trap
		for k := range o.gears {
			q := &v.gears[o.gears[k].Gear-1]
			q.count(&o.gears[k])
			q.pull += s.pulling(o.gears[k].Gear-1, i%len(s.m.Members), o.gears[k].Lasting)
			q.low += s.short(low, &o.gears[k])
		}
	}
	if v.runs == 0 {
		return verdict{trap: math.Inf(-1), score: math.Inf(-1), gears: v.gears, hard: 1}
	}
	v.trap /= float64(v.runs)
	for i := range v.gears {
		s.soft(&v.gears[i], x, i, float64(v.runs))
	}
	v.worst, v.kinds = s.chances(out, v.runs)
	v.hard = s.sum(v.kinds)
	v.chance = s.reaching(v.traps)
	v.score = v.trap
	if s.opt.ForTarget && s.base.Aim > 0 {
		v.score = rank(v.chance, v.trap, s.base.Aim)
	}
	return v
}

// drawAll simulates the passes of out, those before from excepted, on all processors.
func (s *search) drawAll(ctx context.Context, x settings, out []drawn, from int) {
	n := s.next(x)
	var wg sync.WaitGroup
	work := make(chan int)
	for range runtime.GOMAXPROCS(0) {
		wg.Go(func() {
			r := sim.Runner{Rel: sim.Rough, Keep: s.keep()}
			for i := range work {
				res, add, stop, ok := forecast.One(&r, s.m, n, s.seed, i)
				if !ok {
					out[i].trap = math.NaN()
					continue
				}
				out[i] = drawn{res.Trap + add, res.Gears, s.margins(x, n, &s.gauges[i%len(s.gauges)], r.Car, res, add, stop)}
			}
		})
	}
	for i := from; i < len(out) && ctx.Err() == nil; i++ {
		work <- i
	}
	close(work)
	wg.Wait()
	s.count += len(out) - from
}

// count adds one pass's gear.
func (q *gearVerdict) count(g *sim.Gear) {
	if g.Cut > cutShare {
		q.cut++
	}
	q.used++
	q.input += g.MaxTorque
	q.use += g.MaxUse
}

// soft makes chances of the counts of gear i (from 0) in n passes.
func (s *search) soft(q *gearVerdict, x settings, i int, n float64) {
	// a count of none does not mean never: Laplace's rule, one half each way
	q.pull, q.low, q.cut, q.input = q.pull/n, q.low/n, (q.cut+0.5)/(n+1), q.input/n
	q.spin = 1 - (1-q.pull)*(1-s.bolder(x, i, q.use/n))
	if i < len(s.spin) {
		q.spin = 1 - (1-q.spin)*(1-s.spin[i].extra(q.input))
	}
}
