package reconstruct

import (
	"math"

	"traplight/internal/car"
	"traplight/internal/pass"
	"traplight/internal/quantity"
)

// the marks of every strip, metres from the staged position.
var stripMarks = []struct {
	name string
	at   float64 // m
}{
	{"60 ft", 18.288}, {"330 ft", 100.584}, {"1/8 mile", 201.168}, {"1000 ft", 304.8},
	{"1/4 mile", 402.336}, {"1/2 mile", 804.672}, {"1 km", 1000}, {"1 mile", 1609.344},
}

// marks fills launch, rollout, splits, trap, lift and finish.
func (s *signals) marks(p *pass.Pass, w *sweep, strip car.Strip) {
	r := w.res
	p.Launch = quantity.Estimate{Value: w.launch, SD: w.launchSD()}
	if w.st.late {
		p.Rollout = p.Launch
		p.Notes = append(p.Notes, "the log begins with the car moving: no launch, rollout, splits, trap or half-mile time, which count from there; gears, shifts, torque and power are told as far as the log goes")
		s.motion(p, w)
		return
	}
	roll := strip.Rollout
	t0, ok := r.When(w.x0 + roll)
	if !ok {
		return
	}
	// where nothing felt the take-up, a part of the launch's error goes into the rollout
	soft := 0.0
	if !w.byAccel {
		soft = math.Hypot(0.3*p.Launch.SD, w.sparse)
	}
	missed := 0.0 // m
	if w.unseen {
		soft, missed = missedTime, missedWay
		p.Notes = append(p.Notes, "the log begins as the car moves off: part of the launch may lie before it, and times and places are wider for it")
	}
	p.Rollout = quantity.Estimate{Value: t0, SD: math.Hypot(math.Hypot(r.TimeSD(t0), 0.003), math.Hypot(soft, w.shiftSD()))}
	for _, m := range stripMarks {
		t, ok := r.When(w.x0 + m.at)
		if !ok || t > w.to {
			continue
		}
		_, v, a := r.At(t)
		_, sv, _ := r.SD(t)
		sv = math.Hypot(sv, missed*a/math.Max(v, 1))
		p.Splits = append(p.Splits, pass.Split{Mark: m.name, Distance: m.at, At: t,
			Time:  quantity.Estimate{Value: t - t0, SD: math.Hypot(math.Hypot(r.Between(t0, t), 0.0015), math.Hypot(soft, missed/math.Max(v, 1)))},
			Speed: quantity.Estimate{Value: v, SD: sv}})
	}
	s.motion(p, w)
	end, ok := r.When(w.x0 + strip.Length)
	if !ok || end > w.to {
		return
	}
	_, v, a := r.At(end)
	p.Finish = &quantity.Estimate{Value: end, SD: math.Hypot(math.Hypot(r.TimeSD(end), 0.003), math.Hypot(missed/math.Max(v, 1), w.shiftSD()))}
	if in, ok := r.When(w.x0 + strip.Length - strip.TrapWindow); ok && end > in {
		p.Trap = &quantity.Estimate{Value: strip.TrapWindow / (end - in), SD: math.Hypot(r.MeanSpeedSD(in, end), missed*a/math.Max(v, 1))}
	}
}

// motion fills the movement on its grid.
func (s *signals) motion(p *pass.Pass, w *sweep) {
	r := w.res
	p.Motion = pass.Motion{Start: w.from, Step: gridStep}
	n := int((w.to-w.from)/gridStep) + 1
	for i := 0; i < n; i++ {
		t := w.from + float64(i)*gridStep
		x, v, a := r.At(t)
		p.Motion.X = append(p.Motion.X, x-w.x0)
		p.Motion.V = append(p.Motion.V, math.Max(v, 0))
		p.Motion.A = append(p.Motion.A, a)
		_, sv, sa := r.SD(t)
		p.Motion.VSD = append(p.Motion.VSD, sv)
		p.Motion.ASD = append(p.Motion.ASD, sa)
	}
}

// until notes the lift and whether the pass was complete.
func (d *driveline) until(p *pass.Pass) {
	if !math.IsInf(d.lift, 1) {
		t := d.lift
		p.Lift = &t
	}
	blur := 0.02 // s
	if !d.byThrottle {
		blur = 0.3 // the end of the pull, as motion shows it
	}
	p.Complete = p.Finish != nil && (p.Lift == nil || *p.Lift >= p.Finish.Value-blur)
}

// untilTime is when the pull of the pass ended, s: the line or the lift.
func (d *driveline) untilTime(p *pass.Pass, w *sweep) float64 {
	t := w.to
	if p.Finish != nil {
		t = math.Min(t, p.Finish.Value)
	}
	return math.Min(t, d.lift)
}
