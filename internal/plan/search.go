package plan

import (
	"context"
	"math"
	"runtime"
	"slices"
	"sync"

	"traplight/internal/fitcar"
	"traplight/internal/forecast"
	"traplight/internal/sim"
)

// settings is what the plan may choose.
type settings struct {
	boost   []float64 // Pa gauge by gear
	shift   []float64 // rad/s by gear, aim
	nitrous bool
	window  window
	launch  float64 // rad/s; 0: as it was run
}

func (s settings) clone() settings {
	return settings{slices.Clone(s.boost), slices.Clone(s.shift), s.nitrous, s.window.clone(), s.launch}
}

// search holds what all judgements share.
type search struct {
	m      *fitcar.Model
	base   *forecast.Next
	opt    Options
	gauge  gauge     // of the mean member
	gauges []gauge   // by member
	heat   heat      // of the exhaust
	upper  []float64 // Pa gauge by gear, never above
	ran    settings  // the highest that was run in clear passes, by gear
	best   float64   // m/s, best trap speed so far
	seed   uint64
	draws  int
	count  int // passes simulated

	launches map[float64]*forecast.Next // by launch engine speed, rad/s

	spin  []spinSeen // by gear, wheelspin that the model does not explain
	bites bool       // the clutch bit beyond the gearbox's limit already
	hold  bool       // the health screen found what forbids more boost
}

// verdict is how a set of settings does.
type verdict struct {
	trap   float64   // m/s, mean
	score  float64   // m/s, what is climbed: trap, or a rank of the target's chance
	chance float64   // 0–1, of the target in the passes left; 0 without a target
	traps  []float64 // m/s by draw; NaN where the line was not reached
	gears  []gearVerdict
	hard   float64 // chance of exceeding any hard limit
	worst  []limitChance
	runs   int
	failed int
}

type gearVerdict struct {
	spin  float64 // chance of slip past the peak
	model float64 // the same without what only the logs show
	low   float64 // chance of boost not reached
	cut   float64 // chance that electronics act
	input float64 // N·m, mean highest crank torque
	use   float64 // 1, mean highest share of the available grip; summed while counting
}

type limitChance struct {
	gear   int
	limit  string
	class  string
	chance float64
	room   float64 // 1, mean margin
}

func (s *search) next(x settings) *forecast.Next {
	n := *s.launched(x.launch)
	n.Target, n.ShiftAim, n.Nitrous = x.boost, x.shift, x.nitrous
	n.NitrousGears, n.NitrousBelow = x.window.gears, x.window.below
	return &n
}

