package ledger

import (
	"context"
	"math"
	"slices"

	"traplight/internal/sim"
)

// account is one member's finding: fair shares and gains alone, m/s.
type account struct {
	share, alone [players]float64
	given        [3]float64
	base         float64 // the pass as run
	spun         float64 // m/s lost to lifts in wheelspin
	cut          bool    // electronics cut on slip
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
		if set&(1<<recovery) != 0 {
			p.TorqueScale = unsprung(&p, car)
		}
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
	lift, missing := 0.0, 0.0
	switch {
	case !(c.Trap > 0):
	case c.Lifted:
		lift = base - c.Trap
	default:
		missing = base - c.Trap
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
			t -= missing
		}
		if set&(1<<driver) == 0 {
			t -= lift * (1 - c.Spun)
			if canonical(set, &c)&(1<<grip) == 0 {
				t -= lift * c.Spun
			}
		}
		v[set] = t
	}
	a := &account{base: base, spun: math.Abs(lift * c.Spun), cut: car.SlipCut > 0}
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
