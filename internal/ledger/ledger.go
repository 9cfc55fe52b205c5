package ledger

import (
	"context"
	"errors"
	"math"
	"runtime"
	"slices"
	"sync"

	"traplight/internal/fitcar"
	"traplight/internal/sim"
)

// Line is one cause. Speeds are at the trap.
type Line struct {
	Cause string  `json:"cause"`
	Group string  `json:"group"`     // "ours" or "given"
	Speed float64 `json:"speed_mps"` // m/s, fair share within its group
	SD    float64 `json:"sd_mps"`    // m/s, of Speed
	Alone float64 `json:"alone_mps"` // m/s, gain if this cause alone were ideal
}

// The causes of the group ours, in the order of the bits of a subset.
const (
	grip = iota
	held
	shifts
	recovery
	launch
	power
	driver
	players
)

var ours = [players]string{"grip", "held-back torque", "shifts", "boost recovery", "launch", "power", "driver"}

var given = []string{"drag", "air", "wind"}

// Reference air of the line "air": the standard atmosphere at sea level, dry.
var Reference = sim.Air{Density: 1.225, Temperature: 288.15, Pressure: 101325}

// ErrRun says that the model could not run the pass.
var ErrRun = errors.New("the fitted car does not reach the line in the model")

// Case is a pass to account for.
type Case struct {
	Pass *sim.Pass // as run
	// Best is the launch that counts as ideal; nil means as run.
	Best *sim.Start
	// BestScale is the torque factor by which the car has been better at that boost, 1.
	BestScale float64
	// Missing is what the replay has more than the measured trap speed, m/s: power that
	// was not there. Negative values mean the pass was better than the model.
	Missing float64
	// Driver's own usual: shift speeds, rad/s, and times, s; nil means as run.
	UsualSpeed, UsualTime []float64
}

// Of accounts for pass k of the model's record.
func Of(ctx context.Context, m *fitcar.Model, k int) ([]Line, error) {
	members := append([]fitcar.Member{m.Mean}, m.Members...)
	return compute(ctx, members, func(i int) (*sim.Car, Case, bool) { return caseOf(m, &members[i], k) })
}

// Coming accounts for a pass to come: run(i) gives the car and pass of member i.
func Coming(ctx context.Context, m *fitcar.Model, run func(mem *fitcar.Member) (*sim.Car, *sim.Pass)) ([]Line, error) {
	members := append([]fitcar.Member{m.Mean}, m.Members...)
	return compute(ctx, members, func(i int) (*sim.Car, Case, bool) {
		car, pass := run(&members[i])
		c := Case{Pass: pass, BestScale: bestScale(&members[i], -1)}
		c.Best = bestLaunch(m, &members[i], car, pass)
		return car, c, true
	})
}

// compute runs all subsets for every member, two members at a time.
func compute(ctx context.Context, members []fitcar.Member, get func(i int) (*sim.Car, Case, bool)) ([]Line, error) {
	accounts := make([]*account, len(members))
	var wg sync.WaitGroup
	next := make(chan int)
	for range min(runtime.GOMAXPROCS(0), len(members)) {
		wg.Go(func() {
			for i := range next {
				if car, c, ok := get(i); ok {
					accounts[i] = run(ctx, car, c)
				}
			}
		})
	}
	for i := range members {
		next <- i
	}
	close(next)
	wg.Wait()
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if accounts[0] == nil {
		return nil, ErrRun
	}
	return lines(accounts), nil
}

// account is one member's finding: fair shares and gains alone, m/s.
type account struct {
	share, alone [players]float64
	given        [3]float64
	missing      float64
}

