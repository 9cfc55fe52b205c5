package fitcar

import (
	"slices"

	"math"
	"traplight/internal/car"

	"traplight/internal/dictionary"
	"traplight/internal/pass"
	"traplight/internal/quantity"
)

// grid resamples motion and force to gridStep from the launch to the lift or the
// line, smoothing over half a step on either side.
func (o *Observation) grid(p *pass.Pass) {
	m, f := &p.Motion, p.Force
	end := m.Start + float64(len(m.V)-1)*m.Step
	if p.Finish != nil {
		end = min(end, p.Finish.Value+0.02)
	}
	if p.Lift != nil {
		end = min(end, *p.Lift-0.02)
	}
	if n := len(p.Gears); p.Finish == nil && p.Lift == nil && n > 0 {
		end = min(end, p.Gears[n-1].End)
	}
	o.Step = gridStep
	from := p.Launch.Value
	o.T0 = from - p.Rollout.Value
	for i := 0; ; i++ {
		t := from + float64(i)*o.Step
		if t > end {
			break
		}
		u := (t - m.Start) / m.Step
		j := int(u)
		if j < 0 || j+1 >= len(m.V) {
			continue
		}
		w := u - float64(j)
		mix := func(a []float64) float64 {
			if j+1 >= len(a) {
				return math.NaN()
			}
			return a[j]*(1-w) + a[j+1]*w
		}
		near := j
		if w > 0.5 {
			near++
		}
		o.X, o.V, o.A = append(o.X, mix(m.X)), append(o.V, mix(m.V)), append(o.A, mix(m.A))
		if j < len(m.VSD) {
			o.VSD = append(o.VSD, m.VSD[j])
		}
		o.Engine, o.Wheel = append(o.Engine, mix(f.EngineSpeed)), append(o.Wheel, mix(f.WheelSpeed))
		o.Gear = append(o.Gear, f.Gear[min(near, len(f.Gear)-1)])
		o.Full = append(o.Full, near < len(f.FullThrottle) && f.FullThrottle[near])
	}
}

func (o *Observation) channels(p *pass.Pass, set *dictionary.Set) {
	if set == nil {
		return
	}
	column := func(q quantity.Name) []float64 {
		c := set.First(q)
		if c == nil || c.Trace.Len() < 20 {
			return nil
		}
		v := make([]float64, len(o.X))
		for i := range v {
			y, ok := c.Trace.At(o.time(i) + o.Rollout)
			if !ok {
				y = math.NaN()
			}
			v[i] = y
		}
		return v
	}
	o.Unseen = !showsDriven(set, o.Sheet.Driven)
	o.Boost = column(quantity.ManifoldPressure)
	for _, q := range []quantity.Name{quantity.ChargeTemperature, quantity.IntakeTemperature} {
		if o.Charge == nil {
			o.Charge = column(q)
		}
	}
	o.Open = column(quantity.Nitrous)
	o.exhaust(set)
	o.Spark, o.Lambda = column(quantity.IgnitionAngle), column(quantity.Lambda)
	o.Back, o.Cut = column(quantity.ExhaustPressure), column(quantity.TorqueCut)
	o.Volts = o.atFull(column(quantity.BatteryVoltage))
}

// atFull is the mean of a channel at full throttle; 0 where it shows less than a second of it.
func (o *Observation) atFull(v []float64) float64 {
	sum, n := 0.0, 0.0
	for i, x := range v {
		if o.Full[i] && !math.IsNaN(x) {
			sum, n = sum+x, n+1
		}
	}
	if n*o.Step < 1 {
		return 0
	}
	return sum / n
}

func (o *Observation) shifts(p *pass.Pass) {
	for _, s := range p.Shifts {
		q := ShiftSeen{From: s.From, To: s.To, Start: s.Start.Value - o.Rollout, End: s.End.Value - o.Rollout, SD: math.Hypot(s.Start.SD, s.End.SD), Missed: s.Missed}
		if q.Start >= o.time(len(o.X)-1) || !(q.End > q.Start) {
			continue
		}
		q.Speed, _ = o.speedBefore(q.Start)
		if i := o.at(q.Start); o.Boost != nil {
			lo, before := math.Inf(1), o.Boost[max(0, i-5)]
			for j := i; j <= o.at(q.End); j++ {
				lo = min(lo, o.Boost[j])
			}
			q.Lifted = lo < 0.55*before
		} else {
			q.Lifted = lifted(o.Sheet)
		}
		o.Shifts = append(o.Shifts, q)
		o.enter(q)
	}
	o.mendShifts()
}

// enter gives the samples after a shift the gear it led to: the torque is back a quarter
// of a second before the ratio shows the gear.
func (o *Observation) enter(s ShiftSeen) {
	for i := o.at(s.Start) + 1; i < len(o.Gear) && o.time(i) < s.End+0.4 && o.Gear[i] != s.To; i++ {
		if o.time(i) < s.End {
			o.Gear[i] = 0
		} else if o.Gear[i] == s.From || o.Gear[i] == 0 {
			o.Gear[i] = s.To
		}
	}
}

// speedBefore extrapolates the engine speed, rad/s, to the beginning of a shift
// from the stretch before it: at the shift itself the logged speed already falls or
// flares. gains is its slope there, rad/s².
func (o *Observation) speedBefore(t float64) (speed, gains float64) {
	var n, sx, sy, sxx, sxy float64
	for i := o.at(t - 0.2); o.time(i) < t-0.035; i++ {
		if e := o.Engine[i]; !math.IsNaN(e) && o.Gear[i] > 0 {
			x := o.time(i) - t
			n, sx, sy, sxx, sxy = n+1, sx+x, sy+e, sxx+x*x, sxy+x*e
		}
	}
	if n < 3 {
		return math.NaN(), math.NaN()
	}
	slope := (n*sxy - sx*sy) / (n*sxx - sx*sx)
	return sy/n - slope*sx/n, slope
}

// showsDriven tells that a sensor shows the speed of driven wheels.
func showsDriven(set *dictionary.Set, driven car.Driven) bool {
	of := []quantity.Name{quantity.DrivenSpeed}
	if driven != car.RearDriven {
		of = append(of, quantity.WheelSpeedFL, quantity.WheelSpeedFR)
	}
	if driven != car.FrontDriven {
		of = append(of, quantity.WheelSpeedRL, quantity.WheelSpeedRR)
	}
	return slices.ContainsFunc(of, func(q quantity.Name) bool { return set.First(q) != nil })
}