// judge runs the settings under the common luck.
func (s *search) judge(ctx context.Context, x settings, draws int) verdict {
	n := s.next(x)
	type one struct {
		trap    float64
		gears   []sim.Gear
		margins []margin
	}
	out := make([]one, draws)
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
				out[i] = one{res.Trap + add, res.Gears, s.margins(x, n, &s.gauges[i%len(s.gauges)], r.Car, res, add, stop)}
			}
		})
	}
	for i := range draws {
		if ctx.Err() != nil {
			break
		}
		work <- i
	}
	close(work)
	wg.Wait()
	s.count += draws
	gears := len(s.m.Mean.Car.Ratios)
	v := verdict{gears: make([]gearVerdict, gears), traps: make([]float64, draws)}
	type key struct {
		gear  int
		limit string
	}
	stats := map[key]*[3]float64{}
	blur := map[key]float64{}
	var order []key
	var ways []float64 // margins of the shut-down
	for i, o := range out {
		v.traps[i] = o.trap
		if math.IsNaN(o.trap) || o.gears == nil {
			v.traps[i] = math.NaN()
			v.failed++
			continue
		}
		v.runs++
		v.trap += o.trap
		for _, g := range o.gears {
			q := &v.gears[g.Gear-1]
			if g.PastPeak > spinTime {
				q.model++
			}
			if !g.Reached {
				q.low++
			}
			if g.Cut > cutShare {
				q.cut++
			}
			q.input += g.MaxTorque
			q.use += g.MaxUse
		}
		for _, mg := range o.margins {
			k := key{mg.gear, mg.limit}
			st := stats[k]
			if st == nil {
				st = &[3]float64{}
				stats[k] = st
				order = append(order, k)
				blur[k] = mg.blur
			}
			if mg.limit == shutDown {
				ways = append(ways, mg.value)
			}
			st[0]++
			st[1] += mg.value
			st[2] += mg.value * mg.value
		}
	}
	if v.runs == 0 {
		return verdict{trap: math.Inf(-1), score: math.Inf(-1), gears: v.gears, hard: 1}
	}
	nn := float64(v.runs)
	v.trap /= nn
	for i := range v.gears {
		q := &v.gears[i]
		// a count of none does not mean never: Laplace's rule, one half each way
		q.model, q.low, q.cut, q.input = (q.model+0.5)/(nn+1), (q.low+0.5)/(nn+1), (q.cut+0.5)/(nn+1), q.input/nn
		q.model = 1 - (1-q.model)*(1-s.bolder(x, i, q.use/nn))
		q.spin = q.model
		if i < len(s.spin) {
			q.spin = 1 - (1-q.model)*(1-s.spin[i].extra)
		}
	}
	for _, k := range order {
		st := stats[k]
		mean := st[1] / st[0]
		sd := math.Sqrt(max(0, st[2]/st[0]-mean*mean) + blur[k]*blur[k])
		chance := 0.5 * math.Erfc(mean/sd/math.Sqrt2) * st[0] / nn
		if k.limit == shutDown && s.leastDecel() > 0 {
			chance = min(chance, kernel(ways, blur[k]))
		}
		v.worst = append(v.worst, limitChance{k.gear, k.limit, Hard, chance, mean})
	}
	v.hard = s.sum(v.worst)
	v.chance = s.reaching(v.traps)
	v.score = v.trap
	if s.opt.ForTarget && s.base.Aim > 0 {
		v.score = rank(v.chance, v.trap, s.base.Aim)
	}
	return v
}

// softOK tells whether gear g (from 0) keeps the soft limits. What the settings
// run before already pass may be passed as often again, not more.
func (s *search) softOK(v, was *verdict, g int) bool {
	a, b := &v.gears[g], &was.gears[g]
	risk := s.opt.Risk
	ok := a.model <= max(risk, b.model+0.02)
	if s.m.Sheet.SlipCut {
		ok = ok && a.cut <= max(risk, b.cut+0.02)
	}
	return ok && a.low <= max(risk, b.low+0.1)
}

func (s *search) allOK(v, was *verdict) bool {
	if v.hard > hardChance {
		return false
	}
	for g := range v.gears {
		if !s.softOK(v, was, g) {
			return false
		}
	}
	return s.opt.Bold || v.trap <= s.best+speedStep
}

// climb improves x round by round. was is the verdict of the settings as run.
func (s *search) climb(ctx context.Context, x settings, v, was verdict) (settings, verdict) {
	for round := range searchRounds {
		s.report(round)
		before := v.score
		for g := range x.boost {
			x, v = s.raise(ctx, x, v, was, g)
			if ctx.Err() != nil {
				return x, v
			}
		}
		if round < 2 {
			for g := range x.shift {
				x, v = s.slide(ctx, x, v, was, g)
			}
		}
		if v.score-before < 0.02 {
			break
		}
	}
	return x, v
}

// ease lowers boost in gears that pass a soft limit too often already, until they do
// not. Where that would cost more than easeCost of expected speed, the gear stays as
// it was run, its chance being told.
func (s *search) ease(ctx context.Context, x settings, v verdict) (settings, verdict, []keptGear) {
	var kept []keptGear
	for g := range x.boost {
		over := func(v *verdict) bool {
			return v.gears[g].model > s.opt.Risk || s.m.Sheet.SlipCut && v.gears[g].cut > s.opt.Risk
		}
		if !over(&v) || ctx.Err() != nil {
			continue
		}
		lo, hi := s.least(g), x.boost[g]
		var best *settings
		var bestV verdict
		for range 5 {
			y := x.clone()
			y.boost[g] = math.Floor((lo+hi)/2/1e3) * 1e3
			w := s.judge(ctx, y, s.draws)
			if over(&w) {
				hi = y.boost[g]
			} else {
				lo, best, bestV = y.boost[g], &y, w
			}
			if hi-lo < 1.5e3 {
				break
			}
		}
		if best == nil || bestV.trap < v.trap-easeCost {
			cut := s.m.Sheet.SlipCut && v.gears[g].cut > s.opt.Risk
			kept = append(kept, keptGear{gear: g + 1, cut: cut, beyond: best == nil})
			continue
		}
		x, v = *best, bestV
	}
	return x, v, kept
}