// run gives nil when the model does not reach the line.
func run(ctx context.Context, car *sim.Car, c Case) *account {
	r := &sim.Runner{Car: car}
	sure := sim.Runner{Car: gripping(car)}
	var worth [1 << players]float64
	var known [1 << players]bool
	trap := func(set int) (float64, bool) {
		set = canonical(set, &c)
		if known[set] {
			return worth[set], true
		}
		p := *c.Pass
		c.apply(&p, set)
		run := r
		if set&(1<<grip) != 0 {
			run = &sure
		}
		res, err := run.Run(&p)
		if err != nil || !res.Complete {
			return 0, false
		}
		worth[set], known[set] = res.Trap, true
		return res.Trap, true
	}
	base, ok := trap(0)
	if !ok {
		return nil
	}
	var v [1 << players]float64
	for set := range v {
		if ctx.Err() != nil {
			return nil
		}
		t, ok := trap(set)
		if !ok {
			return nil
		}
		if set&(1<<power) == 0 {
			t -= c.Missing
		}
		v[set] = t
	}
	a := &account{missing: c.Missing}
	copy(a.share[:], Shapley(v[:], players))
	for i := range a.alone {
		a.alone[i] = v[1<<i] - v[0]
	}
	for i := range given {
		p := *c.Pass
		switch i {
		case 0:
			p.Ideal.Drag = true
		case 1:
			wind := p.Air.Headwind
			p.Air = Reference
			p.Air.Headwind = wind
		case 2:
			p.Air.Headwind = 0
		}
		res, err := r.Run(&p)
		if err != nil || !res.Complete {
			return nil
		}
		a.given[i] = res.Trap - base
	}
	return a
}

// What ideal tyres have over the car's own.
const (
	boundless = 12.0 // 1, grip
	rigid     = 4.0  // 1, stiffness
)

// gripping is the car on tyres that carry any torque without spinning. A tyre that
// carries more is stiffer as well, so little of the creep is left that every tyre has
// at small slip.
func gripping(car *sim.Car) *sim.Car {
	c := *car
	c.Tyre.Peak *= boundless
	c.Tyre.PeakSlip *= boundless / rigid
	c.Tyre.Profile = nil
	c.SlipCut = 0
	return &c
}

// canonical drops causes that change nothing in this case, so that no run is made
// twice: held-back torque implies grip.
func canonical(set int, c *Case) int {
	if set&(1<<held) != 0 {
		set |= 1 << grip
	}
	if c.Best == nil {
		set &^= 1 << launch
	}
	if c.BestScale <= 1 {
		set &^= 1 << power
	}
	if c.UsualSpeed == nil && c.UsualTime == nil {
		set &^= 1 << driver
	}
	return set
}

func (c *Case) apply(p *sim.Pass, set int) {
	on := func(i int) bool { return set&(1<<i) != 0 }
	if on(grip) || on(held) {
		p.GuardSlip, p.Start.Wheel = 0, 0
	}
	p.Ideal.Shifts = on(shifts)
	p.Ideal.Lag = on(recovery)
	if on(held) && len(p.Target) > 0 {
		top := slices.Max(p.Target)
		p.Target = slices.Repeat([]float64{top}, len(p.Target))
	}
	if on(launch) && c.Best != nil {
		p.Start = *c.Best
	}
	if on(power) && c.BestScale > 1 {
		p.TorqueScale = slices.Clone(p.TorqueScale)
		if p.TorqueScale == nil {
			p.TorqueScale = []float64{1}
		}
		for i := range p.TorqueScale {
			p.TorqueScale[i] *= c.BestScale
		}
	}
	if on(driver) {
		if c.UsualSpeed != nil {
			p.ShiftSpeed = c.UsualSpeed
		}
		if c.UsualTime != nil {
			p.ShiftTime = c.UsualTime
		}
		p.LiftTime = 0
	}
}

// lines puts the mean member's finding with the spread of all.
func lines(acc []*account) []Line {
	spread := func(get func(*account) float64) float64 {
		var s, ss, n float64
		for _, a := range acc[1:] {
			if a != nil {
				x := get(a)
				s, ss, n = s+x, ss+x*x, n+1
			}
		}
		mid := get(acc[0])
		if n < 2 {
			return math.Abs(0.2 * mid)
		}
		return math.Sqrt(math.Max(0, ss/n-s*s/(n*n)))
	}
	var out []Line
	for i, name := range ours {
		f := func(a *account) float64 { return a.share[i] }
		// the model's own structure is worth some 10 % of a cause
		out = append(out, Line{Cause: name, Group: "ours", Speed: acc[0].share[i], SD: math.Hypot(spread(f), 0.1*acc[0].share[i]), Alone: acc[0].alone[i]})
	}
	for i, name := range given {
		f := func(a *account) float64 { return a.given[i] }
		out = append(out, Line{Cause: name, Group: "given", Speed: acc[0].given[i], SD: math.Hypot(spread(f), 0.05*acc[0].given[i]), Alone: acc[0].given[i]})
	}
	return out
}
