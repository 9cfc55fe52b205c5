package fitcar

import (
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"sync"

	"traplight/internal/car"
	"traplight/internal/num/xrand"
	"traplight/internal/quantity"
	"traplight/internal/sim"
)

// Member is one draw of the car's parameters that explains the passes.
type Member struct {
	Car      *sim.Car
	Scale    []float64 // 1 by gear, torque
	Levels   []float64 // 1 by pass, grip
	Heads    []float64 // 1 by pass, head when the launch clutch closed
	Residual []float64 // m/s by pass, measured trap less the replay's; NaN unknown
	Winds    []float64 // m/s by pass, headwind of the member
	// SlipZero is what slip reads, 1, where it is none, at the start of the strip and at its end.
	SlipZero [2]float64
}

// PassFit is one pass of the record.
type PassFit struct {
	Obs    *Observation
	Replay *sim.Pass // as the driver ran it, for Car
	Car    *sim.Car  // the car of that pass
	Trap   float64   // m/s, of the replay
	Weight float64   // 1
}

// Model is a car fitted to its passes.
type Model struct {
	Sheet   *car.Sheet
	Mean    Member   // nothing disturbed
	Members []Member // the ensemble
	Driver  Driver
	Passes  []PassFit

	PeakGrip, PeakSlip quantity.Estimate // 1
	TorqueSpread       float64           // 1, of torque about its table
	HasBoost           bool              // manifold pressure was known
	LimitSeen          bool              // the limiter was seen to cut, or the sheet has none
	MendedSD           float64           // 1, of the trap speed, by which a car mended since its lone pass may be off; 0 where nothing was found on it
	Learnt             []float64         // 1, share of prior variance that the data removed, by parameter of BoostNames; nil none
	Unlearned          []string          // what stays at its prior, a phrase each
	Notes              []string          // sentences
}

// BoostNames names the air-path parameters in the order of Model.Learnt.
var BoostNames = []string{"rotor's inertia", "turbine and compressor efficiency", "turbine's swallowing", "efficiency against flow", "rotor's friction",

	"rotor's decay with the throttle shut", "turbine heat in shifts", "boost control's gain", "boost control's lag",
	"boost control's overshoot", "time of the overshoot", "nitrous in the exhaust"}

// Options of Fit.
type Options struct {
	Members int    // ensemble size; 0 means 12
	Seed    uint64 // of the ensemble
	// Mended says that the car to come is without what was found on its pass: a lone one teaches
	// what lies before the finding alone.
	Mended bool
}

// ErrNothing says that no pass can teach the model anything.
var ErrNothing = errors.New("no pass of this car can be used: each needs speed, engine speed and gears")

// Fit fits the car to its passes, given in order of time. base is the sheet of the
// car as it will be run; passes under other sheets are brought to it. ErrNothing where none of
// them teaches anything; else the error of ctx.
func Fit(ctx context.Context, base *car.Sheet, obs []*Observation, opt Options) (*Model, error) {
	if len(obs) == 0 {
		return nil, ErrNothing
	}
	if opt.Members == 0 {
		opt.Members = 12
	}
	m := &Model{Sheet: base}
	fillTargets(obs)
	if opt.Mended {
		obs = m.beforeFinding(obs)
	}
	weights := firstWeights(obs)
	for _, o := range obs {
		m.HasBoost = m.HasBoost || o.Boost != nil
	}
	var start []float64
	// the first round finds passes that do not fit with the rest, and those that do in spite of
	// what was found on them
	for round := range 2 {
		f, err := m.member(base, obs, weights, nil, start)
		if err != nil {
			return nil, err
		}
		start = f.boost
		if round == 0 {
			acquitted, doubted := m.acquit(obs, weights, f), m.doubt(obs, weights, f)
			if acquitted || doubted {
				continue
			}
		}
		m.keep(f, obs, weights)
		break
	}
	members := make([]*fitted, opt.Members)
	var wg sync.WaitGroup
	next := make(chan int)
	for range runtime.GOMAXPROCS(0) {
		wg.Go(func() {
			for i := range next {
				d := &draws{r: xrand.Stream(opt.Seed, fmt.Sprintf("fitcar/member/%d", i))}
				// a draw that explains nothing is left out
				members[i], _ = m.member(base, obs, weights, d, start)
			}
		})
	}
	for i := range members {
		if ctx.Err() != nil {
			break
		}
		next <- i
	}
	close(next)
	wg.Wait()
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	for _, f := range members {
		if f != nil {
			m.Members = append(m.Members, f.Member)
		}
	}
	if len(m.Members) == 0 {
		m.Members = []Member{m.Mean}
	}
	m.say()
	return m, nil
}

// fitted is a member with what only the mean needs.
type fitted struct {
	Member
	ws         []*work
	boost      []float64
	learnt     []float64
	limited    bool // the limiter was seen to cut
	drv        Driver
	spread     float64
	peak, slip quantity.Estimate
	traps      []float64
	replays    []*sim.Pass
}

