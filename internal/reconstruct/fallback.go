package reconstruct

import (
	"math"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/motion"
	"traplight/internal/num/stats"
	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// priors adds to what earlier passes settled what the sheet says of the wheels'
// scale: the circumference set in the logger over that of the tyre.
func priors(p motion.Priors, sheet *car.Sheet) motion.Priors {
	if p.WheelScale.SD == 0 && sheet.LoggerCircum > 0 {
		r := sheet.UndrivenRadius
		if r.Value <= 0 {
			r = sheet.TyreRadius
		}
		if r.Value > 0 {
			m := sheet.LoggerCircum / (2 * math.Pi * r.Value)
			p.WheelScale = motion.Prior{Mean: m, SD: math.Hypot(m*r.SD/r.Value, 0.004)}
		}
	}
	return p
}

// guessed is the confidence below which a channel was picked by its behaviour alone: too
// little to rest the whole movement on.
const guessed = 0.4

// makeSpeed gives a log without any speed channel one from the engine: engine speed
// over the ratio of the gear, by the gear channel or by counting falls of engine
// speed from first gear up. The clutch that slips at the launch and tyres that spin
// are in it; it serves for lack of better. It reports what it did.
func (s *signals) makeSpeed(sheet *car.Sheet) (string, bool) {
	if s.engine == nil || s.engine.Confidence < guessed || len(sheet.Gears) == 0 || sheet.TyreRadius.Value <= 0 {
		return "", false
	}
	final := sheet.FinalDrive
	if final <= 0 {
		final = 1
	}
	x := s.engine.Trace
	idle := 1.3 * quantile(x.V, 0.05)
	gear := make([]int, len(x.T))
	how := "the gear channel"
	if s.gear != nil {
		for i, t := range x.T {
			if v := holdAt(s.gear.Trace, t+gearLag, 1); v >= 1 && int(v) <= len(sheet.Gears) {
				gear[i] = int(v)
			}
		}
	} else {
		how = "falls of engine speed, counted from first gear"
		s.countGears(gear, sheet, idle)
		s.counted = trace.Trace{T: x.T}
		for _, g := range gear {
			s.counted.V = append(s.counted.V, float64(g))
		}
	}
	var tr trace.Trace
	for i, t := range x.T {
		v := 0.0
		if x.V[i] > idle {
			if gear[i] == 0 {
				if n := len(tr.V); n > 0 && tr.V[n-1] > 5 {
					continue // between gears the car rolls on
				}
			} else {
				v = x.V[i] / (sheet.Gears[gear[i]-1] * final) * sheet.TyreRadius.Value
			}
		}
		tr.T, tr.V = append(tr.T, t), append(tr.V, v)
	}
	for _, start := range engineStarts(x, gear, idle) {
		start.standing(tr)
		s.started = append(s.started, start)
	}
	s.driven = append(s.driven, &dictionary.Channel{Name: "speed by the engine", Quantity: quantity.DrivenSpeed, RateHz: s.engine.RateHz, Trace: tr})
	s.byEngine = true
	return "speed is by engine speed and " + how + ": clutch and tyre slip are in it, so that every figure of motion is coarse; a satellite or wheel speed would give it", true
}

// quantile of x at share q.
func quantile(x []float64, q float64) float64 {
	y := append([]float64(nil), x...)
	if len(y) == 0 {
		return math.NaN()
	}
	return selectAt(y, int(q*float64(len(y)-1)))
}

// rollUp gives a coarse speed by adding up the accelerometer from each standstill,
// for a log that has nothing else.
func (s *signals) rollUp() *coarse {
	c := &coarse{start: s.start, step: coarseStep}
	n := int((s.end-s.start)/coarseStep) + 1
	if s.accel == nil || n < 10 {
		return c
	}
	c.v = make([]float64, n)
	zero := quantile(s.accel.Trace.V, 0.3)
	// what it reads while standing: the value held longest below the middle
	v, still := 0.0, 0.0
	for i := range c.v {
		t := c.start + float64(i)*c.step
		w := s.accel.Trace.Slice(t-0.1, t+0.1)
		a := 0.0
		if w.Len() > 0 {
			a = stats.Median(w.V) - zero
		}
		if math.Abs(a) < 0.35 {
			still += c.step
		} else {
			still = 0
		}
		v = math.Max(0, v+a*c.step)
		if still > 1.5 || v < 0.3 && a < 0.5 {
			v = 0
		}
		c.v[i] = v
	}
	return c
}
