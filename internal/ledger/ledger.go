package ledger

import (
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
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
	// AloneSD is the standard deviation of Alone, m/s.
	AloneSD float64 `json:"alone_sd_mps"`
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

// ErrNoTrap says that there is no speed to account for.
var ErrNoTrap = errors.New("the pass has no trap speed to account for: it was given up, or its log ends, before the line")

// ErrUnlike says that the model runs the pass otherwise than it went.
var ErrUnlike = errors.New("the fitted car does not run this pass as it went, so it can account for nothing in it")

// unlike is the share of the trap speed by which the replay may miss it, 1: ten times
// what a healthy pass is missed by, three times a leaking or choked one.
const unlike = 0.12

// Case is a pass to account for.
type Case struct {
	Pass *sim.Pass // as run
	// Best is the launch that counts as ideal; nil means as run.
	Best *sim.Start
	// BestScale is the torque factor by which the car has been better at that boost, 1.
	BestScale float64
	// Trap is the measured trap speed, m/s: what the pass as run here has more is power that
	// was not there, and less means that the pass was better than the model. 0 unknown.
	Trap float64
	// Lifted tells that the driver lifted on the way: what the pass as run here, without the
	// lift, has more is then his.
	Lifted bool
	// Spun is the share of his lifts that began in wheelspin, 1: tyres that hold save them too.
	Spun float64
	// Driver's own usual: shift speeds, rad/s, and times, s; nil means as run.
	UsualSpeed, UsualTime []float64
}

// Of accounts for pass k of the model's record. ErrNoTrap where it has no trap speed, ErrUnlike
// where the model does not run it as it was run; else the error of ctx.
func Of(ctx context.Context, m *fitcar.Model, k int) ([]Line, error) {
	o := m.Passes[k].Obs
	if math.IsNaN(o.Trap) {
		return nil, ErrNoTrap
	}
	members := append([]fitcar.Member{m.Mean}, m.Members...)
	better := bestScale(leftOver(m), k)
	accounts, err := compute(ctx, members, func(i int) (*sim.Car, Case, bool) { return caseOf(m, &members[i], k, better) })
	if err != nil {
		return nil, err
	}
	ill := m.Ill(k)
	if base := accounts[0].base; !ill && !o.Lifted() && math.Abs(base-o.Trap) > unlike*o.Trap {
		return nil, fmt.Errorf("%w: it reaches %.0f m/s at the trap where the pass had %.0f", ErrUnlike, base, o.Trap)
	}
	return lines(accounts, m.SlipDoubt(k), amiss(m, k), ill), nil
}

// Coming accounts for a pass to come: run(i) gives the car and pass of member i.
func Coming(ctx context.Context, m *fitcar.Model, run func(mem *fitcar.Member) (*sim.Car, *sim.Pass)) ([]Line, error) {
	members := append([]fitcar.Member{m.Mean}, m.Members...)
	better := bestScale(leftOver(m), -1)
	accounts, err := compute(ctx, members, func(i int) (*sim.Car, Case, bool) {
		car, pass := run(&members[i])
		c := Case{Pass: pass, BestScale: better}
		c.Best = bestLaunch(m, &members[i], car, pass)
		return car, c, true
	})
	if err != nil {
		return nil, err
	}
	return lines(accounts, 0, 0, false), nil
}

// compute runs all subsets for every member, two members at a time.
func compute(ctx context.Context, members []fitcar.Member, get func(i int) (*sim.Car, Case, bool)) ([]*account, error) {
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
	return accounts, nil
}