func (m *Model) member(base *car.Sheet, obs []*Observation, weights []float64, d *draws, start []float64) (*fitted, error) {
	last := obs[len(obs)-1]
	radius := base.TyreRadius.Value
	if last.Radius > 0 {
		radius = last.Radius
		if was := last.Sheet.TyreRadius.Value; was > 0 && base != last.Sheet {
			radius *= base.TyreRadius.Value / was // other tyres differ by what the sheets say
		}
	}
	c := chassis(base, radius, last.Growth, d)
	if base.SlipCut {
		c.SlipCut, c.SlipCutWidth = 0.14, 0.08
	}
	f := &fitted{boost: start}
	for i, o := range obs {
		w := newWork(o, &c, base, d)
		w.weight = weights[i]
		f.ws = append(f.ws, w)
	}
	for _, w := range f.ws {
		w.demand(&c)
		w.measuredHead()
	}
	if base.SlipCut {
		unseenCut(f.ws)
	}
	sound := soundOf(f.ws)
	trueLimit(&c, f.ws)
	learnHolds(&c, sound, d)
	fitCharge(&c, sound, d)
	c.Boost.Floor = springFloor(sound, mostGears(&c, f.ws), d)
	c.Boost.Offset = settledOffset(sound, mostGears(&c, f.ws), c.Boost.Floor)
	c.Boost.Settled = atTarget(c.Boost.Offset, f.ws)
	c.Boost.NoCharger = noCharger(base, f.ws)
	if !m.HasBoost && !c.Boost.NoCharger {
		// no manifold pressure: the prior's air path stands for it
		p := make([]float64, len(boostPrior))
		for i, q := range boostPrior {
			p[i] = d.normal(q.Mean, q.SD)
		}
		setBoost(&c.Boost, p)
		c.Boost.Lifted = mostLifted(f.ws)
		for _, w := range f.ws {
			w.head = make([]float64, len(w.X))
			w.runHead(&c, w.phases(), w.gearAt(), startHead(w), w.head)
		}
	}
	for _, w := range f.ws {
		w.warm(&c.Engine)
	}
	c.Tyre.RefLoad = c.DrivenShare * c.Mass * 9.80665
	var ok bool
	fitSpark(&c, f.ws, d)
	for range 2 {
		if f.spread, ok = fitEngine(&c, f.ws, base.Displacement, d); !ok {
			return nil, errors.New("the engine's torque cannot be told from the passes: too little full throttle with the clutch closed")
		}
		var again bool
		if again, f.limited = learnLimit(&c, f.ws); !again {
			break
		}
	}
	if m.HasBoost && !c.Boost.NoCharger {
		f.boost, f.learnt = fitBoost(&c, f.ws, start, d)
		trimOffset(&c, sound)
	}
	fitNitrous(&c, sound)
	f.Levels, f.SlipZero, f.peak, f.slip = fitTyre(&c, f.ws, d)
	if base.SlipCut {
		learnCut(&c, f.ws)
	}
	f.drv = learnDriver(f.ws, mostGears(&c, f.ws))
	for _, w := range f.ws {
		f.Heads = append(f.Heads, w.settledHead(&c))
		f.Winds = append(f.Winds, w.air.Headwind)
	}
	f.Scale = calibrate(&c, f.ws, &f.drv, nil, f.Levels, f.Heads, d == nil)
	fitDump(&c, f.ws, &f.drv, f.Scale, f.Levels)
	f.Scale = calibrate(&c, f.ws, &f.drv, f.Scale, f.Levels, f.Heads, d == nil)
	f.Car = &c
	for k, w := range f.ws {
		p := w.replay(&c, &f.drv, f.Scale, f.Levels[k], f.Heads[k])
		f.replays = append(f.replays, p)
		r := sim.Runner{Car: w.forPass(&c), Rel: sim.Rough}
		res, err := r.Run(p)
		t, left := math.NaN(), math.NaN()
		if err == nil && res.Complete {
			t = res.Trap
			if !math.IsNaN(w.Trap) && !w.Lifted() {
				left = w.Trap - t
			}
		}
		f.traps, f.Residual = append(f.traps, t), append(f.Residual, left)
	}
	return f, nil
}

// settledHead is the head at the lock that the simulated rotor should start with.
func (w *work) settledHead(*sim.Car) float64 { return startHead(w) }

func noCharger(s *car.Sheet, ws []*work) bool {
	if contains(s.Turbo, "none") || contains(s.Turbo, "naturally") {
		return true
	}
	for _, w := range ws {
		for _, t := range w.Target {
			if t > 5e3 {
				return false
			}
		}
		if w.Boost != nil {
			for _, b := range w.Boost {
				if b > w.air.Pressure+10e3 {
					return false
				}
			}
		}
	}
	return true
}

func (m *Model) keep(f *fitted, obs []*Observation, weights []float64) {
	m.Mean, m.Driver, m.Learnt = f.Member, f.drv, f.learnt
	m.LimitSeen = f.limited || f.Car.RevLimit <= 0
	m.PeakGrip, m.PeakSlip, m.TorqueSpread = f.peak, f.slip, f.spread
	m.Passes = nil
	for i, o := range obs {
		m.Passes = append(m.Passes, PassFit{Obs: o, Replay: f.replays[i], Car: f.ws[i].forPass(f.Car), Trap: f.traps[i], Weight: weights[i]})
	}
}
