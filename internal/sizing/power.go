package sizing

import (
	"context"
	"math"

	"traplight/internal/quantity"
)

// power finds the power that reaches the target, draw by draw.
func (st *study) power(ctx context.Context) error {
	q := st.q
	length, window := q.Strip.Length, q.Strip.TrapWindow
	m := st.measured()
	scale := st.draw("level", level, true)
	levelFrom := "own error of the method, from six invented cars of an independent model"
	known, err := st.ownLevel(ctx)
	if err != nil {
		return err
	}
	st.crank, st.wheel = nans(st.n), nans(st.n)
	st.runs = make([]outcome, st.n)
	model := nans(st.n)
	times := nans(st.n)
	gears := 0 // draws whose last gear runs out
	for i := range st.n {
		if err := ctx.Err(); err != nil {
			return err
		}
		c := &st.fleet.cars[i]
		if p := c.powerFor(st.target, length, window); !math.IsInf(p, 1) {
			model[i] = p
			st.runs[i] = c.run(p, length, window)
			times[i] = st.runs[i].time
		} else if g := len(c.ratios) - 1; RoadSpeed(c.shiftAt[g], c.ratios[g], c.radius, c.growth, usualSlip) < st.target {
			gears++
		}
	}
	if known != nil {
		noise := st.draw("level noise", quantity.Estimate{SD: 1}, false)
		for i := range scale {
			spread := passToPass
			if !math.IsNaN(model[i]) {
				spread = math.Hypot(passToPass, stretch*math.Log(model[i]/known.power[i]))
			}
			scale[i] = known.scale[i] * (1 + spread*noise[i])
		}
		levelFrom = "own passes: measured peak wheel power over the method's for the trap speed of the same pass"
	}
	if f := figureOf("", scale); f != nil {
		st.assume("real over modelled power", quantity.Estimate{Value: f.Value, SD: f.SD}, "", levelFrom)
	}
	out := 0
	for i := range model {
		if math.IsNaN(model[i]) {
			out++
			continue
		}
		st.crank[i], st.wheel[i] = scale[i]*model[i], scale[i]*st.runs[i].wheel
	}
	p := &Power{
		Basis: Basis{
			Method: "a pass run by grip, power, drag, rotating inertia and shifts, inverted for the power whose trap speed is the target; " + drawsText(st.n),
			Source: "Newton's law; T. D. Gillespie, Fundamentals of Vehicle Dynamics (1992), chapter 2; checked against closed forms",
		},
		Wheel: boundOf(quantity.DimPower, st.wheel), Crank: boundOf(quantity.DimPower, st.crank), Time: figureOf(quantity.DimTime, times),
		OutOfReach: float64(out) / float64(st.n), OutOfGears: float64(gears) / float64(st.n), Trades: []Trade{},
	}
	st.r.Power = p
	if p.Wheel == nil {
		st.missing("No power reaches this speed with the grip and the gears of the sheet: more grip, less drag, taller gears or a longer strip would.")
		return nil
	}
	if best := m.best(); best != nil {
		more := nans(st.n)
		for i := range more {
			more[i] = st.wheel[i]/best.Wheel.Value - 1
		}
		p.Own = &Own{Passes: m.Passes, Trap: best.Trap, Wheel: best.Wheel.Value, More: boundOf(quantity.DimShare, more)}
	}
	st.trades(scale)
	return nil
}

// trades finds the power without the boost schedule, and what changes of the car would
// save, on the first draws: all draws alike, so that only the change differs.
func (st *study) trades(scale []float64) {
	const some = 60
	length, window := st.q.Strip.Length, st.q.Strip.TrapWindow
	n := min(some, st.n)
	saved := func(change func(c *vehicle)) (left, gain []float64) {
		left, gain = nans(n), nans(n)
		for i := range n {
			if math.IsNaN(st.crank[i]) {
				continue
			}
			c := st.fleet.cars[i]
			change(&c)
			p := c.powerFor(st.target, length, window)
			if math.IsInf(p, 1) {
				continue
			}
			left[i] = scale[i] * c.run(p, length, window).wheel
			gain[i] = st.crank[i] - scale[i]*p
		}
		return left, gain
	}
	held := false
	for _, k := range sharesOf(st.q.Sheet, st.q.FreeBoost) {
		held = held || k < 0.999
	}
	if held {
		left, _ := saved(func(c *vehicle) {
			c.share = make([]float64, len(c.ratios))
			for g := range c.share {
				c.share[g] = 1
			}
		})
		st.r.Power.FreeWheel = figureOf(quantity.DimPower, left)
	}
	for _, t := range []struct {
		what   string
		change func(c *vehicle)
	}{
		{lessMass, func(c *vehicle) { c.mass -= lessMassBy }},
		{"5 % less drag", func(c *vehicle) { c.drag *= 0.95 }},
		{"0.05 s off every shift", func(c *vehicle) { c.dead = math.Max(0, c.dead-0.05) }},
		{"5 % more grip", func(c *vehicle) { c.grip *= 1.05 }},
	} {
		_, gain := saved(t.change)
		if f := figureOf(quantity.DimPower, gain); f != nil {
			st.r.Power.Trades = append(st.r.Power.Trades, Trade{t.what, f})
		}
	}
}