// easeCost is what obeying a soft limit may cost, m/s at the trap: slip past the peak is
// a limit because it costs speed.
const easeCost = 0.05

// searchRounds is how many rounds a climb has at most.
const searchRounds = 4

func (s *search) report(round int) {
	if s.opt.Progress != nil {
		s.opt.Progress(round, searchRounds)
	}
}

// raise brings boost of gear g to the highest that gains and holds.
func (s *search) raise(ctx context.Context, x settings, v, was verdict, g int) (settings, verdict) {
	// gears above the highest that is reached make no difference
	lo, hi := x.boost[g], s.upper[g]
	// where the tyres spin already the model says little about more
	if hi-lo < 1e3 || was.gears[g].spin > 2*s.opt.Risk {
		return x, v
	}
	try := func(b float64) (verdict, bool) {
		y := x.clone()
		y.boost[g] = b
		w := s.judge(ctx, y, s.draws)
		return w, s.allOK(&w, &was) && w.score > v.score+1e-4
	}
	if w, ok := try(hi); ok {
		x.boost[g] = hi
		return x, w
	}
	bestB, bestV := lo, v
	for range 6 {
		mid := (lo + hi) / 2
		if hi-lo < 1.5e3 {
			break
		}
		if w, ok := try(mid); ok && w.score >= bestV.score {
			lo, bestB, bestV = mid, mid, w
		} else {
			hi = mid
		}
	}
	x.boost[g] = math.Floor(bestB/1e3) * 1e3
	if x.boost[g] < bestB {
		bestV = s.judge(ctx, x, s.draws)
	}
	return x, bestV
}

// slide finds the shift speed out of gear g by golden section within what the
// rev limit leaves.
func (s *search) slide(ctx context.Context, x settings, v, was verdict, g int) (settings, verdict) {
	run := s.ran.shift[g]
	lo, hi := run-shiftDown, run+shiftUp
	if l := s.m.Sheet.RevLimit; l > 0 {
		hi = min(hi, l-s.m.Driver.Over-2*s.m.Driver.OverSD-5)
	}
	if hi <= lo {
		return x, v
	}
	const gold = 0.381966
	eval := func(w float64) (verdict, bool) {
		y := x.clone()
		y.shift[g] = w
		r := s.judge(ctx, y, s.draws)
		return r, s.allOK(&r, &was)
	}
	best, bestV := x.shift[g], v
	a, b := lo, hi
	p, q := a+gold*(b-a), b-gold*(b-a)
	vp, okp := eval(p)
	vq, okq := eval(q)
	for range 4 {
		if okp && vp.score > bestV.score+0.005 {
			best, bestV = p, vp
		}
		if okq && vq.score > bestV.score+0.005 {
			best, bestV = q, vq
		}
		if vp.score > vq.score {
			b, q, vq, okq = q, p, vp, okp
			p = a + gold*(b-a)
			vp, okp = eval(p)
		} else {
			a, p, vp, okp = p, q, vq, okq
			q = b - gold*(b-a)
			vq, okq = eval(q)
		}
	}
	const rpm = math.Pi / 30
	x.shift[g] = math.Round(best/rpm/10) * 10 * rpm
	return x, bestV
}

const (
	shiftDown = 60.0 // rad/s (570 rpm) below what was run
	shiftUp   = 35.0 // rad/s (330 rpm) above
)

func sorted(x []float64) []float64 {
	s := slices.Clone(x)
	slices.Sort(s)
	return s
}