const (
	lessMassBy = 20.0 // kg
	lessMass   = "20 kg less mass"
)

// passToPass is how far a pass's peak power goes up and down without a cause that this
// method knows, 1; stretch is what a step of power adds, 1 per unit of its logarithm.
const (
	passToPass = 0.02
	stretch    = 0.15
)

// leveled is what own passes say of each draw.
type leveled struct {
	scale []float64 // 1, measured over modelled power
	power []float64 // W, modelled crank power of the own passes, geometric mean
}

// ownLevel compares, in each draw, the power measured in the car's own passes with what
// the same draw finds for their trap speeds: what is wrong with the draw's mass, drag, grip or
// shifts is wrong in both and falls out. Draws are then weighed by how well they explain
// the passes (a draw that cannot reach a speed that was run explains nothing) and drawn
// anew by weight, so that what follows has equal weights again. nil without own passes.
func (st *study) ownLevel(ctx context.Context) (*leveled, error) {
	runs := st.measured().Runs
	if len(runs) == 0 {
		return nil, nil
	}
	sum, logs, weight := make([]float64, st.n), make([]float64, st.n), make([]float64, st.n)
	for k := range runs {
		o := &runs[k]
		q := *st.q
		q.Weather, q.Strip.Grade = &o.Weather, o.Grade
		s := *q.Sheet
		if o.Boost != nil {
			s.UsualBoost = o.Boost
		}
		q.Sheet = &s
		f, _ := fleetOf(&q, dayOf(&o.Weather, q.Strip), st.n, "day "+string(rune('a'+k)))
		meter := st.src.of("meter "+string(rune('a'+k)), quantity.Estimate{Value: 1, SD: o.Wheel.SD / o.Wheel.Value}, st.n, true)
		for i := range st.n {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			c := &f.cars[i]
			c.mass += o.MassAdd
			p := c.powerFor(o.Trap, o.Length, o.Window)
			w := 0.0
			if !math.IsInf(p, 1) {
				w = c.run(p, o.Length, o.Window).wheel
			}
			if !(w > 0) {
				weight[i] = math.Inf(1)
				continue
			}
			ratio := o.Wheel.Value * meter[i] / w
			sum[i] += ratio / float64(len(runs))
			logs[i] += math.Log(p) / float64(len(runs))
			z := (ratio/level.Value - 1) / math.Hypot(level.SD/level.Value, passToPass)
			weight[i] += z * z / float64(len(runs)) // passes err alike: they count as one
		}
	}
	total := 0.0
	for i := range weight {
		weight[i] = math.Exp(-weight[i] / 2)
		total += weight[i]
	}
	if !(total > 1) {
		st.r.Notes = append(st.r.Notes, "The own passes cannot be explained with the sheet's mass, drag and gears: check these and the target; the level of power is not taken from them.")
		return nil, nil
	}
	// Systematic resampling: the k-th new draw is the old one at (k + ½)/n of the weight.
	out := &leveled{make([]float64, st.n), make([]float64, st.n)}
	f := &fleet{}
	i, reached := 0, weight[0]
	for k := range st.n {
		for want := (float64(k) + 0.5) / float64(st.n) * total; reached < want && i < st.n-1; {
			i++
			reached += weight[i]
		}
		out.scale[k], out.power[k] = sum[i], math.Exp(logs[i])
		f.cars, f.air, f.density = append(f.cars, st.fleet.cars[i]), append(f.air, st.fleet.air[i]), append(f.density, st.fleet.density[i])
	}
	st.fleet = f
	return out, nil
}

func nans(n int) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = math.NaN()
	}
	return x
}
